"""Today's circuit, and the circuits done."""

from dataclasses import replace
from typing import Any

from rideready.circuit.solve import build_circuit
from rideready.model.circuit import Circuit, CircuitLog, CircuitRequest, Complaint
from rideready.model.condition import IllnessKind
from rideready.services.context import Context
from rideready.services.done import conditions
from rideready.services.riders import get_rider
from rideready.services.training import get_training
from rideready.store.circuits import add_circuit, circuits_done


def circuit_request(ctx: Context, **wishes: Any) -> CircuitRequest:
    """Gather what a circuit of today has to fit.

    Parameters
    ----------
    ctx
        Store, rider and today.
    **wishes
        Fields of `CircuitRequest` that today differ from what is kept.

    Raises
    ------
    BadInput
        If a wish lies outside its range.
    """
    training = get_training(ctx)
    illnesses, injuries = conditions(ctx)
    has_fever = any(one.kind is IllnessKind.FEVER and one.last_day is None for one in illnesses)
    with ctx.store.reading() as connection:
        log = tuple(circuits_done(connection, ctx.rider_id))
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
    return replace(kept, **wishes)


def todays_circuit(ctx: Context, **wishes: Any) -> Circuit:
    """Write today's circuit; raises as `circuit_request` and `build_circuit`."""
    return build_circuit(circuit_request(ctx, **wishes))


def log_circuit(ctx: Context, circuit: Circuit, *, rounds_done: int | None, rpe: float | None) -> CircuitLog:
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

    Raises
    ------
    BadInput
        If the rounds or the rating lie outside their range.
    """
    log = CircuitLog(
        date=ctx.today,
        exercises=circuit.names,
        top_count=circuit.top_count,
        rounds_done=circuit.top_count if rounds_done is None else rounds_done,
        rpe=rpe,
        full_top_count=circuit.full_top_count if circuit.full_top_count != circuit.top_count else None,
    )
    with ctx.store.writing() as connection:
        add_circuit(connection, ctx.rider_id, log)
    return log
