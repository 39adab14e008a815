"""How much the rider's ordinary week has room for."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from rideready.model.season import Phase, Targets
from rideready.model.week import PlannedSession, SessionKind
from rideready.plan.programme import DayRoom, Offer, Programme
from rideready.plan.sizes import (
    EASY_MIN,
    Shape,
    burst_session,
    circuit_session,
    mobility_session,
    steady_session,
    strength_sessions,
)
from rideready.plan.solve import solve
from rideready.plan.wishes import offers_for, wanted, wanted_counts

# Lead-in and circuit minutes, bursts, and minutes of the long piece that are tried, best first; each step
# down costs a little, so that a longer session is chosen wherever a day holds it.
_CIRCUITS = ((20, 20), (15, 15), (10, 12), (10, 6))
_BURSTS = (12, 8, 4)
_LONGS = (120, 90, 60, 45, 30, 20)
_STEP_COST = 60
# Any Monday; the programme only needs dates that follow each other.
_MONDAY = dt.date(2024, 1, 1)
_NO_LIMIT_MIN = 10_000


@dataclass(frozen=True, slots=True)
class Capacity:
    """What the ordinary week holds of a wished shape.

    Parameters
    ----------
    shape
        The wished numbers of sessions, less what does not fit.
    total_min
        The most moderate-equivalent minutes that fit beside them.
    circuit_session_min, burst_session_min, long_min
        The longest session of each kind that fits; 0 if none does.
    """

    shape: Shape
    total_min: int
    circuit_session_min: int
    burst_session_min: int
    long_min: int


def capacity_of(minutes_by_weekday: Sequence[int], phase: Phase, shape: Shape) -> Capacity:
    """Find out what fits into an ordinary week, week after week, under every rule of the week.

    Parameters
    ----------
    minutes_by_weekday
        Minutes at hand, Monday first.
    phase
        Decides what matters most where not everything fits.
    shape
        The wished numbers of sessions.

    Returns
    -------
    Capacity
        Exact for the session lengths that are tried.
    """
    counts = {
        SessionKind.CIRCUIT: shape.circuits,
        SessionKind.BURSTS: shape.burst_practices,
        SessionKind.STRENGTH: shape.strength,
        SessionKind.LONG: 1,
        SessionKind.MOBILITY: shape.mobility,
    }
    wish = wanted(phase, counts, done={}, aim_min=_NO_LIMIT_MIN, most_min=_NO_LIMIT_MIN, long_day=None)
    placed = solve(Programme(_ordinary_days(minutes_by_weekday), _offers(shape), wish, is_cyclic=True))
    sessions = [session for day in placed.sessions for session in day]

    def of(kind: SessionKind) -> list[PlannedSession]:
        return [session for session in sessions if session.kind is kind]

    return Capacity(
        Shape(
            len(of(SessionKind.CIRCUIT)),
            len(of(SessionKind.BURSTS)),
            len(of(SessionKind.STRENGTH)),
            len(of(SessionKind.MOBILITY)),
            min((s.minutes for s in of(SessionKind.STRENGTH)), default=0),
        ),
        sum(session.moderate_equivalent_min for session in sessions),
        min((s.minutes for s in of(SessionKind.CIRCUIT)), default=0),
        min((s.minutes for s in of(SessionKind.BURSTS)), default=0),
        max((s.minutes for s in of(SessionKind.LONG)), default=0),
    )


def shortfall(minutes_by_weekday: Sequence[int], phase: Phase, targets: Targets) -> int:
    """Say how many of a week's minutes would not fit into the ordinary week, after week like it.

    Parameters
    ----------
    minutes_by_weekday
        Minutes at hand, Monday first.
    phase
        Decides what matters most where not everything fits.
    targets
        The week's targets.

    Returns
    -------
    int
        Moderate-equivalent minutes; 0 if all fit.
    """
    total = targets.moderate_equivalent_min
    wish = wanted(phase, wanted_counts(targets), done={}, aim_min=total, most_min=total, long_day=None)
    days = _ordinary_days(minutes_by_weekday)
    placed = solve(Programme(days, offers_for(targets), wish, is_cyclic=True))
    return total - sum(s.moderate_equivalent_min for sessions in placed.sessions for s in sessions)


def _ordinary_days(minutes_by_weekday: Sequence[int]) -> tuple[DayRoom, ...]:
    """Make the seven days of an ordinary week."""
    return tuple(
        DayRoom(_MONDAY + dt.timedelta(days=d), minutes) for d, minutes in enumerate(minutes_by_weekday)
    )


def _offers(shape: Shape) -> tuple[Offer, ...]:
    """Every session length that is tried, the longer ones cheaper."""
    ladders = [
        [circuit_session(work, lead_in) for lead_in, work in _CIRCUITS] if shape.circuits else [],
        [burst_session(bursts) for bursts in _BURSTS] if shape.burst_practices else [],
        [steady_session(SessionKind.LONG, minutes) for minutes in _LONGS],
        list(strength_sessions(shape.strength_min)) if shape.strength else [],
        [mobility_session()] if shape.mobility else [],
    ]
    stepped = [Offer(session, _STEP_COST * n) for ladder in ladders for n, session in enumerate(ladder)]
    return (*stepped, *(Offer(steady_session(SessionKind.EASY, minutes)) for minutes in EASY_MIN))
