"""The order of a circuit: neighbours share no main muscle, also from the last to the first where possible.

All rings through the exercises are compared exactly (dynamic programme over subsets: Held, Karp 1962,
J Soc Ind Appl Math 10:196-210), then the ring is turned so that it begins well and its worst neighbours,
if any, lie across the end of the round, where the rest is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rideready.circuit.aims import share_a_muscle
from rideready.model.exercise import Equipment, Exercise, Family, PulseDrive

# What neighbours cost. Any number of small costs is less than one shared main muscle.
_SHARED = 1000
_WORKS_ALONG = 3  # a main muscle of one is trained along by the other: forearms after rows
_SAME_FAMILY = 2
_SAME_JOINT = 2  # the low back needs a turn off between two hinges too
_BOTH_SLOW = 2  # two exercises in a row that let the pulse drop
_DOWN_AND_UP = 1  # lying down or getting up


@dataclass(frozen=True, slots=True)
class Order:
    """Exercises in order.

    Parameters
    ----------
    exercises
        The order.
    clashes
        Neighbours within a round that share a main muscle, by name.
    clashes_across
        Whether the last and the first of the round share one.
    """

    exercises: tuple[Exercise, ...]
    clashes: tuple[tuple[str, str], ...]
    clashes_across: bool


def neighbour_cost(one: Exercise, other: Exercise) -> int:
    """Say how badly two exercises stand next to each other; 0 is best.

    Parameters
    ----------
    one, other
        Two exercises, either way round.
    """
    along = len(set(one.primary) & set(other.secondary)) + len(set(one.secondary) & set(other.primary))
    joints = len(set(one.joints) & set(other.joints))
    both_slow = one.pulse_drive is PulseDrive.LOW and other.pulse_drive is PulseDrive.LOW
    down_and_up = (Equipment.MAT in one.equipment) != (Equipment.MAT in other.equipment)
    return (
        _SHARED * share_a_muscle(one, other)
        + _WORKS_ALONG * along
        + _SAME_FAMILY * (not set(one.families).isdisjoint(other.families))
        + _SAME_JOINT * joints
        + _BOTH_SLOW * both_slow
        + _DOWN_AND_UP * down_and_up
    )


def order(chosen: Sequence[Exercise]) -> Order:
    """Put a set of exercises in order.

    Parameters
    ----------
    chosen
        At least three exercises; their order here only settles ties.

    Returns
    -------
    Order
        The best ring, turned to its best beginning. No order has fewer clashes within the round.

    References
    ----------
    Held, Karp 1962, J Soc Ind Appl Math 10:196-210.
    """
    ring = _best_ring([[neighbour_cost(a, b) for b in chosen] for a in chosen])
    turns = [_turned([chosen[i] for i in ring], k, step) for k in range(len(ring)) for step in (1, -1)]
    best = min(turns, key=_beginning)
    inner = tuple((a.name, b.name) for a, b in pairwise(best) if share_a_muscle(a, b))
    return Order(tuple(best), inner, share_a_muscle(best[-1], best[0]))


def _best_ring(costs: Sequence[Sequence[int]]) -> list[int]:
    """Find the cheapest ring from 0 through all others and back."""
    n = len(costs)
    # (who was visited, who is last) to (cost, path); ties go to the smaller path.
    paths: dict[tuple[int, int], tuple[int, tuple[int, ...]]] = {
        (1 << j, j): (costs[0][j], (0, j)) for j in range(1, n)
    }
    for _ in range(n - 2):
        longer: dict[tuple[int, int], tuple[int, tuple[int, ...]]] = {}
        for (seen, last), (cost, path) in paths.items():
            for j in range(1, n):
                if seen >> j & 1:
                    continue
                key, found = (seen | 1 << j, j), (cost + costs[last][j], (*path, j))
                if key not in longer or found < longer[key]:
                    longer[key] = found
        paths = longer
    _, best = min((cost + costs[last][0], path) for (_, last), (cost, path) in paths.items())
    return list(best)


def _turned(ring: list[Exercise], start: int, step: int) -> list[Exercise]:
    return [ring[(start + step * i) % len(ring)] for i in range(len(ring))]


def _beginning(exercises: list[Exercise]) -> tuple[int, int, int, int, tuple[str, ...]]:
    """Rank a turn of the ring: smallest is best."""
    first, last = exercises[0], exercises[-1]
    return (
        -_SHARED * share_a_muscle(last, first),  # a clash belongs where the rest is
        -(Family.LOWER in first.families) - (first.pulse_drive is PulseDrive.HIGH),
        Family.GRIP in first.families,
        # The grip goes last: nothing has to be held in the rest.
        -(Family.GRIP in last.families),
        tuple(e.name for e in exercises),
    )
