"""A season up to opening day: what the rider asks for, and the weeks with their targets and reasons."""

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from rideready.errors import BadInput
from rideready.model.condition import Away, Clearance, Illness, Injury
from rideready.model.exercise import Level
from rideready.model.reason import Reason


class Phase(StrEnum):
    """What a week is for."""

    BUILD = "build"
    BURSTS = "burst practice"
    TAPER = "taper"
    OPENING = "opening week"


@dataclass(frozen=True, slots=True)
class OpeningWindow:
    """When the season may open.

    Parameters
    ----------
    earliest
        First day on which the snow may come.
    likely
        Day on which it most likely comes.

    Raises
    ------
    BadInput
        If the likely day lies before the earliest.
    """

    earliest: dt.date
    likely: dt.date

    def __post_init__(self) -> None:
        if self.likely < self.earliest:
            raise BadInput(
                f"the likely opening day {self.likely} lies before the earliest {self.earliest}",
                "opening window",
                "Give the earlier of the two dates as the earliest",
            )


@dataclass(frozen=True, slots=True)
class WeekDone:
    """What was really done from one Monday to Sunday, whatever the plan had said.

    Parameters
    ----------
    start
        The Monday.
    moderate_equivalent_min, vigorous_min
        Minutes, vigorous ones counted twice; and the vigorous ones alone, counted once.
    circuits, strength, mobility, burst_practices
        How many sessions; ``strength`` without the circuits.
    longest_min
        The longest steady piece, minutes.

    Raises
    ------
    ValueError
        If the week does not start on a Monday, or a figure is negative or not finite.
    """

    start: dt.date
    moderate_equivalent_min: float = 0.0
    vigorous_min: float = 0.0
    circuits: int = 0
    strength: int = 0
    mobility: int = 0
    burst_practices: int = 0
    longest_min: float = 0.0

    def __post_init__(self) -> None:
        if self.start.weekday() != 0:
            raise ValueError(f"a week starts on a Monday, {self.start} is none")
        figures = (self.moderate_equivalent_min, self.vigorous_min, self.longest_min)
        counts = (self.circuits, self.strength, self.mobility, self.burst_practices)
        if any(not math.isfinite(value) or value < 0 for value in (*figures, *counts)):
            raise ValueError("what was done is a finite number, 0 or more")


@dataclass(frozen=True, slots=True)
class SeasonRequest:
    """Everything a season is planned from.

    Parameters
    ----------
    window
        Earliest and likely opening day.
    today
        The day on which the plan is made.
    history
        Complete weeks before this one, in any order. A week missing between two of them counts as
        nothing done; weeks before the first count as ``usual_min``.
    this_week
        What was done so far in the week of ``today``; None if nothing.
    minutes_by_weekday
        Minutes at hand, Monday first; 0 for a day without training.
    level
        How used the rider is to training.
    usual_min
        What the rider says a usual week was before the first recorded one, moderate-equivalent minutes.
    long_day
        Weekday wanted for the long piece, Monday 0; None if any.
    injuries, illnesses, away
        What holds the rider back.
    began
        Day on which the rider's first plan was made; easier weeks are counted from it. None: from
        the history, as if it had been planned.
    clearance
        What the pre-exercise questions allow.

    Raises
    ------
    BadInput
        If the minutes are not seven numbers from 0 to 600, or ``long_day`` is no weekday.
    """

    window: OpeningWindow
    today: dt.date
    history: tuple[WeekDone, ...] = ()
    this_week: WeekDone | None = None
    minutes_by_weekday: tuple[int, ...] = (45, 45, 45, 45, 45, 60, 60)
    level: Level = Level.INTERMEDIATE
    usual_min: float | None = None
    long_day: int | None = None
    injuries: tuple[Injury, ...] = ()
    illnesses: tuple[Illness, ...] = ()
    away: tuple[Away, ...] = ()
    began: dt.date | None = None
    clearance: Clearance = Clearance.CLEAR

    def __post_init__(self) -> None:
        if len(self.minutes_by_weekday) != 7 or any(not 0 <= m <= 600 for m in self.minutes_by_weekday):
            raise BadInput(
                "the minutes at hand are not seven numbers from 0 to 600",
                "available days",
                "Give one number for each weekday, Monday first, 0 for a day off",
            )
        if self.long_day is not None and not 0 <= self.long_day <= 6:
            raise BadInput(f"{self.long_day} is no weekday", "long day", "Monday is 0 and Sunday is 6")


