"""What a season of recoveries says."""

from dataclasses import dataclass
from enum import StrEnum

from rideready.model.reason import Reason


class Verdict(StrEnum):
    """What may honestly be said about the change over the season."""

    FASTER = "faster"
    SLOWER = "slower"
    NO_CLEAR_CHANGE = "no clear change"
    TOO_FEW = "too few"


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One session's standardised one-minute drop.

    Parameters
    ----------
    day
        Days since the first session of the trend, fractions allowed.
    session_id
        The session it comes from.
    hrr60_bpm, se_bpm
        Drop in 60 s at the standard starting intensity, and its standard error, bpm.
    n_recoveries
        How many recoveries it rests on.
    """

    day: float
    session_id: int
    hrr60_bpm: float
    se_bpm: float
    n_recoveries: int


@dataclass(frozen=True, slots=True)
class Trend:
    """Change of the standardised one-minute drop over a season.

    Parameters
    ----------
    direction
        The verdict.
    slope_bpm_per_week, low, high
        Change per week and the ends of its 95 % interval, bpm per week; None if too few.
    change_bpm
        The same over the whole span, bpm.
    typical_error_bpm
        Typical error of one session's figure, from the rider's own data, bpm.
    minimal_detectable_bpm
        Change over the span that would stand out of the rider's own variation (95 %), bpm.
    standard_reserve
        Starting intensity all drops were brought to, fraction of the reserve.
    n_recoveries, n_sessions, weeks
        What it rests on.
    points
        One a session, by date.
    reasons
        What stands behind the verdict, and what to beware of.
    """

    direction: Verdict
    slope_bpm_per_week: float | None
    low: float | None
    high: float | None
    change_bpm: float | None
    typical_error_bpm: float | None
    minimal_detectable_bpm: float | None
    standard_reserve: float | None
    n_recoveries: int
    n_sessions: int
    weeks: float
    points: tuple[TrendPoint, ...]
    reasons: tuple[Reason, ...]
