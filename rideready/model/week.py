"""A week placed on its days: sessions planned, sessions done, and what did not fit."""

import datetime as dt
import math
from dataclasses import dataclass
from enum import StrEnum

from rideready.model.reason import Reason
from rideready.model.season import Week


class MuscleGroup(StrEnum):
    """The three groups that rest at least 48 h after hard strength work."""

    UPPER = "upper body"
    LOWER = "legs"
    TRUNK = "trunk"


#: All of them: what a circuit and a whole-body strength session train.
WHOLE_BODY = frozenset(MuscleGroup)


class SessionKind(StrEnum):
    """What a planned session is."""

    CIRCUIT = "circuit"  # steady work, then straight into a descending-rep circuit
    BURSTS = "burst practice"  # repeated bursts of full effort with pauses standing still
    LONG = "long piece"
    EASY = "steady piece"
    STRENGTH = "strength"
    MOBILITY = "mobility"

    @property
    def label(self) -> str:
        """The session as one would speak of it."""
        return f"{self.value} session" if self in {self.STRENGTH, self.MOBILITY} else self.value


class Form(StrEnum):
    """Which form of a session was placed."""

    FULL = "full"
    SHORT = "short"
    UPPER_AND_TRUNK = "upper body and trunk"
    LEGS = "legs"


@dataclass(frozen=True, slots=True)
class PlannedSession:
    """One session on one day.

    Parameters
    ----------
    kind, form
        What it is.
    minutes
        How long it takes, warm-up and cool-down included.
    moderate_equivalent_min, vigorous_min
        What it counts for, vigorous minutes twice; and the vigorous ones alone, once.
    groups
        Muscle groups it trains hard.
    is_hard
        Whether it makes a hard day: vigorous work is planned in it.
    """

    kind: SessionKind
    form: Form
    minutes: int
    moderate_equivalent_min: int = 0
    vigorous_min: int = 0
    groups: frozenset[MuscleGroup] = frozenset()
    is_hard: bool = False


@dataclass(frozen=True, slots=True)
class DoneSession:
    """One session that was done.

    Parameters
    ----------
    day
        Local day.
    kind
        What it counts as in the plan; a ride on the machine or a hike is a steady piece.
    minutes
        How long it took.
    moderate_equivalent_min, vigorous_min
        As recorded, or by the log's estimate.
    groups
        Muscle groups it trained hard.
    is_hard
        Whether it was hard: vigorous work in it, or rated hard.

    Raises
    ------
    ValueError
        If a figure is negative or not finite.
    """

    day: dt.date
    kind: SessionKind
    minutes: float
    moderate_equivalent_min: float = 0.0
    vigorous_min: float = 0.0
    groups: frozenset[MuscleGroup] = frozenset()
    is_hard: bool = False

    def __post_init__(self) -> None:
        figures = (self.minutes, self.moderate_equivalent_min, self.vigorous_min)
        if any(not math.isfinite(value) or value < 0 for value in figures):
            raise ValueError("what was done is a finite number, 0 or more")

    @classmethod
    def as_planned(cls, day: dt.date, session: PlannedSession) -> "DoneSession":
        """Say that a planned session was done as planned."""
        return cls(
            day,
            session.kind,
            session.minutes,
            session.moderate_equivalent_min,
            session.vigorous_min,
            session.groups,
            session.is_hard,
        )


@dataclass(frozen=True, slots=True)
class DayPlan:
    """One day; an empty one is a rest day, and ``reasons`` may say why."""

    day: dt.date
    available_min: int
    sessions: tuple[PlannedSession, ...] = ()
    reasons: tuple[Reason, ...] = ()

    @property
    def minutes(self) -> int:
        """Minutes of all its sessions."""
        return sum(session.minutes for session in self.sessions)

    @property
    def is_hard(self) -> bool:
        """Whether it is a hard day."""
        return any(session.is_hard for session in self.sessions)

    @property
    def groups(self) -> frozenset[MuscleGroup]:
        """Muscle groups trained hard on it."""
        return frozenset().union(*(session.groups for session in self.sessions))


@dataclass(frozen=True, slots=True)
class Dropped:
    """Sessions of one kind that the week asks for and that do not fit, and why."""

    kind: SessionKind
    count: int
    reason: Reason


@dataclass(frozen=True, slots=True)
class WeekPlan:
    """A week's targets placed on the days that are left.

    Parameters
    ----------
    week
        The week it places.
    days
        From today, or the Monday, to the week's last day, in order.
    done
        The week's sessions that were done, as they were handed in.
    dropped
        What does not fit, each kind with its reason.
    moved
        What was missed and moved, or missed and dropped, one sentence each; only where the plan
        that was in force before is known.
    short_by_min
        Moderate-equivalent minutes of the target that neither were done nor fit.
    worth
        Value of the programme's objective: comparable between plans of one week.
    reasons
        What decided it, and what to beware of.
    """

    week: Week
    days: tuple[DayPlan, ...]
    done: tuple[DoneSession, ...]
    dropped: tuple[Dropped, ...]
    moved: tuple[Reason, ...]
    short_by_min: int
    worth: float
    reasons: tuple[Reason, ...] = ()

    def on(self, day: dt.date) -> DayPlan | None:
        """Return the plan of one day; None if it is not among the days left."""
        return next((plan for plan in self.days if plan.day == day), None)

    def count(self, kind: SessionKind) -> int:
        """How many sessions of a kind are still planned."""
        return sum(session.kind is kind for plan in self.days for session in plan.sessions)

    @property
    def moderate_equivalent_min(self) -> int:
        """Moderate-equivalent minutes still planned."""
        return sum(session.moderate_equivalent_min for plan in self.days for session in plan.sessions)