@dataclass(frozen=True, slots=True)
class Targets:
    """What one week asks for.

    Parameters
    ----------
    moderate_equivalent_min
        Minutes, vigorous ones counted twice.
    vigorous_min
        The vigorous minutes in them, counted once.
    circuits, strength, mobility, burst_practices
        How many sessions; ``strength`` besides the circuits.
    long_piece_min
        The week's longest steady piece, minutes; 0 for none.
    circuit_min, lead_in_min
        Minutes of circuit proper in each circuit session, and of steady work leading into it.
    bursts
        Bursts in each burst practice.
    strength_min
        Minutes of each strength session.
    """

    moderate_equivalent_min: int
    vigorous_min: int = 0
    circuits: int = 0
    strength: int = 0
    mobility: int = 0
    burst_practices: int = 0
    long_piece_min: int = 0
    circuit_min: int = 0
    lead_in_min: int = 0
    bursts: int = 0
    strength_min: int = 0

    @property
    def moderate_min(self) -> int:
        """The moderate minutes, counted once."""
        return self.moderate_equivalent_min - 2 * self.vigorous_min

    @property
    def strength_days(self) -> int:
        """Days that train all large muscle groups; a circuit is one."""
        return self.circuits + self.strength


@dataclass(frozen=True, slots=True)
class Week:
    """One week of the plan.

    Parameters
    ----------
    start, last_day
        The Monday, and the last day for training: Sunday, or the day before the likely opening day.
    phase
        What the week is for.
    is_easier
        Whether it is an easier week among the building ones.
    targets
        What it asks for.
    base_min, limit_min
        Weekly minutes the ramp starts from, and the most it allows, moderate-equivalent.
    opening_day
        The likely opening day if it is the day after the last; None in all other weeks.
    reasons
        Why the targets are what they are.
    """

    start: dt.date
    last_day: dt.date
    phase: Phase
    is_easier: bool
    targets: Targets
    base_min: float
    limit_min: float
    opening_day: dt.date | None = None
    reasons: tuple[Reason, ...] = ()

    @property
    def days(self) -> tuple[dt.date, ...]:
        """The days for training, in order; none if opening day is the Monday."""
        count = (self.last_day - self.start).days + 1
        return tuple(self.start + dt.timedelta(days=n) for n in range(max(count, 0)))


@dataclass(frozen=True, slots=True)
class FloorLine:
    """One thing the floor asks for, over four weeks: needed, and what the plan gives."""

    what: str
    needed: float
    given: float

    @property
    def is_met(self) -> bool:
        """Whether the plan gives enough of it."""
        return self.given >= self.needed


@dataclass(frozen=True, slots=True)
class FloorStatus:
    """Whether the floor is reached.

    Parameters
    ----------
    reached_by
        Day from which it is reached; None if it never is before the likely day.
    is_sure_by_earliest
        Whether it is reached on the earliest opening day.
    lines
        Each thing it asks for, as it stands on the earliest opening day (today, if that is past).
    """

    reached_by: dt.date | None
    is_sure_by_earliest: bool
    lines: tuple[FloorLine, ...]


@dataclass(frozen=True, slots=True)
class Season:
    """The plan up to the likely opening day.

    Parameters
    ----------
    request
        What it was planned from.
    weeks
        In order, from the week of ``request.today`` to that of the likely opening day.
    taper_start
        Monday on which the taper begins; it may lie in the past.
    floor
        Whether the floor is reached, and when.
    statements
        What the rider should know about this plan, most important first.
    reasons
        The rules it keeps, with their sources.
    """

    request: SeasonRequest
    weeks: tuple[Week, ...]
    taper_start: dt.date
    floor: FloorStatus
    statements: tuple[Reason, ...] = ()
    reasons: tuple[Reason, ...] = ()

    def __iter__(self) -> Iterator[Week]:
        return iter(self.weeks)

    def week_of(self, day: dt.date) -> Week | None:
        """Return the week a day falls into; None if the plan does not reach it."""
        return next((week for week in self.weeks if 0 <= (day - week.start).days < 7), None)
