"""What a week's programme chooses from and what it must keep: days, sessions on offer, wishes, rules."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from rideready.model.week import MuscleGroup, PlannedSession, SessionKind

#: Sessions that fill a day's main place; strength may stand beside one, mobility beside anything.
MAIN_KINDS = (SessionKind.CIRCUIT, SessionKind.BURSTS, SessionKind.LONG, SessionKind.EASY)
# One day in seven without a main or a strength session. Common practice, no source.
MOST_ACTIVE_DAYS = 6
#: What a second session on a day costs, and what each credited minute is worth.
STACKED_COST = 40
MINUTE_WORTH = 2
# Between equals, the earlier day: what was missed can then still be moved. Small against any worth.
_LATER_COST = {
    SessionKind.CIRCUIT: 3,
    SessionKind.BURSTS: 3,
    SessionKind.STRENGTH: 2,
    SessionKind.LONG: 1,
    SessionKind.EASY: 1,
    SessionKind.MOBILITY: 1,
}


class Rule(StrEnum):
    """A rule of the week that can be lifted, to find out which one keeps a session out."""

    MINUTES = "minutes of a day"
    HARD_DAYS = "no two hard days in a row"
    REST_48_H = "48 h for a muscle group"
    ONE_A_DAY = "one session of a sort a day"
    REST_DAY = "a day of rest"
    RAMP = "the week's limit"
    BLOCKED = "days on which a kind is not allowed"


@dataclass(frozen=True, slots=True)
class Offer:
    """A session that may be placed, and what choosing this form of it costs (0 for the best form)."""

    session: PlannedSession
    cost: int = 0

    @property
    def kind(self) -> SessionKind:
        """What kind it is."""
        return self.session.kind


@dataclass(frozen=True, slots=True)
class DayRoom:
    """What a day has room for.

    Parameters
    ----------
    day
        The date.
    minutes
        Minutes left on it.
    blocked
        Kinds that must not be placed on it.
    spared
        Muscle groups that must not be trained hard on it.
    has_main, has_strength, has_mobility, is_hard
        What was already done on it.
    """

    day: dt.date
    minutes: int
    blocked: frozenset[SessionKind] = frozenset()
    spared: frozenset[MuscleGroup] = frozenset()
    has_main: bool = False
    has_strength: bool = False
    has_mobility: bool = False
    is_hard: bool = False
    groups: frozenset[MuscleGroup] = frozenset()

    @property
    def is_active(self) -> bool:
        """Whether something that counts against the day of rest was done on it."""
        return self.has_main or self.has_strength


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the week wants of each kind, and what it is worth.

    Parameters
    ----------
    worths
        Kind to the worth of its first, second, ... session, not rising; the length is the number wanted.
        A kind that is absent is limited by the minutes only (steady pieces).
    aim_min
        Moderate-equivalent minutes still wanted; each placed minute up to it is worth `MINUTE_WORTH`.
    most_min
        Moderate-equivalent minutes that must not be exceeded.
    long_day
        Day on which the long piece is worth ``long_day_worth`` more; None for none.
    """

    worths: Mapping[SessionKind, tuple[int, ...]]
    aim_min: int
    most_min: int
    long_day: dt.date | None = None
    long_day_worth: int = 150


@dataclass(frozen=True, slots=True)
class Programme:
    """One week's choice: days left, sessions on offer, what is wanted, and what came before.

    Parameters
    ----------
    days
        In order, a day apart each.
    offers
        Every session that may be placed.
    wanted
        What is wanted.
    active_days_before
        Days of the week that are past and were active.
    is_hard_before, groups_before
        What the day before the first was.
    is_cyclic
        Whether the last day is followed by the first, as in a week that repeats.
    """

    days: tuple[DayRoom, ...]
    offers: tuple[Offer, ...]
    wanted: Wanted
    active_days_before: int = 0
    is_hard_before: bool = False
    groups_before: frozenset[MuscleGroup] = frozenset()
    is_cyclic: bool = False


@dataclass(frozen=True, slots=True)
class Placement:
    """What an optimal programme places: for each day its sessions; and the worth of it all."""

    sessions: tuple[tuple[PlannedSession, ...], ...]
    worth: float


def place_worth(programme: Programme, day: int, offer: Offer) -> int:
    """Say what placing an offer on a day adds, apart from its kind's worth and its minutes.

    Parameters
    ----------
    programme
        The week.
    day
        Which of its days, from 0.
    offer
        The session.

    Returns
    -------
    int
        Usually 0 or negative.
    """
    worth = -offer.cost - _LATER_COST[offer.kind] * day
    if offer.kind is SessionKind.LONG and programme.days[day].day == programme.wanted.long_day:
        worth += programme.wanted.long_day_worth
    return worth
