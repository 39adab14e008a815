"""From a request to a circuit."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from rideready.circuit.aims import points_of
from rideready.circuit.constraints import Pool, SetRule, known_log, pool_of, set_rules, time_rule
from rideready.circuit.explain import (
    cautions,
    expected_rpe,
    why_choice,
    why_progress,
    why_size,
    why_station,
)
from rideready.circuit.order import order
from rideready.circuit.programme import choose
from rideready.circuit.progression import Progress, decide
from rideready.circuit.relax import infeasible, least_minutes, least_seconds, lowest_top
from rideready.circuit.timing import CHANGE_S, around_s, fixed_s, ladder_counts, ladder_s, rest_of
from rideready.circuit.warm_up import cool_down, warm_up
from rideready.errors import BadInput, Infeasible
from rideready.load import session_rpe_load
from rideready.model.circuit import Circuit, CircuitRequest, CircuitStation, Complaint, Rest
from rideready.model.exercise import Exercise
from rideready.model.reason import because

_REFUSALS = {
    Complaint.CHEST_PAIN: ("circuit.chest_pain", "circuit.get_help"),
    Complaint.FAINTNESS: ("circuit.faintness", "circuit.get_help"),
    Complaint.FEVER: ("circuit.fever", "circuit.rest_it"),
    Complaint.INFECTION: ("circuit.infection", "circuit.rest_it"),
}


def build_circuit(request: CircuitRequest) -> Circuit:
    """Write the best descending-rep circuit for a request.

    The exercises are chosen exactly (`rideready.circuit.programme`), put in order exactly
    (`rideready.circuit.order`), and each decision says why. The same request gives the same circuit.

    The minutes rest on a coach's seconds per rep and a usual rest; they are wrong by some minutes for
    most riders until recordings are matched, and they do not slow down with fatigue.

    Parameters
    ----------
    request
        What it has to fit.

    Returns
    -------
    Circuit
        Stations, order, rest, length, load and reasons.

    Raises
    ------
    Infeasible
        If no circuit meets the request (the message names the smallest change that helps), if there are
        fewer alternatives, or if the rider reports what forbids hard training.
    BadInput
        If an exercise not wanted is none of the library's.

    References
    ----------
    Ladder of ``n * (n + 1) / 2`` reps an exercise, five or six exercises: common practice, no source.
    """
    _refuse_if_unwell(request)
    pool = pool_of(request)
    progress = decide(request, pool)
    top = _fitting_top(request, progress)
    chosen = _chosen(request, pool, progress, top)
    return _written(request, pool, progress, top, chosen)


def swap_exercise(request: CircuitRequest, circuit: Circuit, name: str) -> Circuit:
    """Swap one exercise of a circuit: the best circuit that keeps all others and leaves this one out.

    Parameters
    ----------
    request
        What the circuit was written for; exercises swapped out before belong to its ``exclude``.
    circuit
        The circuit.
    name
        Exercise to swap out.

    Returns
    -------
    Circuit
        Of the same size and under the same hard rules, put in order anew.

    Raises
    ------
    BadInput
        If the circuit has no such exercise.
    Infeasible
        If nothing goes with the others under the rules of the request.
    """
    if name not in circuit.names:
        known = ", ".join(circuit.names)
        raise BadInput(f"the circuit has no exercise called {name!r}", "circuit", f"It has {known}")
    asked = replace(request, exclude=request.exclude | {name}, exercises=len(circuit.stations), alternative=0)
    pool = pool_of(asked)
    progress = decide(asked, pool)
    kept = frozenset(circuit.names) - {name}
    points = [sum(by_aim.values()) for by_aim in points_of(pool.exercises, asked, progress)]
    rules = [*_rules(asked, pool, circuit.top_count), _keeping(pool, kept)]
    choice = choose(pool.exercises, points, rules)
    if choice is None:
        what_to_do = because("circuit.swap_another").sentence
        raise Infeasible(because("circuit.no_swap", name=name).sentence, "circuit", what_to_do)
    return _written(asked, pool, progress, circuit.top_count, choice.exercises)


def _keeping(pool: Pool, names: Collection[str]) -> SetRule:
    """Ask for every one of some exercises."""
    coefficients = tuple(float(exercise.name in names) for exercise in pool.exercises)
    return SetRule(coefficients, len(names), len(names))


def _refuse_if_unwell(request: CircuitRequest) -> None:
    for complaint, (what, what_to_do) in _REFUSALS.items():
        if complaint in request.complaints:
            raise Infeasible(because(what).sentence, "circuit", because(what_to_do).sentence)


def _fitting_top(request: CircuitRequest, progress: Progress) -> int:
    """Return the highest top count up to the next step's that fits into the time at hand."""
    if request.minutes is None:
        return progress.top_count
    seconds = least_seconds(request)
    if seconds is not None:
        for top in range(progress.top_count, lowest_top(request) - 1, -1):
            if least_minutes(request, top, seconds) <= request.minutes:
                return top
    raise infeasible(request)


