"""The circuit that an address asks for, as the services make it."""

from dataclasses import dataclass, replace

from dashboards.components.circuit_address import CircuitChoice
from rideready.model.circuit import Circuit
from rideready.model.exercise import Equipment, Joint
from rideready.services.circuits import circuit_request, swap_exercise, todays_circuit
from rideready.services.context import Context


@dataclass(frozen=True, slots=True)
class AtHand:
    """What holds for every circuit of a day.

    Parameters
    ----------
    equipment
        Equipment the rider keeps.
    spared
        Joints that are always spared, by the rider's settings and diary.
    """

    equipment: tuple[Equipment, ...]
    spared: tuple[Joint, ...]


def at_hand(store: Context) -> AtHand:
    """Return what the rider keeps and spares."""
    request = circuit_request(store)
    return AtHand(
        tuple(piece for piece in Equipment if piece in request.equipment),
        tuple(joint for joint in Joint if joint in request.avoid_joints),
    )


def circuit_of(store: Context, choice: CircuitChoice) -> Circuit:
    """Make the circuit of a choice, its exercises swapped one after the other.

    Raises
    ------
    Infeasible
        If no circuit meets the choice, or nothing is left to swap in.
    BadInput
        If an exercise swapped out is none of the circuit's.
    """
    ctx = store if choice.day is None else replace(store, today=choice.day)
    wishes = choice.wishes(frozenset(at_hand(ctx).spared))
    circuit = todays_circuit(ctx, **wishes)
    for place, name in enumerate(choice.swapped):
        circuit = swap_exercise(ctx, circuit, name, besides=choice.swapped[:place], **wishes)
    return circuit
