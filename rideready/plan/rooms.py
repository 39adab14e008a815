"""What each day that is left of a week has room for."""

import datetime as dt
from collections.abc import Mapping, Sequence

from rideready.model.condition import Illness
from rideready.model.season import Week
from rideready.model.week import DoneSession, MuscleGroup, SessionKind
from rideready.plan.conditions import allowance_on
from rideready.plan.programme import MAIN_KINDS, DayRoom

# The day before opening day stays easy: nothing hard, nothing long, no weights. Common practice.
_NOT_ON_THE_EVE = frozenset({SessionKind.CIRCUIT, SessionKind.BURSTS, SessionKind.LONG, SessionKind.STRENGTH})
# Sore muscles are left alone on the day the rider says so and the next, as if trained hard on that day.
_SORE_DAYS = 2


def rooms_left(
    week: Week,
    availability: Mapping[dt.date, int],
    done: Sequence[DoneSession],
    *,
    today: dt.date,
    illnesses: Sequence[Illness],
    sore: Mapping[MuscleGroup, dt.date],
) -> tuple[DayRoom, ...]:
    """Say what each day from today on has room for.

    Parameters
    ----------
    week
        The week.
    availability
        Minutes at hand by date; a date that is missing has none.
    done
        Sessions done, on any day.
    today
        First day looked at.
    illnesses
        They bound minutes and kinds.
    sore
        Muscle groups that are sore, and the day the rider said so.

    Returns
    -------
    tuple of DayRoom
        One a day, in order; empty if the week is over.
    """
    rooms = []
    for day in week.days:
        if day < today:
            continue
        here = [session for session in done if session.day == day]
        allowed = allowance_on(day, illnesses, today)
        minutes = max(availability.get(day, 0), 0)
        minutes = minutes if allowed.most_min is None else min(minutes, allowed.most_min)
        on_eve = week.opening_day is not None and day == week.last_day
        rooms.append(
            DayRoom(
                day,
                max(int(minutes - sum(session.minutes for session in here)), 0),
                allowed.blocked | (_NOT_ON_THE_EVE if on_eve else frozenset()),
                resting_groups(sore, day),
                has_main=any(session.kind in MAIN_KINDS for session in here),
                has_strength=any(session.kind is SessionKind.STRENGTH for session in here),
                has_mobility=any(session.kind is SessionKind.MOBILITY for session in here),
                is_hard=any(session.is_hard for session in here),
                groups=frozenset().union(*(session.groups for session in here)),
            )
        )
    return tuple(rooms)


def resting_groups(sore: Mapping[MuscleGroup, dt.date], day: dt.date) -> frozenset[MuscleGroup]:
    """Say which of the sore muscle groups are still left alone on a day."""
    return frozenset(group for group, told in sore.items() if 0 <= (day - told).days < _SORE_DAYS)


def done_on(done: Sequence[DoneSession], day: dt.date) -> tuple[bool, frozenset[MuscleGroup]]:
    """Say whether a day was hard, and which muscle groups were trained hard on it."""
    here = [session for session in done if session.day == day]
    return any(s.is_hard for s in here), frozenset().union(*(s.groups for s in here))


def active_days(done: Sequence[DoneSession], first: dt.date, before: dt.date) -> int:
    """Count the days from the first on with a main or a strength session, before another day."""
    counted = {*MAIN_KINDS, SessionKind.STRENGTH}
    return len({s.day for s in done if first <= s.day < before and s.kind in counted})
