"""Which rules have to give way before any circuit is possible: the cheapest set of them, found by solving.

Each thing that keeps an exercise out (a piece of equipment that is missing, a joint that is spared, ...) may
give way at a price. The cheapest things whose giving way leaves a set that meets the rules are the optimum
of a 0/1 programme over things and exercises.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from rideready.circuit.constraints import Blocker, Pool, Rule, blockers, pool_of, set_rules
from rideready.circuit.library import STATIONS
from rideready.circuit.linear import LinearProgramme
from rideready.model.circuit import CircuitRequest
from rideready.model.exercise import Family, Impact, Level

#: How much a rider minds a change: each exercise not wanted that is allowed after all, each further piece
#: of equipment, each step of harder landings, each level up, waiting until the 48 h are over, and each
#: joint: last, because it is not the rider's to decide. Only order and rough proportion matter; ours.
PRICES = {
    Rule.EXCLUDED: 1.0,
    Rule.EQUIPMENT: 2.0,
    Rule.IMPACT: 3.0,
    Rule.LEVEL: 4.0,
    Rule.RESTING: 6.0,
    Rule.JOINT: 20.0,
}
#: Waiting frees all resting muscles at once.
WAITING = Blocker(Rule.RESTING, "")
#: A higher step does not give way without the lower ones.
_STEPS = (
    tuple(Blocker(Rule.LEVEL, level.label) for level in Level),
    tuple(Blocker(Rule.IMPACT, impact.label) for impact in Impact),
)


@dataclass(frozen=True, slots=True)
class _Obstacles:
    """What keeps each station of the library out, waiting aside, and which stations are resting."""

    of_station: tuple[tuple[Blocker, ...], ...]
    is_resting: tuple[bool, ...]


def cheapest_to_give_way(request: CircuitRequest) -> frozenset[Blocker] | None:
    """Find the cheapest things that have to give way, the time at hand aside.

    Parameters
    ----------
    request
        What the circuit has to fit.

    Returns
    -------
    frozenset of Blocker or None
        Empty if a circuit is possible as it is; None if nothing helps. All resting muscles are one thing,
        `WAITING`.

    References
    ----------
    Ours.
    """
    pool = pool_of(request)
    found = [blockers(exercise, request, pool.resting) for exercise in STATIONS]
    obstacles = _Obstacles(
        tuple(tuple(b for b in each if b.rule is not Rule.RESTING) for each in found),
        tuple(any(b.rule is Rule.RESTING for b in each) for each in found),
    )
    programme = LinearProgramme()
    for _ in STATIONS:
        programme.whole(0.0)
    things = sorted({b for each in obstacles.of_station for b in each}, key=lambda b: (b.rule, b.what))
    place = {thing: programme.whole(PRICES[thing.rule]) for thing in (*things, WAITING)}
    for i, each in enumerate(obstacles.of_station):
        for thing in each:
            programme.row([(i, 1.0), (place[thing], -1.0)], -np.inf, 0)
        if obstacles.is_resting[i]:
            programme.row([(i, 1.0), (place[WAITING], -1.0)], -np.inf, 0)
    for labels in _STEPS:
        for lower, higher in pairwise(place[thing] for thing in labels if thing in place):
            programme.row([(higher, 1.0), (lower, -1.0)], -np.inf, 0)
    for rule in set_rules(STATIONS, (), request.exercises):
        programme.row(((i, c) for i, c in enumerate(rule.coefficients) if c), rule.low, rule.high)
    for family in Family:
        _cover(programme, family, obstacles, place)
    values = programme.solve()
    if values is None:
        return None
    return frozenset(thing for thing, column in place.items() if values[column])


def _cover(
    programme: LinearProgramme, family: Family, obstacles: _Obstacles, place: Mapping[Blocker, int]
) -> None:
    """Demand the family, unless the 48 h alone keep all of its exercises out.

    ``set_aside`` may be 1 only if nobody waits, some exercise of the family lacks nothing but rest, and
    every one that is rested lacks something else that does not give way.
    """
    members = [i for i, exercise in enumerate(STATIONS) if family in exercise.families]
    set_aside = programme.whole(0.0)
    programme.row([*((i, 1.0) for i in members), (set_aside, 1.0)], 1, np.inf)
    programme.row([(set_aside, 1.0), (place[WAITING], 1.0)], 0, 1)
    witnesses = []
    for i in members:
        columns = [place[thing] for thing in obstacles.of_station[i]]
        if obstacles.is_resting[i]:
            witness = programme.whole(0.0)
            witnesses.append(witness)
            for column in columns:
                programme.row([(witness, 1.0), (column, -1.0)], -np.inf, 0)
        else:
            # set_aside <= how many of its obstacles stay
            programme.row([(set_aside, 1.0), *((c, 1.0) for c in columns)], -np.inf, len(columns))
    programme.row([(set_aside, 1.0), *((w, -1.0) for w in witnesses)], -np.inf, 0)


def missing_families(pool: Pool) -> Sequence[Family]:
    """Name the families a pool needs and has no exercise for.

    Parameters
    ----------
    pool
        What a request leaves to choose from.
    """
    covered = {family for exercise in pool.exercises for family in exercise.families}
    return [family for family in pool.needed if family not in covered]