def _chosen(request: CircuitRequest, pool: Pool, progress: Progress, top: int) -> tuple[Exercise, ...]:
    """Choose the exercises: the best set, or the next best after as many others as asked for."""
    points = [sum(by_aim.values()) for by_aim in points_of(pool.exercises, request, progress)]
    rules = _rules(request, pool, top)
    before: list[frozenset[str]] = []
    while True:
        choice = choose(pool.exercises, points, rules, besides=before)
        if choice is None:
            raise _no_more(len(before)) if before else infeasible(request)
        if len(before) == request.alternative:
            return choice.exercises
        before.append(frozenset(exercise.name for exercise in choice.exercises))


def _rules(request: CircuitRequest, pool: Pool, top: int) -> list[SetRule]:
    rules = set_rules(pool.exercises, pool.needed, request.exercises)
    if request.minutes is not None:
        rest, _ = rest_of(request)
        left = 60 * request.minutes - fixed_s(top, request.exercises, rest.expected_s, request.start)
        rules.append(time_rule(pool.exercises, ladder_counts(top), left))
    return rules


def _no_more(n: int) -> Infeasible:
    what_to_do = because("circuit.fewer_alternatives").sentence
    return Infeasible(because("circuit.no_more", n=n).sentence, "circuit", what_to_do)


def _written(
    request: CircuitRequest, pool: Pool, progress: Progress, top: int, chosen: Sequence[Exercise]
) -> Circuit:
    ordered = order(chosen)
    rest, why_rest = rest_of(request)
    minutes = _minutes(request, ordered.exercises, top, rest)
    rpe, why_load = expected_rpe(request)
    return Circuit(
        date=request.date,
        top_count=top,
        full_top_count=progress.top_count,
        stations=_stations(ordered.exercises, request, progress, top),
        warm_up=warm_up(ordered.exercises, request),
        cool_down=cool_down(ordered.exercises, request),
        rest=rest,
        change_s=CHANGE_S,
        minutes=minutes,
        minutes_at_most=_minutes(request, ordered.exercises, top, replace(rest, expected_s=rest.at_most_s)),
        expected_rpe=rpe,
        load=session_rpe_load(rpe, minutes),
        reasons=(
            *why_progress(chosen, progress),
            *why_choice(request, pool, ordered),
            *why_rest,
            *why_size(request, top, progress.top_count),
            why_load,
            *cautions(ordered.exercises, request),
        ),
    )


def _minutes(request: CircuitRequest, exercises: Sequence[Exercise], top: int, rest: Rest) -> float:
    counts = [exercise.seconds_of_a_count for exercise in exercises]
    ladder = ladder_s(top, counts, change_s=CHANGE_S, rest_s=rest.expected_s)
    return (ladder + around_s(request.start)) / 60


def _stations(
    exercises: Sequence[Exercise], request: CircuitRequest, progress: Progress, top: int
) -> tuple[CircuitStation, ...]:
    step = progress.weight_for(exercise.name for exercise in exercises)
    weights_kg = {name: kg for log in known_log(request) for name, kg in log.weights_kg}
    if step is not None:
        weights_kg[step.name] = step.to_kg
    return tuple(
        CircuitStation(
            exercise=exercise,
            reps=tuple(range(top, 0, -1)),
            work_s=ladder_counts(top) * exercise.seconds_of_a_count,
            weight_kg=weights_kg.get(exercise.name),
            reasons=why_station(exercise, request, progress, step),
        )
        for exercise in exercises
    )
