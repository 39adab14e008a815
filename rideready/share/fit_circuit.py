"""A circuit of somebody else, fitted to a rider: as many of its exercises kept as the rules allow."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from rideready.circuit.constraints import Blocker, Rule, blockers, pool_of, resting_muscles, set_rules
from rideready.circuit.library import BY_NAME, STATIONS, root
from rideready.circuit.programme import choose
from rideready.circuit.relax import least_minutes, lowest_top
from rideready.circuit.solve import build_circuit
from rideready.errors import Infeasible
from rideready.model.circuit import Circuit, CircuitRequest, RestChoice
from rideready.model.exercise import Exercise
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.share.plan_file import GivenCircuit

#: Worth of keeping an exercise of the plan, above all likeness; points of the circuit's own aims are below 100.
_KEPT = 1000.0
#: Worth of likeness to an exercise that cannot be kept: a variant of it, its movement, a main muscle (ours).
_VARIANT, _MOVEMENT, _MUSCLE = 60.0, 40.0, 10.0
#: Where five exercises do not fit into the time, four are taken, and then five minutes more.
FEWEST_EXERCISES, MOST_OVER_MIN = 4, 5.0
_NO_DAY = dt.date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class FittedCircuit:
    """A circuit of a plan as one rider can do it.

    Parameters
    ----------
    given
        As the plan has it.
    circuit
        As the rider does it; None if none fits.
    changes
        What was replaced or left out and why; why none fits.
    """

    given: GivenCircuit
    circuit: Circuit | None
    changes: tuple[Reason, ...]


def fit_circuit(given: GivenCircuit, request: CircuitRequest) -> FittedCircuit:
    """Fit a circuit to what a rider has and may do.

    The set is chosen exactly under the rules of every circuit, to keep as many exercises of the plan as
    they allow and else what is most alike. The reps of the first round are the rider's own, by log and time at
    hand, and never more than the plan's.

    Parameters
    ----------
    given
        The plan's circuit.
    request
        What it has to fit; its number of exercises and top count are those of the plan.

    Returns
    -------
    FittedCircuit
        The circuit and what was changed.
    """
    wanted = replace(
        request,
        top_count=None,
        rest=RestChoice(given.rest_by, reserve=given.rest_reserve, clock_s=given.rest_s),
    )
    for attempt in _attempts(wanted, len(given.exercises)):
        if not _can_fit(attempt):
            continue
        chosen = _best_set(
            given.exercises, replace(attempt, date=_NO_DAY, rider=Rider(), minutes=None, log=())
        )
        if chosen is None or not _fits(attempt, chosen):
            continue
        try:
            circuit = _written(given, attempt, chosen)
        except Infeasible as error:  # a fever, say: no other set would help
            return _none_fits(given, str(error))
        return FittedCircuit(given, circuit, _changes(given, circuit, attempt))
    try:
        build_circuit(replace(wanted, exercises=FEWEST_EXERCISES))  # only to hear what would help
    except Infeasible as error:
        return _none_fits(given, str(error))
    return _none_fits(given, "What could be kept of it takes longer than you have.")


def _none_fits(given: GivenCircuit, why: str) -> FittedCircuit:
    return FittedCircuit(given, None, (because("share.no_circuit", why=why),))


def _attempts(request: CircuitRequest, n_exercises: int) -> Iterator[CircuitRequest]:
    """Ask for all of it, then for fewer exercises, then for some minutes more."""
    yield replace(request, exercises=n_exercises)
    if n_exercises > FEWEST_EXERCISES:
        yield replace(request, exercises=FEWEST_EXERCISES)
    if request.minutes is not None:
        yield replace(request, exercises=FEWEST_EXERCISES, minutes=request.minutes + MOST_OVER_MIN)


@lru_cache(maxsize=4096)  # many guests have the same equipment
def _best_set(names: tuple[str, ...], request: CircuitRequest) -> tuple[Exercise, ...] | None:
    """Choose the set under the rules that keeps most of a circuit; None if no set keeps to them.

    Day, log, time and rider of the request are of no account.
    """
    pool = pool_of(request)
    lost = [BY_NAME[name] for name in names if name in BY_NAME]
    lost = [exercise for exercise in lost if exercise not in pool.exercises]
    points = [
        _KEPT if one.name in names else max((likeness(one, other) for other in lost), default=0.0)
        for one in pool.exercises
    ]
    choice = choose(pool.exercises, points, set_rules(pool.exercises, pool.needed, request.exercises))
    return None if choice is None else choice.exercises


def _can_fit(request: CircuitRequest) -> bool:
    """Say whether the quickest exercises would fit into the time; saves choosing where none can."""
    seconds = sorted(exercise.seconds_of_a_count for exercise in pool_of(request).exercises)
    least = sum(seconds[: request.exercises])
    return request.minutes is None or least_minutes(request, lowest_top(request), least) <= request.minutes


def _fits(request: CircuitRequest, chosen: Sequence[Exercise]) -> bool:
    """Say whether a set fits into the time with the fewest reps a circuit may start from."""
    if request.minutes is None:
        return True
    seconds = sum(exercise.seconds_of_a_count for exercise in chosen)
    return least_minutes(request, lowest_top(request), seconds) <= request.minutes


def _written(given: GivenCircuit, request: CircuitRequest, chosen: Sequence[Exercise]) -> Circuit:
    """Write the circuit of a set, from no more reps than the plan's."""
    names = {exercise.name for exercise in chosen}
    only = replace(request, exclude=frozenset(one.name for one in STATIONS if one.name not in names))
    circuit = build_circuit(only)
    if circuit.top_count > given.top_count:
        circuit = build_circuit(replace(only, top_count=given.top_count))
    return circuit


