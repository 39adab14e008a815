"""Whole seasons as tables of recoveries, without signals: quick food for whatever judges a trend."""

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray

if TYPE_CHECKING:
    import pandas as pd

#: Start of a table whose caller does not care.
FIRST_START = dt.datetime(2026, 8, 24, 15, 30, tzinfo=dt.UTC)


@dataclass(frozen=True, slots=True)
class Spread:
    """How much the one-minute drop varies besides the trend.

    Parameters
    ----------
    day_sd_bpm
        Standard deviation of a day's own shift, shared by all its recoveries, bpm.
    day_phi
        Correlation of that shift from one session to the next, 0 to below 1.
    recovery_sd_bpm
        Standard deviation of one recovery around its day, sensor apart, bpm.
    se_low_bpm, se_high_bpm
        Limits of the standard error of one measurement; drawn evenly, told, and added as noise, bpm.
    outlier_share, outlier_sd_bpm
        Share of recoveries with an error of another size, and its standard deviation, bpm.
    per_order_bpm
        Change of the drop from one recovery of a session to the next, bpm.
    """

    day_sd_bpm: float = 2.0
    day_phi: float = 0.0
    recovery_sd_bpm: float = 2.5
    se_low_bpm: float = 1.0
    se_high_bpm: float = 3.0
    outlier_share: float = 0.0
    outlier_sd_bpm: float = 12.0
    per_order_bpm: float = -0.3


@dataclass(frozen=True, slots=True)
class Starts:
    """Where the recoveries start.

    Parameters
    ----------
    reserve_mean, reserve_drift
        Mean starting intensity at the begin of the season, and its change over the season,
        fractions of the reserve.
    session_sd, recovery_sd
        Spread between sessions and within one, fractions of the reserve.
    bpm_per_reserve
        How much larger a drop is that starts one whole reserve higher, bpm. With an end level of a
        quarter of the reserve of 127 bpm and a time constant of 52 s it is about 80.
    """

    reserve_mean: float = 0.82
    reserve_drift: float = 0.0
    session_sd: float = 0.04
    recovery_sd: float = 0.04
    bpm_per_reserve: float = 80.0


