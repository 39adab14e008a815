"""Today in one answer: the plan's session and, if one is due, the circuit that fits it."""

from dataclasses import dataclass
from typing import Any

from rideready.errors import Infeasible
from rideready.model.circuit import Circuit, Start
from rideready.model.exercise import Muscle
from rideready.model.today import CircuitDue, TodayAnswer
from rideready.model.week import MuscleGroup
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


#: Fewest exercises of a circuit, and how far it may run over the time planned for it, min.
FEWEST_EXERCISES, MOST_OVER_MIN = 4, 5.0

_LEGS = frozenset(
    {
        Muscle.QUADS,
        Muscle.HAMSTRINGS,
        Muscle.GLUTES,
        Muscle.CALVES,
        Muscle.ADDUCTORS,
        Muscle.ABDUCTORS,
        Muscle.HIP_FLEXORS,
    }
)
_UPPER_BODY = frozenset(
    {
        Muscle.CHEST,
        Muscle.SHOULDERS,
        Muscle.TRICEPS,
        Muscle.UPPER_BACK,
        Muscle.LATS,
        Muscle.BICEPS,
        Muscle.FOREARMS,
    }
)
#: The plan's three groups in the circuit's words.
MUSCLES_OF = {
    MuscleGroup.LOWER: _LEGS,
    MuscleGroup.UPPER: _UPPER_BODY,
    MuscleGroup.TRUNK: frozenset(Muscle) - _LEGS - _UPPER_BODY,
}


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
        try:
            return Today(answer, _written(ctx, due, minutes=minutes, exercises=exercises), None)
        except Infeasible as error:
            why_not = why_not or str(error)
    return Today(answer, None, why_not)


def _written(ctx: Context, due: CircuitDue, *, minutes: float, exercises: int | None) -> Circuit:
    wishes: dict[str, Any] = {} if exercises is None else {"exercises": exercises}
    return todays_circuit(
        ctx,
        minutes=minutes,
        level=due.level,
        avoid_joints=circuit_request(ctx).avoid_joints | due.avoid_joints,
        trained_hard=frozenset().union(*(MUSCLES_OF[group] for group in due.groups_at_rest)),
        start=Start.FROM_CARDIO,
        **wishes,
    )