def likeness(one: Exercise, other: Exercise) -> float:
    """Say how well one exercise takes the place of another, in points (ours).

    Parameters
    ----------
    one, other
        Two exercises.
    """
    return (
        _VARIANT * (root(one) == root(other))
        + _MOVEMENT * (one.movement is other.movement)
        + _MUSCLE * len(set(one.primary) & set(other.primary))
    )


def _changes(given: GivenCircuit, circuit: Circuit, request: CircuitRequest) -> tuple[Reason, ...]:
    """Name every exercise that was replaced or left out, and a lower top count."""
    lost = [name for name in given.exercises if name not in circuit.names]
    added = [BY_NAME[name] for name in circuit.names if name not in given.exercises]
    pairs = _paired(lost, added)
    said = []
    for name in lost:
        why = _why(name, request)
        if name in pairs:
            said.append(because("share.replaced", old=_named(name), why=why, new=pairs[name]))
        else:
            said.append(because("share.left_out", old=_named(name), why=why))
    said += [because("share.added", new=new.name) for new in added if new.name not in pairs.values()]
    if circuit.top_count < given.top_count:
        said.append(because("share.fewer_reps", own=circuit.top_count, given=given.top_count))
    return tuple(said)


def _paired(lost: Sequence[str], added: Sequence[Exercise]) -> dict[str, str]:
    """Pair what was lost with what came, the most alike first; what is not alike at all stays alone."""
    alike = [(likeness(new, BY_NAME[old]), old, new.name) for old in lost if old in BY_NAME for new in added]
    pairs: dict[str, str] = {}
    for points, old, new in sorted(alike, key=lambda pair: -pair[0]):
        if points > 0 and old not in pairs and new not in pairs.values():
            pairs[old] = new
    return pairs


def _named(name: str) -> str:
    """Repeat only names of the library; what else a file says is not put into sentences."""
    return name if name in BY_NAME else "An exercise this version does not know"


def _why(name: str, request: CircuitRequest) -> str:
    exercise = BY_NAME.get(name)
    if exercise is None or exercise not in STATIONS:
        return "it is not in the list"
    found = blockers(exercise, request, resting_muscles(request))
    if not found:
        return f"only {request.exercises} exercises fit the time at hand"
    return " and ".join(_because_of(blocker) for blocker in found)


def _because_of(blocker: Blocker) -> str:
    return {
        Rule.EQUIPMENT: f"it needs {_article(blocker.what)}",
        Rule.JOINT: f"it loads the {blocker.what}",
        Rule.EXCLUDED: "you do not want it",
        Rule.LEVEL: f"it is for {blocker.what} riders",
        Rule.IMPACT: "its landing is too hard",
        Rule.RESTING: f"the {blocker.what} rest today",
    }[blocker.rule]


def _article(piece: str) -> str:
    return piece if piece.endswith("s") else f"a {piece}"