def simulated_recovery_table(
    rng: np.random.Generator,
    *,
    weeks: float = 12,
    sessions_per_week: float = 3.5,
    recoveries_per_session: float = 5,
    gain_bpm: float = 0.0,
    base_bpm: float = 38.0,
    spread: Spread | None = None,
    starts: Starts | None = None,
    moving_share: float = 0.0,
    moving_loss_bpm: float = 10.0,
    wrist_share: float = 0.0,
    wrist_bias_bpm: float = -2.0,
    lost_weeks: tuple[int, ...] = (),
    resting_bpm: float = 54.0,
    max_bpm: float = 181.0,
    first_start: dt.datetime = FIRST_START,
) -> "pd.DataFrame":
    """Draw a season's recoveries as the trend's input table.

    The drop is ``base + gain * time + bpm_per_reserve * (start - 0.82)`` plus the day's shift, the
    recovery's own, an error of the told size, and what order, moving on and a wrist sensor add.

    Parameters
    ----------
    rng
        Source of every draw.
    weeks, sessions_per_week, recoveries_per_session
        Length, mean number of sessions a week (each day has one or none), and mean number of
        recoveries a session (at least 1, Poisson above that).
    gain_bpm
        True change of the standardised drop from the first to the last day, bpm; linear.
    base_bpm
        Drop of a still recovery from 82 % of the reserve on the first day, bpm.
    spread, starts
        Variation and starting intensities; defaults if None.
    moving_share, moving_loss_bpm
        Share of sessions whose recoveries are spent moving on, and what that takes off the drop, bpm.
    wrist_share, wrist_bias_bpm
        Share of sessions recorded at the wrist, and what that adds to the drop, bpm.
    lost_weeks
        Weeks without sessions, counted from 0.
    resting_bpm, max_bpm
        Ends of the reserve, bpm.
    first_start
        Aware start of the first day's session.

    Returns
    -------
    pandas.DataFrame
        One row a recovery, with the columns of ``rideready.recovery.trend.recovery_trend``:
        session_id, start_utc, device, kind, posture, mode, order, peak_bpm, peak_reserve,
        hrr60_bpm, hrr60_se_bpm, grade, altitude_m, temperature_c.

    References
    ----------
    Size of the spread: a one-minute drop has a standard error of measurement of about 20 %
    (Bosquet, Gamelin, Berthoin 2008, Int J Sports Med 29:238-43). Moving on against sitting still:
    Barak et al. 2011, J Sports Sci Med 10:369-375. The rest is assumed.
    """
    import pandas as pd  # heavy, and wanted by few

    spread, starts = spread or Spread(), starts or Starts()
    days = _training_days(rng, weeks, sessions_per_week, lost_weeks)
    counts = 1 + rng.poisson(max(recoveries_per_session - 1, 0), days.size)
    is_moving = rng.random(days.size) < moving_share
    is_wrist = rng.random(days.size) < wrist_share
    session_part = (
        base_bpm
        + gain_bpm * days / (7 * weeks)
        + _day_shifts(rng, days.size, spread)
        - moving_loss_bpm * is_moving
        + wrist_bias_bpm * is_wrist
    )
    reserve = starts.reserve_mean + starts.reserve_drift * days / (7 * weeks)
    reserve = reserve + starts.session_sd * rng.standard_normal(days.size)
    of = np.repeat(np.arange(days.size), counts)
    order = np.arange(of.size) - np.repeat(np.cumsum(counts) - counts, counts) + 1
    peak_reserve = np.clip(reserve[of] + starts.recovery_sd * rng.standard_normal(of.size), 0.45, 1.0)
    se = rng.uniform(spread.se_low_bpm, spread.se_high_bpm, of.size)
    drop = (
        session_part[of] + starts.bpm_per_reserve * (peak_reserve - 0.82) + spread.per_order_bpm * (order - 1)
    )
    drop = drop + _recovery_errors(rng, se, spread)
    start = np.datetime64(first_start.astimezone(dt.UTC).replace(tzinfo=None), "ns")
    begin = start + (days * 86_400_000_000_000).astype("timedelta64[ns]")
    return pd.DataFrame(
        {
            "session_id": of + 1,
            "start_utc": pd.DatetimeIndex(begin[of]).tz_localize("UTC"),
            "device": np.where(is_wrist, "simulated wrist optical sensor", "simulated chest strap")[of],
            "kind": np.full(of.size, "bike"),
            "posture": np.full(of.size, "seated"),
            "mode": np.where(is_moving, "moving", "still")[of],
            "order": order,
            "peak_bpm": resting_bpm + peak_reserve * (max_bpm - resting_bpm),
            "peak_reserve": peak_reserve,
            "hrr60_bpm": drop,
            "hrr60_se_bpm": se,
            "grade": np.where(se < 0.5 * (spread.se_low_bpm + spread.se_high_bpm), "good", "fair"),
            "altitude_m": np.full(of.size, np.nan),
            "temperature_c": np.full(of.size, np.nan),
        }
    )


def _training_days(
    rng: np.random.Generator, weeks: float, sessions_per_week: float, lost_weeks: tuple[int, ...]
) -> npt.NDArray[np.int64]:
    days = np.arange(round(7 * weeks))
    days = days[~np.isin(days // 7, lost_weeks)]
    n = min(round(sessions_per_week * (weeks - len(lost_weeks))), days.size)
    return np.sort(rng.choice(days, size=n, replace=False)).astype(np.int64)


def _day_shifts(rng: np.random.Generator, n: int, spread: Spread) -> FloatArray:
    shifts = spread.day_sd_bpm * rng.standard_normal(n)
    for i in range(1, n):
        shifts[i] = spread.day_phi * shifts[i - 1] + np.sqrt(1 - spread.day_phi**2) * shifts[i]
    return shifts


def _recovery_errors(rng: np.random.Generator, se_bpm: FloatArray, spread: Spread) -> FloatArray:
    own = spread.recovery_sd_bpm * rng.standard_normal(se_bpm.size)
    measured = se_bpm * rng.standard_normal(se_bpm.size)
    is_outlier = rng.random(se_bpm.size) < spread.outlier_share
    return own + measured + is_outlier * spread.outlier_sd_bpm * rng.standard_normal(se_bpm.size)
