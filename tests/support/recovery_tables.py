"""Invented autumns as tables of recoveries, drawn from curves, to judge the trend against a known truth.

Each recovery is a fall of ``(peak - end) * (1 - exp(-60 / tau))`` with the rider's ``end`` and ``tau``, so
the drop grows with its start as the literature's formula has it (Barak et al. 2011, J Sports Sci Med
10:369-375: end 89 bpm, tau 52.5 s, athletes seated still) and not as the model under test assumes.
The gain, the day and the single recovery are added in bpm.
"""

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from rideready.model.rider import Rider
from rideready.model.session import FloatArray

RIDER = Rider(max_hr_bpm=186, resting_hr_bpm=52)
END_BPM, TAU_S = 89.0, 52.5
FIRST_MONDAY = pd.Timestamp("2026-08-24T06:00", tz="UTC")


@dataclass(frozen=True)
class Autumn:
    """One way an autumn may go; all standard deviations and changes in bpm of the one-minute drop.

    ``within_sd`` is the whole spread of recoveries within a session, the measurement's included, whose
    standard error is drawn between ``se_low`` and ``se_high`` for each recovery and told. With a ``slow_share``
    that share of the fall, growing from none at 80 % of the reserve, runs on with 240 s: two phases
    after maximal work (Joseph, Kanthakumar, Tharion 2023, Indian J Physiol Pharmacol 67:125-130).
    """

    weeks: int = 12
    sessions_per_week: float = 3.0
    is_uneven: bool = False
    recoveries: int = 4
    gain: float = 0.0
    day_sd: float = 3.0
    within_sd: float = 4.0
    se_low: float = 1.0
    se_high: float = 3.0
    heavy_tails: bool = False
    memory_days: float = 0.0
    reserve_first: float = 0.80
    reserve_last: float = 0.80
    reserve_session_sd: float = 0.05
    reserve_sd: float = 0.06
    slow_share: float = 0.0
    step: float = 0.0
    step_day: float = np.inf
    step_until: float = np.inf
    second_recorder_from: float = np.inf
    recorder_bias: float = 0.0
    moving_share: float = 0.0
    lost_weeks: tuple[int, ...] = field(default=())


def session_days(rng: np.random.Generator, autumn: Autumn) -> FloatArray:
    """Days of the sessions: the same weekdays each week, or an uneven number on any days."""
    days: list[float] = []
    for week in range(autumn.weeks):
        if week in autumn.lost_weeks:
            continue
        usual = autumn.sessions_per_week
        n = int(np.clip(rng.poisson(usual), 0, 6)) if autumn.is_uneven else round(usual)
        chosen = rng.choice(7, n, replace=False) if autumn.is_uneven else np.arange(n) * 7 / max(n, 1)
        days += list(7 * week + np.sort(np.floor(chosen)))
    return np.array(days)


def autumn_table(rng: np.random.Generator, autumn: Autumn) -> pd.DataFrame:
    """Draw the recoveries of an autumn, one row each, in the columns the trend takes."""
    day = session_days(rng, autumn)
    n = day.size
    span = 7.0 * autumn.weeks
    level = autumn.gain * day / span + _day_effects(rng, day, autumn)
    level += autumn.step * ((day >= autumn.step_day) & (day <= autumn.step_until))
    is_second = day >= autumn.second_recorder_from
    level += autumn.recorder_bias * is_second
    is_moving = rng.random(n) < autumn.moving_share
    start = autumn.reserve_first + (autumn.reserve_last - autumn.reserve_first) * day / span
    start += autumn.reserve_session_sd * rng.standard_normal(n)
    of = np.repeat(np.arange(n), autumn.recoveries)
    reserve = np.clip(start[of] + autumn.reserve_sd * rng.standard_normal(of.size), 0.5, 1.0)
    peak = 52 + reserve * 134
    tau = np.where(is_moving, 74.1, TAU_S)[of]
    se = rng.uniform(autumn.se_low, autumn.se_high, of.size)
    slow = autumn.slow_share * np.clip((reserve - 0.8) / 0.2, 0, 1)
    fallen = (1 - slow) * (1 - np.exp(-60 / tau)) + slow * (1 - np.exp(-60 / 240))
    drop = (peak - END_BPM) * fallen + level[of] + _own_errors(rng, se, autumn)
    return pd.DataFrame(
        {
            "session_id": of + 1,
            "start_utc": (FIRST_MONDAY + pd.to_timedelta(day, unit="D"))[of].as_unit("ns"),
            "device": np.where(is_second, "second recorder", "first recorder")[of],
            "kind": "bike",
            "posture": "seated",
            "mode": np.where(is_moving, "moving", "still")[of],
            "order": np.tile(np.arange(1, autumn.recoveries + 1), n),
            "peak_bpm": peak,
            "peak_reserve": reserve,
            "hrr60_bpm": drop,
            "hrr60_se_bpm": se,
            "grade": "good",
            "altitude_m": np.nan,
            "temperature_c": np.nan,
        }
    )


def _day_effects(rng: np.random.Generator, day: FloatArray, autumn: Autumn) -> FloatArray:
    """Level of each day; with a memory, days close together resemble each other."""
    if autumn.memory_days == 0:
        return autumn.day_sd * rng.standard_normal(day.size)
    alike = np.exp(-np.abs(day[:, None] - day) / autumn.memory_days)
    drawn = np.linalg.cholesky(alike + 1e-9 * np.eye(day.size)) @ rng.standard_normal(day.size)
    return autumn.day_sd * np.asarray(drawn)


def _own_errors(rng: np.random.Generator, se: FloatArray, autumn: Autumn) -> FloatArray:
    """Error of each recovery: the measurement's and its own, with or without wild ones."""
    own_sd = np.sqrt(np.maximum(autumn.within_sd**2 - np.mean(se**2), 0.0))
    own = own_sd * rng.standard_normal(se.size)
    if autumn.heavy_tails:  # one in twelve is three times as far out
        own *= np.where(rng.random(se.size) < 1 / 12, 3.0, 1.0)
    errors: FloatArray = own + se * rng.standard_normal(se.size)
    return errors
