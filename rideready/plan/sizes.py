"""How long each session is and what it counts for, and how a week's minutes are shared out among sessions."""

import math
from dataclasses import dataclass

from rideready.model.season import Targets
from rideready.model.week import WHOLE_BODY, Form, MuscleGroup, PlannedSession, SessionKind
from rideready.plan.guidance import LEAST_WEEKLY_MIN, VIGOROUS_COUNTS

# Session figures are common practice, no source: about 20 min of steady work, then straight into the circuit.
# The circuit proper counts as vigorous, since the aim is to keep the pulse up; the steady work leading into it
# as moderate. A burst is 45 s with 60 s of standing still, and the whole set counts as vigorous, because the
# pulse hardly falls below vigorous between bursts. These are the plan's assumptions; what a recording then
# shows is what counts as done.
COOL_DOWN_MIN = 5
BURST_WARM_UP_MIN = 10
BURST_AND_PAUSE_MIN = 1.75
LEAST_CIRCUIT_MIN, MOST_CIRCUIT_MIN = 6, 20
LEAD_INS_MIN = (20, 15, 10)
MOST_LEAD_IN_MIN = 30
BURST_COUNTS = (12, 10, 8, 6, 4, 3)
MOBILITY_MIN = 10
EASY_MIN = (20, 30, 40, 50, 60, 75, 90)
LEAST_LONG_MIN, MOST_LONG_MIN = 30, 120
# Other steady pieces stay below the first share of the long one; from the second share on, one counts as it. Ours.
_EASY_OF_LONG, _COUNTS_AS_LONG = 0.85, 0.9
#: The floor asks for one steady piece of this length; see ``rideready.plan.floor``.
FLOOR_LONG_MIN = 45
# Vigorous minutes are at most a quarter of the week's, so at most half of it once counted twice. Ours.
VIGOROUS_SHARE = 0.25
# Each short form fits into 20 minutes.
SHORT_LEAD_IN_MIN, SHORT_CIRCUIT_MIN, SHORT_COOL_DOWN_MIN = 5, 12, 3
SHORT_STRENGTH_MIN = 20

_LEGS = frozenset({MuscleGroup.LOWER})
_UPPER_AND_TRUNK = frozenset({MuscleGroup.UPPER, MuscleGroup.TRUNK})


def burst_set_min(bursts: int) -> int:
    """Say how many minutes a set of bursts takes, pauses included, rounded up."""
    return math.ceil(BURST_AND_PAUSE_MIN * bursts)


def circuit_session(circuit_min: int, lead_in_min: int) -> PlannedSession:
    """Make a circuit session from its two parts, in minutes."""
    return PlannedSession(
        SessionKind.CIRCUIT,
        Form.FULL,
        lead_in_min + circuit_min + COOL_DOWN_MIN,
        lead_in_min + VIGOROUS_COUNTS * circuit_min,
        circuit_min,
        WHOLE_BODY,
        is_hard=True,
    )


def short_circuit_session(circuit_min: int) -> PlannedSession:
    """Make the 20-minute form of a circuit session: shorter lead-in, at most 12 minutes of circuit."""
    work = min(circuit_min, SHORT_CIRCUIT_MIN)
    return PlannedSession(
        SessionKind.CIRCUIT,
        Form.SHORT,
        SHORT_LEAD_IN_MIN + work + SHORT_COOL_DOWN_MIN,
        SHORT_LEAD_IN_MIN + VIGOROUS_COUNTS * work,
        work,
        WHOLE_BODY,
        is_hard=True,
    )


def burst_session(bursts: int) -> PlannedSession:
    """Make a burst practice of so many bursts."""
    work = burst_set_min(bursts)
    return PlannedSession(
        SessionKind.BURSTS,
        Form.FULL,
        BURST_WARM_UP_MIN + work + COOL_DOWN_MIN,
        BURST_WARM_UP_MIN + VIGOROUS_COUNTS * work,
        work,
        is_hard=True,
    )


def strength_sessions(strength_min: int) -> tuple[PlannedSession, ...]:
    """Make the forms of a strength session: whole body, short, and the two halves of the body."""
    half = max(SHORT_STRENGTH_MIN, 5 * round(strength_min * 0.6 / 5))
    short = min(SHORT_STRENGTH_MIN, strength_min)
    forms = [
        (Form.FULL, strength_min, WHOLE_BODY),
        (Form.UPPER_AND_TRUNK, min(half, strength_min), _UPPER_AND_TRUNK),
        (Form.LEGS, min(half, strength_min), _LEGS),
    ]
    if short < strength_min:
        forms.insert(1, (Form.SHORT, short, WHOLE_BODY))
    return tuple(
        PlannedSession(SessionKind.STRENGTH, form, minutes, groups=groups) for form, minutes, groups in forms
    )


def steady_session(kind: SessionKind, minutes: int) -> PlannedSession:
    """Make a long or an easy steady piece; every minute is moderate."""
    return PlannedSession(kind, Form.FULL, minutes, minutes)


def easy_lengths(long_min: int) -> tuple[int, ...]:
    """List the lengths of the week's other steady pieces: clearly shorter than the long one, if there is one."""
    most = _EASY_OF_LONG * long_min
    return tuple(minutes for minutes in EASY_MIN if not long_min or minutes <= most) or EASY_MIN[:1]


def counts_as_long(minutes: float, long_min: int) -> bool:
    """Say whether a steady piece that was done is about as long as the week's long piece should be."""
    return bool(long_min) and minutes >= _COUNTS_AS_LONG * long_min


def mobility_session() -> PlannedSession:
    """Make a mobility session."""
    return PlannedSession(SessionKind.MOBILITY, Form.FULL, MOBILITY_MIN)


