"""Why this circuit: one sentence for whatever decided it, and the cautions that belong to it."""

from collections.abc import Iterable, Sequence
from statistics import median

from rideready.circuit.constraints import Pool, Rule, blockers, known_log
from rideready.circuit.history import FORTNIGHT_DAYS, need_by_muscle
from rideready.circuit.library import STATIONS
from rideready.circuit.order import Order
from rideready.circuit.progression import Direction, Progress, VariantStep, WeightStep
from rideready.circuit.timing import CHANGE_S
from rideready.model.circuit import CircuitLog, CircuitRequest, Complaint
from rideready.model.exercise import Equipment, Exercise, Impact, Joint, PulseDrive
from rideready.model.reason import Reason, because

#: How a circuit feels before the rider has rated one, RPE 0 to 10: common practice, no source.
USUAL_RPE = 7.0
#: How many rated circuits the expected rating rests on.
_RATED = 3
#: A muscle group counts as short of work from this need on (see `need_by_muscle`).
_SHORT = 0.5


def joined(words: Iterable[str]) -> str:
    """Join words as in a sentence: ``a``, ``a and b``, ``a, b and c``.

    Parameters
    ----------
    words
        At least one.
    """
    *head, last = words
    return f"{', '.join(head)} and {last}" if head else last


def why_station(
    exercise: Exercise, request: CircuitRequest, progress: Progress, weight: WeightStep | None
) -> tuple[Reason, ...]:
    """Say why an exercise is in the circuit: its role first, then what else spoke for it.

    Parameters
    ----------
    exercise
        An exercise chosen.
    request, progress
        What it was chosen for.
    weight
        The one weight that changes in this circuit.
    """
    reasons = [because("circuit.role", family=joined(exercise.families), uses=joined(exercise.serves))]
    log = known_log(request)
    recent = [entry for entry in log if (request.date - entry.date).days <= FORTNIGHT_DAYS]
    need = need_by_muscle(log, request.date)
    short = [muscle for muscle in exercise.primary if need[muscle] >= _SHORT]
    if progress.variant is not None and exercise.name == progress.variant.to_name:
        reasons.append(_variant(progress.variant, progress))
    elif weight is not None and exercise.name == weight.name:
        reasons.append(_weight(weight))
    elif short:
        reasons.append(because("circuit.short_of_work", muscle=short[0]))
    elif _comes_back(exercise, log, recent):
        reasons.append(because("circuit.not_lately"))
    if exercise.pulse_drive is PulseDrive.HIGH:
        reasons.append(because("circuit.drives_pulse"))
    return tuple(reasons)


def _comes_back(exercise: Exercise, log: Sequence[CircuitLog], recent: Sequence[CircuitLog]) -> bool:
    """Say whether an exercise was done before, but not of late."""
    return exercise.name in _names(log) - _names(recent)


def _names(log: Sequence[CircuitLog]) -> set[str]:
    return {name for entry in log for name in entry.exercises}


def _variant(step: VariantStep, progress: Progress) -> Reason:
    code = "circuit.variant_up" if progress.direction is Direction.UP else "circuit.variant_down"
    return because(code, from_name=step.from_name, to_name=step.to_name)


def _weight(step: WeightStep) -> Reason:
    return because("circuit.weight", name=step.name, from_kg=step.from_kg, to_kg=step.to_kg)


def why_progress(chosen: Sequence[Exercise], progress: Progress) -> tuple[Reason, ...]:
    """Say what changed since last time, and whether the step found its place today.

    Parameters
    ----------
    chosen
        The circuit's exercises.
    progress
        The step decided on.
    """
    names = {exercise.name for exercise in chosen}
    if progress.variant is not None:
        is_taken = progress.variant.to_name in names
        step = _variant(progress.variant, progress) if is_taken else _waits(progress.variant.to_name)
        return (*progress.reasons, step)
    weight = progress.weight_for(names)
    if weight is not None:
        return (*progress.reasons, _weight(weight))
    if progress.weights:
        return (*progress.reasons, because("circuit.weight_waits"))
    return progress.reasons


