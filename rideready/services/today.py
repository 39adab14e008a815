"""Today in one answer: the plan's session and, if one is due, the circuit that fits it."""

from dataclasses import dataclass

from rideready.errors import Infeasible
from rideready.model.circuit import Circuit, Start
from rideready.model.today import TodayAnswer
from rideready.services.circuits import circuit_request, todays_circuit
from rideready.services.context import Context
from rideready.services.planning import todays_answer


@dataclass(frozen=True, slots=True)
class Today:
    """What to do today.

    Parameters
    ----------
    answer
        The plan's answer.
    circuit
        The circuit to do; None if none is due or none can be written.
    no_circuit
        Why none can be written though one is due; else None.
    """

    answer: TodayAnswer
    circuit: Circuit | None
    no_circuit: str | None


def today_with_circuit(ctx: Context) -> Today:
    """Say what to do today and write the circuit if one is due; raises as `todays_answer`."""
    answer = todays_answer(ctx)
    due = answer.circuit
    if due is None:
        return Today(answer, None, None)
    spared = circuit_request(ctx).avoid_joints | due.avoid_joints
    try:
        circuit = todays_circuit(
            ctx, minutes=float(due.minutes), level=due.level, avoid_joints=spared, start=Start.FROM_CARDIO
        )
    except Infeasible as error:
        return Today(answer, None, str(error))
    return Today(answer, circuit, None)
