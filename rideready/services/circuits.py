"""Today's circuit, and the circuits done."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from rideready.circuit.solve import build_circuit
from rideready.circuit.solve import swap_exercise as swapped
from rideready.errors import BadInput, Infeasible
from rideready.model.circuit import Circuit, CircuitLog, CircuitRequest, Complaint
from rideready.model.condition import IllnessKind
from rideready.model.exercise import Equipment
from rideready.services.context import Context
from rideready.services.done import conditions
from rideready.services.matching import circuit_log, weights_of
from rideready.services.remembered import remembered
from rideready.services.riders import get_rider
from rideready.services.trained import trained_hard
from rideready.services.training import get_training
from rideready.store.circuits import add_circuit, circuits_done
from rideready.store.prescriptions import circuits_written, keep_circuit

#: Equipment that comes in weights.
LOADS = frozenset({Equipment.DUMBBELLS, Equipment.KETTLEBELL})
#: Heaviest weight that is taken for one, kg.
HEAVIEST_KG = 200.0


def circuit_request(ctx: Context, **wishes: Any) -> CircuitRequest:
    """Gather what a circuit of today has to fit.

    Parameters
    ----------
    ctx
        Store, rider and today.
    **wishes
        Fields of `CircuitRequest` that today differ from what is kept. Muscles given as trained hard
        are added to those that recordings and diary tell of.

    Raises
    ------
    BadInput
        If a wish lies outside its range.
    """
    training = get_training(ctx)
    illnesses, injuries = conditions(ctx)
    has_fever = any(one.kind is IllnessKind.FEVER and one.last_day is None for one in illnesses)
    log = circuit_log(ctx)
    resting = trained_hard(ctx, besides={entry.date for entry in log})
    kept = CircuitRequest(
        date=ctx.today,
        rider=get_rider(ctx),
        level=training.level,
        equipment=frozenset(training.equipment),
        avoid_joints=frozenset(training.avoid_joints) | {injury.joint for injury in injuries},
        exclude=frozenset(training.exclude),
        complaints=frozenset({Complaint.FEVER}) if has_fever else frozenset(),
        log=log,
    )
    resting |= wishes.pop("trained_hard", frozenset())
    return replace(kept, trained_hard=resting, **wishes)


def todays_circuit(ctx: Context, **wishes: Any) -> Circuit:
    """Write today's circuit and keep it as the one prescribed; raises as `circuit_request` and `build_circuit`.

    The one asked for last is kept, unless a circuit of today is logged already.
    """
    request = circuit_request(ctx, **wishes)
    found = remembered(ctx, ("circuit", request), lambda: _attempt(request))
    if isinstance(found, Infeasible):
        raise Infeasible(*found.args)
    _prescribe(ctx, found)
    return found


def _attempt(request: CircuitRequest) -> Circuit | Infeasible:
    """Build a circuit; that there is none costs as much to find out, and is remembered as well."""
    try:
        return build_circuit(request)
    except Infeasible as error:
        return error


def swap_exercise(
    ctx: Context, circuit: Circuit, name: str, *, besides: Collection[str] = (), **wishes: Any
) -> Circuit:
    """Swap one exercise of today's circuit for the next best that goes with the others.

    Parameters
    ----------
    ctx
        Store, rider and today.
    circuit
        The circuit on the table.
    name
        Exercise to swap out.
    besides
        Exercises swapped out before, which are not to come back.
    **wishes
        Those with which the circuit was written (see `circuit_request`).

    Raises
    ------
    BadInput
        If the circuit has no such exercise.
    Infeasible
        If nothing goes with the others under the rules.
    """
    request = circuit_request(ctx, **wishes)
    found = swapped(replace(request, exclude=request.exclude | set(besides)), circuit, name)
    _prescribe(ctx, found)
    return found


def log_circuit(
    ctx: Context,
    circuit: Circuit,
    *,
    rounds_done: int | None,
    rpe: float | None,
    weights_kg: Mapping[str, float] | None = None,
) -> CircuitLog:
    """Write down that a circuit was done.

    Parameters
    ----------
    ctx
        Store, rider and today.
    circuit
        The circuit as it was written.
    rounds_done
        Rounds finished; None for all of them.
    rpe
        How hard it felt, 0 to 10; None if not said.
    weights_kg
        Weight used by name of the exercise, kg; exercises not named took the weight prescribed.

    Raises
    ------
    BadInput
        If the rounds, the rating or a weight lie outside their range, or a weight is for an exercise
        that is not in the circuit or needs none.
    """
    used = dict(weights_of(circuit)) | _checked(circuit, weights_kg or {})
    log = CircuitLog(
        date=ctx.today,
        exercises=circuit.names,
        top_count=circuit.top_count,
        rounds_done=circuit.top_count if rounds_done is None else rounds_done,
        rpe=rpe,
        full_top_count=circuit.full_top_count if circuit.full_top_count != circuit.top_count else None,
        weights_kg=tuple(used.items()),
    )
    with ctx.store.writing() as connection:
        kept = circuits_written(connection, ctx.rider_id).get(ctx.today)
        # What was asked for knows the rests by pulse; a screen that was followed does not.
        if kept is None or (kept.names, kept.top_count) != (circuit.names, circuit.top_count):
            keep_circuit(connection, ctx.rider_id, replace(circuit, date=ctx.today))
        add_circuit(connection, ctx.rider_id, log)
    return log


def _checked(circuit: Circuit, weights_kg: Mapping[str, float]) -> dict[str, float]:
    """Refuse weights that cannot be."""
    loaded = [
        station.exercise.name
        for station in circuit.stations
        if LOADS.intersection(station.exercise.equipment)
    ]
    for name, kg in weights_kg.items():
        if name not in circuit.names:
            raise BadInput(
                f"the circuit has no exercise called {name!r}", "weight", f"It has {', '.join(circuit.names)}"
            )
        if name not in loaded:
            raise BadInput(f"{name} takes no weight", "weight", "Leave it out")
        if not 0 < kg <= HEAVIEST_KG:
            raise BadInput(f"{kg:g} kg cannot be", "weight", f"Give a weight up to {HEAVIEST_KG:g} kg")
    return dict(weights_kg)


def _prescribe(ctx: Context, circuit: Circuit) -> None:
    """Keep a circuit as the one prescribed for its day, unless the day's circuit is logged."""
    with ctx.store.reading() as connection:
        kept = circuits_written(connection, ctx.rider_id).get(circuit.date)
        is_logged = any(log.date == circuit.date for log in circuits_done(connection, ctx.rider_id))
    if is_logged or (kept is not None and _bare(kept) == _bare(circuit)):
        return
    with ctx.store.writing() as connection:
        keep_circuit(connection, ctx.rider_id, circuit)


def _bare(circuit: Circuit) -> Circuit:
    """Leave away what is not kept."""
    stations = tuple(replace(station, reasons=()) for station in circuit.stations)
    return replace(circuit, stations=stations, warm_up=(), cool_down=(), reasons=())
