"""Today in one answer: the plan's session and, if one is due, the circuit that fits it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from rideready.errors import Infeasible
from rideready.model.circuit import Circuit, Start
from rideready.model.today import CircuitDue, TodayAnswer
from rideready.services.circuits import circuit_request, todays_circuit
from rideready.services.context import Context
from rideready.services.planning import todays_answer
from rideready.services.trained import muscles_of


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
    wishes
        What the circuit was asked to fit, as `todays_circuit` and `swap_exercise` take it.
    """

    answer: TodayAnswer
    circuit: Circuit | None
    no_circuit: str | None
    wishes: Mapping[str, Any] = field(default_factory=dict)


#: Fewest exercises of a circuit, and how far it may run over the time planned for it, min.
FEWEST_EXERCISES, MOST_OVER_MIN = 4, 5.0


def today_with_circuit(ctx: Context) -> Today:
    """Say what to do today and write the circuit if one is due; raises as `todays_answer`.

    Where five exercises do not fit into the time planned, four are taken; where they do not fit
    either, the circuit may run over by five minutes, and the answer says so.
    """
    answer = todays_answer(ctx)
    due = answer.circuit
    if due is None:
        return Today(answer, None, None)
    planned_min, why_not = float(due.minutes), ""
    for exercises, minutes in (
        (None, planned_min),
        (FEWEST_EXERCISES, planned_min),
        (FEWEST_EXERCISES, planned_min + MOST_OVER_MIN),
    ):
        wishes = _wishes(ctx, due, minutes=minutes, exercises=exercises)
        try:
            return Today(answer, todays_circuit(ctx, **wishes), None, wishes)
        except Infeasible as error:
            why_not = why_not or str(error)
    return Today(answer, None, why_not)


def _wishes(ctx: Context, due: CircuitDue, *, minutes: float, exercises: int | None) -> dict[str, Any]:
    wishes: dict[str, Any] = {} if exercises is None else {"exercises": exercises}
    return wishes | {
        "minutes": minutes,
        "level": due.level,
        "avoid_joints": circuit_request(ctx).avoid_joints | due.avoid_joints,
        "trained_hard": muscles_of(due.groups_at_rest),
        "start": Start.FROM_CARDIO,
    }
