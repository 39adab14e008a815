"""What changes next time: top count, one variant or one weight, a single step, from what was done.

The steps follow common practice, no source: up when the last circuit was finished and felt no harder than
`EASY_RPE` and the pulse came down in the rests; down when it was not finished or felt like `TOO_HARD_RPE`
or more, and after a break; else the same again. Up goes by top count until ten, then by variant, then by
weight, then by top count to twelve, that only after three easy circuits in a row.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from rideready.circuit.constraints import Pool, known_log
from rideready.circuit.library import BY_NAME, depth
from rideready.model.circuit import CircuitLog, CircuitRequest
from rideready.model.exercise import Equipment, Exercise
from rideready.model.reason import Reason, because

#: Reps of the first round unless told otherwise: common practice, no source.
USUAL_TOP = 10
#: Highest and lowest top count the log leads to; a rider may ask for others.
HIGHEST_TOP, LOWEST_TOP = 12, 5
#: A finished circuit rated so or lower asks for more, 0 to 10.
EASY_RPE = 6.0
#: A circuit rated so or higher asks for less, 0 to 10.
TOO_HARD_RPE = 9.0
#: Unfinished but felt lower than this: time ran out, not strength.
TIRED_RPE = 7.0
#: Easy circuits in a row before the top count goes beyond the usual.
EASY_BEFORE_MORE = 3
#: Share of the rests in which the pulse must have come down before more is asked.
SETTLED_SHARE = 0.5
#: After so many days without a circuit the next one steps down. Fitness fades within four weeks
#: (Mujika, Padilla 2000, Sports Med 30:79-87); three weeks is our choice.
BREAK_DAYS = 21
#: From one size to the next, kg: how dumbbells and kettlebells are sold, common practice, no source.
KETTLEBELL_STEP_KG, DUMBBELL_STEP_KG = 4.0, 2.0
#: Circuits an exercise must have been finished with a weight before it gets the next size.
TIMES_BEFORE_MORE_WEIGHT = 2


class Direction(StrEnum):
    """Which way the next circuit goes."""

    START = "start"
    UP = "up"
    HOLD = "hold"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class VariantStep:
    """One exercise gives way to its variant."""

    from_name: str
    to_name: str


@dataclass(frozen=True, slots=True)
class WeightStep:
    """One exercise is done with the next size of weight, kg."""

    name: str
    from_kg: float
    to_kg: float


@dataclass(frozen=True, slots=True)
class Progress:
    """The next step for a rider.

    Parameters
    ----------
    direction
        Which way.
    top_count
        Reps of the first round, before the time at hand is looked at.
    variant
        The one variant that changes; None if something else or nothing does.
    weights
        Exercises that may take the next size of weight, best first; the first of them that is in the
        circuit takes it, and no other.
    reasons
        Why.
    """

    direction: Direction
    top_count: int
    variant: VariantStep | None = None
    weights: tuple[WeightStep, ...] = ()
    reasons: tuple[Reason, ...] = ()

    def weight_for(self, names: Iterable[str]) -> WeightStep | None:
        """Pick the one weight that changes, given the names of the exercises chosen."""
        chosen = set(names)
        return next((step for step in self.weights if step.name in chosen), None)


def decide(request: CircuitRequest, pool: Pool) -> Progress:
    """Decide the next step from the last circuit in the log.

    Parameters
    ----------
    request
        Its log up to its date; a top count it names stays as it is.
    pool
        Exercises that are possible today.

    Returns
    -------
    Progress
        At most one of top count, variant and weight differs from last time.

    References
    ----------
    Common practice, no source.
    """
    log = known_log(request)
    if not log:
        top = request.top_count or USUAL_TOP
        return Progress(Direction.START, top, reasons=(because("circuit.first", top=top),))
    last = log[-1]
    direction, why = _direction(last, (request.date - last.date).days)
    usual = last.full_top_count or last.top_count
    top = request.top_count or min(max(usual, LOWEST_TOP), HIGHEST_TOP)
    if direction is Direction.UP:
        return _step_up(request, pool, log, top, why)
    if direction is Direction.DOWN:
        return _step_down(request, pool, log, top, why)
    same = (because("circuit.same_again"),) if top == usual else ()
    return Progress(Direction.HOLD, top, reasons=(why, *same))


def _direction(last: CircuitLog, days: int) -> tuple[Direction, Reason]:
    if days > BREAK_DAYS:
        return Direction.DOWN, because("circuit.after_break", days=days)
    if not last.is_finished:
        why = because("circuit.unfinished", done=last.rounds_done, rounds=last.top_count)
        is_tired = last.rpe is None or last.rpe >= TIRED_RPE
        return (Direction.DOWN if is_tired else Direction.HOLD), why
    if last.rpe is None:
        return Direction.HOLD, because("circuit.unrated")
    return _by_feel(last, last.rpe)


def _by_feel(last: CircuitLog, rpe: float) -> tuple[Direction, Reason]:
    """Judge a finished circuit by its rating, and an easy one by its rests too."""
    if rpe >= TOO_HARD_RPE:
        return Direction.DOWN, because("circuit.too_hard", rpe=rpe)
    if rpe > EASY_RPE:
        return Direction.HOLD, because("circuit.hard_enough", rpe=rpe)
    if last.recoveries is not None and last.recoveries.settled_share < SETTLED_SHARE:
        share = round(100 * last.recoveries.settled_share)
        return Direction.HOLD, because("circuit.pulse_stayed_up", percent=share)
    return Direction.UP, because("circuit.easy", rpe=rpe)


def _step_up(
    request: CircuitRequest, pool: Pool, log: Sequence[CircuitLog], top: int, why: Reason
) -> Progress:
    is_free = request.top_count is None
    if is_free and top < USUAL_TOP:
        return _new_top(Direction.UP, top + 1, why)
    variant = _harder_variant(log, pool)
    if variant is not None:
        return Progress(Direction.UP, top, variant=variant, reasons=(why,))
    weights = _next_weights(log, pool)
    if weights:
        return Progress(Direction.UP, top, weights=weights, reasons=(why,))
    if is_free and top < HIGHEST_TOP and _easy_in_a_row(log):
        return _new_top(Direction.UP, top + 1, why)
    if is_free and top < HIGHEST_TOP:
        return Progress(Direction.HOLD, top, reasons=(why, because("circuit.once_more")))
    return Progress(Direction.HOLD, top, reasons=(why, because("circuit.at_the_top")))


def _easy_in_a_row(log: Sequence[CircuitLog]) -> bool:
    """Say whether the last circuits, all of one size, were easy often enough to go beyond the usual."""
    latest = log[-EASY_BEFORE_MORE:]
    return len(latest) == EASY_BEFORE_MORE and all(
        entry.is_finished
        and entry.rpe is not None
        and entry.rpe <= EASY_RPE
        and entry.top_count == log[-1].top_count
        for entry in latest
    )


def _step_down(
    request: CircuitRequest, pool: Pool, log: Sequence[CircuitLog], top: int, why: Reason
) -> Progress:
    if request.top_count is None and top > LOWEST_TOP:
        return _new_top(Direction.DOWN, top - 1, why)
    variant = _easier_variant(log[-1], pool)
    if variant is not None:
        return Progress(Direction.DOWN, top, variant=variant, reasons=(why,))
    weights = _lighter_weights(log, pool)
    if weights:
        return Progress(Direction.DOWN, top, weights=weights, reasons=(why,))
    return Progress(Direction.HOLD, top, reasons=(why, because("circuit.at_the_bottom")))


def _new_top(direction: Direction, top: int, why: Reason) -> Progress:
    return Progress(direction, top, reasons=(why, because(f"circuit.top_{direction}", top=top)))


def _done(log: CircuitLog) -> list[Exercise]:
    return [BY_NAME[name] for name in sorted(set(log.exercises)) if name in BY_NAME]


def _harder_variant(log: Sequence[CircuitLog], pool: Pool) -> VariantStep | None:
    """Pick the exercise of the last circuit that is easiest for the rider, and its harder variant."""
    possible = {exercise.name: exercise for exercise in pool.exercises}
    steps = [
        (exercise.level, -_times_done(exercise, log), possible[name].level, exercise.name, name)
        for exercise in _done(log[-1])
        for name in exercise.harder
        if name in possible
    ]
    return VariantStep(*min(steps)[3:]) if steps else None


def _easier_variant(last: CircuitLog, pool: Pool) -> VariantStep | None:
    possible = {exercise.name for exercise in pool.exercises}
    steps = [
        (exercise.level, depth(exercise), exercise.name, exercise.easier)
        for exercise in _done(last)
        if exercise.easier is not None and exercise.easier in possible
    ]
    return VariantStep(*max(steps)[2:]) if steps else None


def _times_done(exercise: Exercise, log: Sequence[CircuitLog]) -> int:
    return sum(exercise.name in entry.exercises for entry in log)


def _known_weights(log: Sequence[CircuitLog], pool: Pool) -> Iterator[tuple[Exercise, float, int]]:
    """Every possible exercise with its last known weight, and how often it was finished with that."""
    known: dict[str, list[tuple[float, bool]]] = {}
    for entry in log:
        for name, kg in entry.weights_kg:
            known.setdefault(name, []).append((kg, entry.is_finished))
    for exercise in pool.exercises:
        if exercise.name in known:
            kg, _ = known[exercise.name][-1]
            yield exercise, kg, known[exercise.name].count((kg, True))


def _size(exercise: Exercise) -> int:
    """Rank exercises by how much muscle they move: the big ones can take more weight first."""
    return len(exercise.primary) + exercise.pulse_drive


def _size_step_kg(exercise: Exercise) -> float:
    return KETTLEBELL_STEP_KG if Equipment.KETTLEBELL in exercise.equipment else DUMBBELL_STEP_KG


def _next_weights(log: Sequence[CircuitLog], pool: Pool) -> tuple[WeightStep, ...]:
    steps = [
        (-_size(e), e.name, kg, kg + _size_step_kg(e))
        for e, kg, times in _known_weights(log, pool)
        if times >= TIMES_BEFORE_MORE_WEIGHT
    ]
    return tuple(WeightStep(*step[1:]) for step in sorted(steps))


def _lighter_weights(log: Sequence[CircuitLog], pool: Pool) -> tuple[WeightStep, ...]:
    steps = [
        (-_size(e), e.name, kg, kg - _size_step_kg(e))
        for e, kg, _ in _known_weights(log, pool)
        if kg > _size_step_kg(e)
    ]
    return tuple(WeightStep(*step[1:]) for step in sorted(steps))