@dataclass(frozen=True, slots=True)
class Shape:
    """How many sessions of each kind a week has, and the strength session's length."""

    circuits: int
    burst_practices: int
    strength: int
    mobility: int
    strength_min: int


@dataclass(frozen=True, slots=True)
class Bounds:
    """What a week's sessions must not outgrow.

    Parameters
    ----------
    vigorous_min
        The most vigorous minutes in the week.
    circuit_session_min, burst_session_min, long_min
        The longest session of each kind that the days hold, or that comes next in the ramp.
    bursts
        The most bursts in a practice.
    main_places
        Days that can hold a circuit, a burst practice, the long piece or another steady piece.
    """

    vigorous_min: float
    circuit_session_min: int
    burst_session_min: int
    long_min: int
    bursts: int
    main_places: int = 6


def share_out(total_min: int, shape: Shape, bounds: Bounds) -> Targets:
    """Share a week's minutes out among its sessions.

    Bursts come first, with at most two thirds of the vigorous minutes, then the circuits; then the steady work
    leading into them, the long piece, and what is left as steady pieces.

    Parameters
    ----------
    total_min
        Moderate-equivalent minutes of the week.
    shape
        How many sessions of each kind are wanted.
    bounds
        What they must not outgrow.

    Returns
    -------
    Targets
        The week's targets; a session that would be shorter than worth while is left out.
    """
    vigorous_left = min(bounds.vigorous_min, VIGOROUS_SHARE * total_min)
    practices, bursts = _bursts(vigorous_left, shape, bounds)
    set_min = burst_set_min(bursts)
    circuits, circuit_min = _circuits(vigorous_left - practices * set_min, shape.circuits, bounds)
    vigorous = circuits * circuit_min + practices * set_min
    left = total_min - VIGOROUS_COUNTS * vigorous - practices * BURST_WARM_UP_MIN
    lead_in = _lead_in(left, circuits, circuit_min, total_min, bounds) if circuits else 0
    left -= circuits * lead_in
    easy_places = max(bounds.main_places - circuits - practices - 1, 0)
    long_min = _long_piece(left, bounds.long_min, easy_places)
    spare = left - long_min
    if circuits and 0 < spare < EASY_MIN[0]:  # too little for a session of its own
        room = bounds.circuit_session_min - (lead_in + circuit_min + COOL_DOWN_MIN)
        lead_in += max(min(spare // circuits, room, MOST_LEAD_IN_MIN - lead_in), 0)
    return Targets(
        total_min,
        vigorous,
        circuits,
        shape.strength,
        shape.mobility,
        practices,
        long_min,
        circuit_min,
        lead_in,
        bursts,
        shape.strength_min if shape.strength else 0,
    )


def hard_minutes(targets: Targets) -> int:
    """Add up the moderate-equivalent minutes of a week's circuits and burst practices."""
    circuits = targets.circuits * (targets.lead_in_min + VIGOROUS_COUNTS * targets.circuit_min)
    set_min = burst_set_min(targets.bursts)
    return circuits + targets.burst_practices * (BURST_WARM_UP_MIN + VIGOROUS_COUNTS * set_min)


def _bursts(vigorous_min: float, shape: Shape, bounds: Bounds) -> tuple[int, int]:
    """How many practices of how many bursts; fewer practices rather than fewer than three bursts.

    Bursts take at most two thirds of the vigorous minutes and leave each circuit its six.
    """
    room = vigorous_min
    if shape.circuits:
        room = min(vigorous_min * 2 / 3, vigorous_min - shape.circuits * LEAST_CIRCUIT_MIN)
    for practices in range(shape.burst_practices, 0, -1):
        for bursts in BURST_COUNTS:
            fits_day = burst_session(bursts).minutes <= bounds.burst_session_min
            if bursts <= bounds.bursts and fits_day and practices * burst_set_min(bursts) <= room:
                return practices, bursts
    return 0, 0


def _circuits(vigorous_min: float, wanted: int, bounds: Bounds) -> tuple[int, int]:
    """How many circuits of how many minutes; fewer circuits rather than shorter than six minutes."""
    longest = min(MOST_CIRCUIT_MIN, bounds.circuit_session_min - LEAD_INS_MIN[-1] - COOL_DOWN_MIN)
    for circuits in range(wanted, 0, -1):
        each = min(int(vigorous_min // circuits), longest)
        if each >= LEAST_CIRCUIT_MIN:
            return circuits, each
    return 0, 0


def _lead_in(left_min: int, circuits: int, circuit_min: int, total_min: int, bounds: Bounds) -> int:
    """Minutes of steady work before each circuit: the most that leaves room for the long piece."""
    wish = FLOOR_LONG_MIN if total_min >= LEAST_WEEKLY_MIN else LEAST_LONG_MIN
    wish = min(wish, bounds.long_min)
    for lead_in in LEAD_INS_MIN:
        fits_day = lead_in + circuit_min + COOL_DOWN_MIN <= bounds.circuit_session_min
        if fits_day and left_min - circuits * lead_in >= wish:
            return lead_in
    return max(min(LEAD_INS_MIN[-1], left_min // circuits), 0)


def _long_piece(left_min: int, most_min: int, easy_places: int) -> int:
    """Minutes of the long piece out of what is left for steady work; 0 if there is too little."""
    most = min(left_min, most_min, MOST_LONG_MIN)
    if most < LEAST_LONG_MIN:
        return 0
    wish = max(5 * round(0.6 * left_min / 5), min(FLOOR_LONG_MIN, left_min))
    if not easy_places or left_min - wish < EASY_MIN[0]:
        wish = left_min
    return min(wish, most)