def _waits(name: str) -> Reason:
    return because("circuit.step_waits", name=name)


def why_choice(request: CircuitRequest, pool: Pool, ordered: Order) -> tuple[Reason, ...]:
    """Say what the hard rules left out and where the order could not keep neighbours apart.

    Parameters
    ----------
    request, pool
        The rules and what they left.
    ordered
        The circuit's exercises in order.
    """
    reasons = []
    if request.alternative:
        reasons.append(because("circuit.another", n=request.alternative))
    if pool.resting:
        muscles = sorted(muscle.value for muscle in pool.resting)
        reasons.append(because("circuit.resting", muscles=joined(muscles)))
    reasons += [because("circuit.rested_family", family=family) for family in pool.rested]
    for joint in sorted(request.avoid_joints):
        without = [e for e in STATIONS if joint in e.joints and _only_joints(e, request, pool)]
        if without:
            reasons.append(because("circuit.joint_spared", joint=joint, n=len(without)))
    reasons += [because("circuit.clash", one=one, other=other) for one, other in ordered.clashes]
    if ordered.clashes_across:
        first, last = ordered.exercises[0].name, ordered.exercises[-1].name
        reasons.append(because("circuit.clash_across", one=last, other=first))
    return tuple(reasons)


def _only_joints(exercise: Exercise, request: CircuitRequest, pool: Pool) -> bool:
    return {blocker.rule for blocker in blockers(exercise, request, pool.resting)} == {Rule.JOINT}


def cautions(chosen: Sequence[Exercise], request: CircuitRequest) -> tuple[Reason, ...]:
    """Give the cautions to show beside a circuit.

    Parameters
    ----------
    chosen
        The circuit's exercises.
    request
        Joints to spare and what the rider reports.

    References
    ----------
    Stop signs after the American College of Sports Medicine's general indications, from memory; the rest
    is common practice, no source.
    """
    reasons = [because("circuit.stop")]
    weights = {Equipment.DUMBBELLS, Equipment.KETTLEBELL}
    if any(not weights.isdisjoint(exercise.equipment) for exercise in chosen):
        reasons.append(because("circuit.weight_choice"))
    if any(exercise.impact is Impact.HIGH for exercise in chosen):
        reasons.append(because("circuit.landing"))
    for joint in sorted(request.avoid_joints):
        is_back = joint is Joint.LOW_BACK
        reasons.append(
            because("circuit.sore_low_back") if is_back else because("circuit.sore_joint", joint=joint)
        )
    if Complaint.HIGH_BLOOD_PRESSURE in request.complaints:
        reasons.append(because("circuit.blood_pressure"))
    if Complaint.ASTHMA in request.complaints:
        reasons.append(because("circuit.asthma"))
    return tuple(reasons)


def expected_rpe(request: CircuitRequest) -> tuple[float, Reason]:
    """Say how hard the circuit should feel, and what that rests on.

    Parameters
    ----------
    request
        Its log: the median of the last three rated circuits.

    Returns
    -------
    float
        RPE, 0 to 10; `USUAL_RPE` without a rated circuit.
    Reason
        Which of the two it is.

    References
    ----------
    Foster et al. 2001, J Strength Cond Res 15:109-15, for what is made of it.
    """
    rated = [log.rpe for log in known_log(request) if log.rpe is not None][-_RATED:]
    if not rated:
        return USUAL_RPE, because("circuit.load_usual", rpe=USUAL_RPE)
    rpe = float(median(rated))
    return rpe, because("circuit.load_seen", rpe=rpe)


def why_size(request: CircuitRequest, top: int, full_top: int) -> tuple[Reason, ...]:
    """Say why it has this length.

    Parameters
    ----------
    request
        Its time at hand.
    top, full_top
        Reps of the first round, and what they would be but for the time.
    """
    reasons = [because("circuit.time", change=CHANGE_S)]
    if top < full_top and request.minutes is not None:
        code = "circuit.top_for_time"
        reasons.insert(0, because(code, top=top, full=full_top, minutes=request.minutes))
    return tuple(reasons)
