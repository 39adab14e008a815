"""Like with like: what differs between recoveries besides the date, and what is known about each beforehand."""

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from rideready.intensity import reserve_fraction, target_bpm
from rideready.model.recovery import Grade, Mode
from rideready.model.rider import Rider
from rideready.model.session import FloatArray

if TYPE_CHECKING:
    import pandas as pd

StrArray = npt.NDArray[np.str_]

COLUMNS = (
    "session_id", "start_utc", "device", "kind", "posture", "mode", "order", "peak_bpm", "peak_reserve",
    "hrr60_bpm", "hrr60_se_bpm", "grade", "altitude_m", "temperature_c",
)  # fmt: skip

UNKNOWN_RECORDER = "unnamed recorder"

# Every adjustment is held by a normal prior, so that few recoveries lean on what is published and many
# speak for themselves. Means and standard deviations in bpm of the one-minute drop.

# Start, per 10 bpm. A fall by 1 - exp(-60 / tau) of its height gives 6.8 at the time constants of Barak et al.
# 2011 (J Sports Sci Med 10:369-375, 50 to 52 s); maximal efforts fall less (18 to 32 bpm from 181: Sci Rep
# 2021, doi 10.1038/s41598-021-83071-w). The square lets the gain fade near the maximum: neutral, wide.
_START, _START_SQUARED = (4.5, 3.0), (0.0, 1.5)
# Mean of athletes and others in Barak et al. 2011 against seated still: moving on -7.0, lying 15.2, legs up
# 17.1. Standing and unknown are not in the paper; they take 0, and unknown movement the middle.
_MODE_MEANS = {Mode.STILL.value: 0.0, Mode.MOVING.value: -7.0, Mode.UNKNOWN.value: -3.5}
_POSTURE_MEANS = {"lying": 15.2, "lying, legs up": 17.1}
_MODE_SD = _POSTURE_SD = 5.0
# Each doubling of the place in the session (first, second, fourth ...): neutral, no source.
_ORDER = (0.0, 2.0)
# Per 10 degrees above 22, the upper end of what a repeatable test asks for (18 to 22: Lamberts et al. 2011,
# Br J Sports Med 45:797-804). Heat slows recovery (Daanen et al. 2012, Int J Sports Physiol Perform 7:251-60);
# by how much is not known here, so neutral. Cooler than that counts as 22: autumn cools with the date.
_HEAT, _HEAT_FROM_C = (0.0, 4.0), 22.0
# Per 1000 m: 60 to 52 bpm at about 2400 m, acute (Al Haddad et al. 2012, Front Physiol 3:289).
_ALTITUDE = (-3.3, 3.0)
# What was done: neutral, no source. Which recorder: neutral and wide, wrist sensors are off by 15 to 34 bpm at
# times (Gillinov et al. 2017, Med Sci Sports Exerc 49:1697-1703).
_KIND_SD, _RECORDER_SD = 5.0, 8.0


@dataclass(frozen=True, slots=True, eq=False)
class Term:
    """One thing to allow for.

    Parameters
    ----------
    name, per
        What it is, and the step it is counted in.
    column
        Shape (n,), number of steps away from the standard.
    prior_mean_bpm, prior_sd_bpm
        Effect of a step on the drop as known beforehand.
    is_recorder
        Whether it stands for another recorder.
    """

    name: str
    per: str
    column: FloatArray
    prior_mean_bpm: float
    prior_sd_bpm: float
    is_recorder: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Comparable:
    """Recoveries of a season, ready to be compared.

    Parameters
    ----------
    hrr60_bpm, se_bpm
        Shape (n,), drops as measured and their standard errors, by session and order.
    session
        Shape (n,), number of the session, 0 to m - 1 by date.
    session_ids, day
        Shape (m,), the sessions' own numbers, and days since the first.
    recorder
        Shape (m,), the sessions' recorders.
    terms
        What to allow for; only what differs between recoveries.
    standard_bpm, standard_reserve
        Starting intensity taken as the standard; None where unknown.
    n_left_out
        Recoveries without a figure to trust.
    first_start
        Start of the first session, UTC; None without any.
    """

    hrr60_bpm: FloatArray
    se_bpm: FloatArray
    session: npt.NDArray[np.int64]
    session_ids: npt.NDArray[np.int64]
    day: FloatArray
    recorder: StrArray
    terms: tuple[Term, ...]
    standard_bpm: float | None
    standard_reserve: float | None
    n_left_out: int
    first_start: dt.datetime | None

    @property
    def weeks(self) -> float:
        """From the first to the last session, weeks."""
        return float(self.day[-1] / 7) if self.day.size else 0.0

    def date_of(self, day: float) -> dt.date:
        """UTC date of a day counted from the first session."""
        if self.first_start is None:
            raise ValueError("no recovery, no date")
        return (self.first_start + dt.timedelta(days=day)).date()


