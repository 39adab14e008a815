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
    fitted_bpm, fitted_low_bpm, fitted_high_bpm
        The rider's level that day by the fitted course, shift and recorder included, and the ends of
        its 95 % band, bpm; None if too few.
    """

    day: float
    session_id: int
    hrr60_bpm: float
    se_bpm: float
    n_recoveries: int
    fitted_bpm: float | None = None
    fitted_low_bpm: float | None = None
    fitted_high_bpm: float | None = None


@dataclass(frozen=True, slots=True)
class LevelShift:
    """A sudden change of level, apart from the gradual one.

    Parameters
    ----------
    from_day
        Day of the first session at the other level, counted as in `TrendPoint`.
    until_day
        Day of the last session at the other level; None if it has lasted to the end.
    bpm, low_bpm, high_bpm
        Size and the ends of its 95 % interval, bpm; negative for slower recovery.
    p
        Chance that a season without any shift shows one as clear as this, at any date searched.
    """

    from_day: float
    until_day: float | None
    bpm: float
    low_bpm: float
    high_bpm: float
    p: float


@dataclass(frozen=True, slots=True)
class Adjustment:
    """What was taken out to compare like with like.

    Parameters
    ----------
    name, per
        What it allows for, and the step it is counted in.
    bpm, se_bpm
        Effect on the drop of one such step, and its standard error, bpm.
    is_recorder
        Whether it stands for another recorder; it is then left in the points, where a break is seen.
    """

    name: str
    per: str
    bpm: float
    se_bpm: float
    is_recorder: bool = False


@dataclass(frozen=True, slots=True)
class RankTrend:
    """The same question asked without a model: Theil-Sen slope and Kendall's test on the points.

    Parameters
    ----------
    slope_bpm_per_week, low, high
        Median slope of all pairs of sessions and the ends of its 95 % interval, bpm per week.
    p
        Two-sided p-value of Kendall's test.
    """

    slope_bpm_per_week: float
    low: float
    high: float
    p: float


@dataclass(frozen=True, slots=True)
class Trend:
    """Change of the standardised one-minute drop over a season.

    Parameters
    ----------
    direction
        The verdict.
    slope_bpm_per_week, low, high
        Change per week and the ends of its 95 % interval, bpm per week; None if too few to fit.
    change_bpm
        The same over the whole span, bpm.
    typical_error_bpm
        Typical error of one session's figure, from the rider's own data, bpm.
    minimal_detectable_bpm
        Change over the span that would stand out of the rider's own variation (95 %), bpm.
    standard_reserve
        Starting intensity all drops were brought to, fraction of the reserve; None if it is unknown.
    n_recoveries, n_sessions, weeks
        What it rests on.
    points
        One a session, by date.
    reasons
        What stands behind the verdict, and what to beware of.
    standard_bpm
        Starting heart rate all drops were brought to, bpm; None without recoveries.
    shift
        A sudden change of level apart from the trend; None if none was found.
    adjustments
        What was taken out, largest first.
    rank
        The model-free companion; None if too few.
    recorders
        Every recorder used, in order of first use.
    more_sessions
        How many more sessions like these would show a gain of half a beat a week in four seasons out
        of five; 0 if these would, None if out of reach.
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
    standard_bpm: float | None = None
    shift: LevelShift | None = None
    adjustments: tuple[Adjustment, ...] = ()
    rank: RankTrend | None = None
    recorders: tuple[str, ...] = ()
    more_sessions: int | None = None

    @property
    def change_low_bpm(self) -> float | None:
        """Lower end of the 95 % interval of the change over the span, bpm."""
        return None if self.low is None else self.low * self.weeks

    @property
    def change_high_bpm(self) -> float | None:
        """Upper end of the 95 % interval of the change over the span, bpm."""
        return None if self.high is None else self.high * self.weeks
