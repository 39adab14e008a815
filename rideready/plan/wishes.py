"""What a week wants of each kind of session, what that is worth, and which sessions are on offer."""

import datetime as dt

from rideready.model.season import Phase, Targets
from rideready.model.week import Form, SessionKind
from rideready.plan.programme import Offer, Wanted
from rideready.plan.sizes import (
    LEAST_LONG_MIN,
    SHORT_STRENGTH_MIN,
    burst_session,
    circuit_session,
    easy_lengths,
    mobility_session,
    short_circuit_session,
    steady_session,
    strength_sessions,
)

# What the first, second, third session of a kind is worth, by phase; a moderate-equivalent minute is worth 2.
# Ours: only the order matters. While building, circuits, then two strength days, then the long piece; in burst
# practice the bursts come first; in the taper what keeps the intensity (Bosquet 2007) comes first. Twenty steady
# minutes are worth more than a mobility session everywhere.
_WORTHS: dict[Phase, dict[SessionKind, tuple[int, ...]]] = {
    Phase.BUILD: {
        SessionKind.CIRCUIT: (1000, 700, 300),
        SessionKind.STRENGTH: (650, 400, 200),
        SessionKind.LONG: (600,),
        SessionKind.BURSTS: (500, 300),
        SessionKind.MOBILITY: (30, 20, 10),
    },
    Phase.BURSTS: {
        SessionKind.BURSTS: (1100, 650),
        SessionKind.CIRCUIT: (1000, 600, 300),
        SessionKind.STRENGTH: (550, 350, 200),
        SessionKind.LONG: (500,),
        SessionKind.MOBILITY: (30, 20, 10),
    },
    Phase.TAPER: {
        SessionKind.BURSTS: (1100, 700),
        SessionKind.CIRCUIT: (1000, 650, 300),
        SessionKind.STRENGTH: (450, 250, 150),
        SessionKind.LONG: (300,),
        SessionKind.MOBILITY: (30, 20, 10),
    },
}
_WORTHS[Phase.OPENING] = _WORTHS[Phase.TAPER]

# What a lesser form of a session costs against the full one.
_FORM_COSTS = {
    (SessionKind.CIRCUIT, Form.SHORT): 150,
    (SessionKind.STRENGTH, Form.SHORT): 100,
    (SessionKind.STRENGTH, Form.UPPER_AND_TRUNK): 130,
    (SessionKind.STRENGTH, Form.LEGS): 160,
}
#: Each steady piece costs a little, so that one of 40 min is preferred to two of 20.
_EASY_COST = 8


def offers_for(targets: Targets) -> tuple[Offer, ...]:
    """List the sessions that may be placed for a week's targets, each in every form.

    Parameters
    ----------
    targets
        The week's targets.

    Returns
    -------
    tuple of Offer
        In a fixed order.
    """
    sessions = []
    if targets.circuits:
        full = circuit_session(targets.circuit_min, targets.lead_in_min)
        short = short_circuit_session(targets.circuit_min)
        sessions += [full, short] if short.minutes < full.minutes else [full]
    if targets.burst_practices:
        sessions.append(burst_session(targets.bursts))
    if targets.long_piece_min >= LEAST_LONG_MIN:
        sessions.append(steady_session(SessionKind.LONG, targets.long_piece_min))
    if targets.strength:
        sessions += strength_sessions(max(targets.strength_min, SHORT_STRENGTH_MIN))
    if targets.mobility:
        sessions.append(mobility_session())
    lengths = easy_lengths(targets.long_piece_min)
    sessions += [steady_session(SessionKind.EASY, minutes) for minutes in lengths]
    return tuple(
        Offer(s, _EASY_COST if s.kind is SessionKind.EASY else _FORM_COSTS.get((s.kind, s.form), 0))
        for s in sessions
    )


def wanted_counts(targets: Targets) -> dict[SessionKind, int]:
    """Say how many sessions of each kind the targets ask for; steady pieces go by minutes."""
    return {
        SessionKind.CIRCUIT: targets.circuits,
        SessionKind.BURSTS: targets.burst_practices,
        SessionKind.STRENGTH: targets.strength,
        SessionKind.LONG: int(targets.long_piece_min >= LEAST_LONG_MIN),
        SessionKind.MOBILITY: targets.mobility,
    }


def wanted(
    phase: Phase,
    counts: dict[SessionKind, int],
    *,
    done: dict[SessionKind, int],
    aim_min: int,
    most_min: int,
    long_day: dt.date | None,
) -> Wanted:
    """Say what is still wanted of a week and what it is worth; what was done took the first places.

    Parameters
    ----------
    phase
        Its phase decides what matters most.
    counts, done
        Sessions asked for and done, by kind.
    aim_min, most_min
        Moderate-equivalent minutes still wanted, and still allowed.
    long_day
        Where the rider wants the long piece.

    Returns
    -------
    Wanted
        For the programme.
    """
    worths = {}
    for kind, each in _WORTHS[phase].items():
        asked = counts.get(kind, 0)
        ladder = (each + (each[-1],) * asked)[:asked]
        worths[kind] = ladder[done.get(kind, 0) :]
    return Wanted(worths, max(aim_min, 0), max(most_min, 0), long_day)
