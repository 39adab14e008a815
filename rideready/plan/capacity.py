"""How much the rider's ordinary week has room for."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from rideready.model.season import Phase
from rideready.model.week import PlannedSession, SessionKind
from rideready.plan.programme import DayRoom, Offer, Programme
from rideready.plan.sizes import (
    EASY_MIN,
    MOBILITY_MIN,
    Shape,
    burst_session,
    circuit_session,
    easy_lengths,
    steady_session,
    strength_sessions,
)
from rideready.plan.solve import solve
from rideready.plan.wishes import wanted

# Lead-in and circuit minutes, bursts, and minutes of the long piece that are tried, best first; each step
# down costs something, so that a longer session is chosen wherever a day holds it. Mobility is left out: it finds
# ten minutes anywhere.
_CIRCUITS = ((20, 20), (15, 15), (10, 12), (10, 6))
_BURSTS = (12, 8, 4)
_LONGS = (120, 90, 60, 45, 30)
_STEP_COST = 60
_STRENGTH_STEP_COST = 200
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
    steady_rooms_min
        Minutes that each day with a steady piece has for it, one figure a day.
    """

    shape: Shape
    total_min: int
    circuit_session_min: int
    burst_session_min: int
    long_min: int
    steady_rooms_min: tuple[int, ...]

    def steady_min(self, long_min: int, *, hard_sessions: int) -> int:
        """Say how many steady minutes surely fit: the long piece on one of its days, others on the rest.

        Parameters
        ----------
        long_min
            Minutes of the long piece; 0 for none.
        hard_sessions
            How many circuits and burst practices the week has; the place of one left out is free.

        Returns
        -------
        int
            Minutes; a few more may fit if the hard sessions are shorter than the longest that do.
        """
        left_out = max(self.shape.circuits + self.shape.burst_practices - hard_sessions, 0)
        place = min(
            self.circuit_session_min or self.burst_session_min, self.burst_session_min or _NO_LIMIT_MIN
        )
        rooms = (*self.steady_rooms_min, *(place,) * left_out)
        lengths = easy_lengths(long_min)
        pieces = [max((m for m in lengths if m <= room), default=0) for room in rooms]
        with_long = [
            sum(pieces) - piece + long_min
            for piece, room in zip(pieces, rooms, strict=True)
            if long_min and room >= long_min
        ]
        return max(with_long, default=sum(pieces))


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
    }
    wish = wanted(phase, counts, done={}, aim_min=_NO_LIMIT_MIN, most_min=_NO_LIMIT_MIN, long_day=None)
    days = _ordinary_days(minutes_by_weekday)
    placed = solve(Programme(days, _offers(shape), wish, is_cyclic=True))
    sessions = [session for day in placed.sessions for session in day]

    def of(kind: SessionKind) -> list[PlannedSession]:
        return [session for session in sessions if session.kind is kind]

    return Capacity(
        Shape(
            len(of(SessionKind.CIRCUIT)),
            len(of(SessionKind.BURSTS)),
            len(of(SessionKind.STRENGTH)),
            min(shape.mobility, sum(minutes >= MOBILITY_MIN for minutes in minutes_by_weekday)),
            min((s.minutes for s in of(SessionKind.STRENGTH)), default=0),
        ),
        sum(session.moderate_equivalent_min for session in sessions),
        min((s.minutes for s in of(SessionKind.CIRCUIT)), default=0),
        min((s.minutes for s in of(SessionKind.BURSTS)), default=0),
        max((s.minutes for s in of(SessionKind.LONG)), default=0),
        tuple(
            _steady_room(room, day)
            for room, day in zip(days, placed.sessions, strict=True)
            if _is_steady(day)
        ),
    )


def _is_steady(sessions: Sequence[PlannedSession]) -> bool:
    return any(session.kind in {SessionKind.LONG, SessionKind.EASY} for session in sessions)


def _steady_room(room: DayRoom, sessions: Sequence[PlannedSession]) -> int:
    """Minutes of a day besides its strength and mobility."""
    beside = {SessionKind.STRENGTH, SessionKind.MOBILITY}
    return room.minutes - sum(session.minutes for session in sessions if session.kind in beside)


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
    ]
    return (
        *(
            Offer(s, n * (_STRENGTH_STEP_COST if s.kind is SessionKind.STRENGTH else _STEP_COST))
            for ladder in ladders
            for n, s in enumerate(ladder)
        ),
        *(Offer(steady_session(SessionKind.EASY, minutes)) for minutes in EASY_MIN),
    )