def standardise(table: "pd.DataFrame", rider: Rider) -> Comparable:
    """Line recoveries up for comparison: who counts, from which start, and what else to allow for.

    The standard start is the rider's own median, to the nearest 5 % of the reserve (or 5 bpm where the
    reserve is unknown); the standard otherwise is what occurs most often, the first recovery of a session,
    no heat, and the median altitude. Recoveries of grade "none", or without a drop and its standard error,
    are left out; a rough one counts less through its standard error.

    Parameters
    ----------
    table
        One row a recovery, columns `COLUMNS`; NaN where altitude, temperature or reserve is unknown.
    rider
        Rest and maximum.

    Returns
    -------
    Comparable
        Possibly without any recovery.

    Raises
    ------
    ValueError
        If a column is missing.

    References
    ----------
    Barak et al. 2011, J Sports Sci Med 10:369-375; others beside each prior.
    """
    missing = [name for name in COLUMNS if name not in table.columns]
    if missing:
        raise ValueError(f"the table of recoveries lacks {', '.join(missing)}")
    drop, se = _numbers(table, "hrr60_bpm"), _numbers(table, "hrr60_se_bpm")
    usable = (table["grade"] != Grade.NONE.value).to_numpy() & table["start_utc"].notna().to_numpy()
    usable &= np.isfinite(drop) & (se > 0) & np.isfinite(se) & np.isfinite(_numbers(table, "peak_bpm"))
    kept = table[usable].sort_values(["start_utc", "session_id", "order"], kind="stable")
    ids = kept["session_id"].to_numpy(dtype=np.int64)
    starts_anew = np.append(True, ids[1:] != ids[:-1])[: ids.size]
    first = np.flatnonzero(starts_anew)
    since_first = kept["start_utc"] - kept["start_utc"].min()
    recorder = kept["device"].fillna(UNKNOWN_RECORDER).to_numpy(dtype=np.str_)
    start_column, standard_bpm, standard_reserve = _start(kept, rider)
    return Comparable(
        hrr60_bpm=_numbers(kept, "hrr60_bpm"),
        se_bpm=_numbers(kept, "hrr60_se_bpm"),
        session=np.cumsum(starts_anew) - 1,
        session_ids=ids[first],
        day=since_first.dt.total_seconds().to_numpy(dtype=float)[first] / 86_400,
        recorder=recorder[first],
        terms=tuple(t for t in _terms(kept, start_column, recorder) if np.ptp(t.column) > 0)
        if ids.size
        else (),
        standard_bpm=standard_bpm,
        standard_reserve=standard_reserve,
        n_left_out=len(table) - len(kept),
        first_start=kept["start_utc"].min().to_pydatetime() if ids.size else None,
    )


def _numbers(table: "pd.DataFrame", name: str) -> FloatArray:
    return table[name].to_numpy(dtype=float, na_value=np.nan)


def _start(kept: "pd.DataFrame", rider: Rider) -> tuple[FloatArray, float | None, float | None]:
    """Return starting heart rates in steps of 10 bpm from the standard, and the standard itself."""
    peak = _numbers(kept, "peak_bpm")
    if not peak.size:
        return peak, None, None
    reserve = reserve_fraction(peak, rider)
    if np.isfinite(reserve).all():
        standard_reserve = round(float(np.median(reserve)) * 20) / 20
        standard = target_bpm(standard_reserve, rider)
        if standard is not None:
            return (peak - standard) / 10, standard, standard_reserve
    standard = round(float(np.median(peak)) / 5) * 5.0
    return (peak - standard) / 10, standard, None


def _terms(kept: "pd.DataFrame", start: FloatArray, recorder: StrArray) -> list[Term]:
    heat = np.maximum(_numbers(kept, "temperature_c") - _HEAT_FROM_C, 0) / 10
    altitude = _numbers(kept, "altitude_m") / 1000
    order = np.log2(np.fmax(_numbers(kept, "order"), 1))
    return [
        Term("starting heart rate", "10 bpm higher", start, *_START),
        Term("starting heart rate, squared", "(10 bpm) squared", start**2, *_START_SQUARED),
        Term("order in the session", "doubling", order, *_ORDER),
        *_levels("movement", _words(kept, "mode"), _MODE_MEANS, _MODE_SD),
        *_levels("posture", _words(kept, "posture"), _POSTURE_MEANS, _POSTURE_SD),
        *_levels("kind", _words(kept, "kind"), {}, _KIND_SD),
        Term("heat", f"10 degrees above {_HEAT_FROM_C:.0f}", _centred(heat, 0.0), *_HEAT),
        Term("altitude", "1000 m higher", _centred(altitude, _middle(altitude)), *_ALTITUDE),
        *_levels("recorder", recorder, {}, _RECORDER_SD),
    ]


def _words(kept: "pd.DataFrame", name: str) -> StrArray:
    return kept[name].fillna("unknown").to_numpy(dtype=np.str_)


def _middle(values: FloatArray) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if known.size else 0.0


def _centred(values: FloatArray, standard: float) -> FloatArray:
    """Count steps away from the standard; what is unknown is taken as the standard."""
    return np.where(np.isfinite(values), values - standard, 0.0)


def _levels(name: str, words: StrArray, means: dict[str, float], sd: float) -> list[Term]:
    """One term for each word but the most frequent, which is the standard."""
    found, counts = np.unique(words, return_counts=True)
    usual = str(found[np.argmax(counts)])
    return [
        Term(
            f"{name}: {word}",
            f"instead of {usual}",
            (words == word).astype(float),
            means.get(str(word), 0.0) - means.get(usual, 0.0),
            sd,
            is_recorder=name == "recorder",
        )
        for word in found
        if word != usual
    ]
