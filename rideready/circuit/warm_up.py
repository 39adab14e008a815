"""What comes before and after: moves that wake up the muscles used, stretches that fit them."""

from collections import Counter
from collections.abc import Sequence
from itertools import combinations

import numpy as np

from rideready.circuit.exercises.mobility import EASY_MOVES, WARM_UP_MOVES
from rideready.circuit.exercises.stretch import STRETCHES as STRETCH_LIST
from rideready.circuit.timing import (
    COLD_EASY_S,
    COLD_MOVE_S,
    COLD_MOVES,
    COOL_EASY_S,
    STRETCH_S,
    STRETCHES,
    WARM_MOVE_S,
    WARM_MOVES,
)
from rideready.model.circuit import CircuitRequest, Start, TimedMove
from rideready.model.exercise import Exercise, Muscle


def muscle_work(stations: Sequence[Exercise]) -> Counter[Muscle]:
    """Say how much each muscle group works: 2 for a main muscle, 1 for one trained along.

    Parameters
    ----------
    stations
        Exercises of a circuit.
    """
    work: Counter[Muscle] = Counter()
    for exercise in stations:
        work.update(dict.fromkeys(exercise.primary, 2))
        work.update(dict.fromkeys(exercise.secondary, 1))
    return work


def warm_up(stations: Sequence[Exercise], request: CircuitRequest) -> tuple[TimedMove, ...]:
    """Choose the warm-up: easy movement, then moves for the muscles about to work.

    Straight from the cardio piece only the moves are left, and fewer.

    Parameters
    ----------
    stations
        Exercises of the circuit.
    request
        Its start, equipment and joints to spare.

    Returns
    -------
    tuple of TimedMove
        In order, lengths from ``rideready.circuit.timing``.

    References
    ----------
    Common practice, no source.
    """
    work = muscle_work(stations)
    if request.start is Start.FROM_CARDIO:
        moves = _best_cover(_possible(WARM_UP_MOVES, request), work, WARM_MOVES)
        return tuple(TimedMove(move, WARM_MOVE_S) for move in moves)
    moves = _best_cover(_possible(WARM_UP_MOVES, request), work, COLD_MOVES)
    return (_easy(request, COLD_EASY_S), *(TimedMove(move, COLD_MOVE_S) for move in moves))


def cool_down(stations: Sequence[Exercise], request: CircuitRequest) -> tuple[TimedMove, ...]:
    """Choose the cool-down: easy movement, then stretches for the muscles that worked most.

    Parameters
    ----------
    stations
        Exercises of the circuit.
    request
        Its equipment and joints to spare.

    Returns
    -------
    tuple of TimedMove
        In order; 60 s for each stretch, both sides included.

    References
    ----------
    Garber et al. 2011, Med Sci Sports Exerc 43:1334-59: 10-30 s a hold, 60 s an exercise in all.
    """
    stretches = _best_cover(_possible(STRETCH_LIST, request), muscle_work(stations), STRETCHES)
    return (_easy(request, COOL_EASY_S), *(TimedMove(stretch, STRETCH_S) for stretch in stretches))


def _easy(request: CircuitRequest, seconds: float) -> TimedMove:
    return TimedMove(_possible(EASY_MOVES, request)[0], seconds)


def _possible(moves: Sequence[Exercise], request: CircuitRequest) -> list[Exercise]:
    return [
        move
        for move in moves
        if request.equipment.issuperset(move.equipment) and request.avoid_joints.isdisjoint(move.joints)
    ]


def _best_cover(moves: Sequence[Exercise], work: Counter[Muscle], n: int) -> tuple[Exercise, ...]:
    """Choose the n moves whose muscles together work most in the circuit; the list's order settles ties."""
    sets = np.array(list(combinations(range(len(moves)), n)))
    is_main = np.array([[muscle in move.primary for muscle in Muscle] for move in moves])
    is_along = np.array([[muscle in move.secondary for muscle in Muscle] for move in moves])
    main, along = is_main[sets].any(axis=1), is_along[sets].any(axis=1)
    amounts = np.array([work[muscle] for muscle in Muscle])
    # A muscle stretched along counts only where no main one is forgotten for it.
    worth = 1000 * (main @ amounts) + (along & ~main) @ amounts
    return tuple(moves[i] for i in sets[np.argmax(worth)])
