"""Soft aims: what makes one allowed circuit better than another, in points.

Each exercise has points of its own (`points_of`); a set has points for how its exercises go together
(`rideready.circuit.programme`). The weights are a coach's judgement, tuned by reading circuits; they have
no source. One point is about what it is worth to train one more muscle group that was short in the last
fortnight.
"""

import datetime as dt
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from rideready.circuit.constraints import known_log
from rideready.circuit.history import (
    FORTNIGHT_DAYS,
    need_by_movement,
    need_by_muscle,
    standing,
    trust_in_balance,
)
from rideready.circuit.library import BY_NAME, depth, root
from rideready.circuit.progression import Progress
from rideready.model.circuit import CircuitLog, CircuitRequest
from rideready.model.exercise import (
    Equipment,
    Exercise,
    Family,
    Impact,
    Movement,
    Muscle,
    Sides,
)

#: Points are whole multiples of this, so that sums are exact and equal circuits compare equal.
GRAIN = 1 / 1024


@dataclass(frozen=True, slots=True)
class Weights:
    """What each aim is worth, in points.

    Parameters
    ----------
    riding_use
        Each thing an exercise serves on the machine.
    pulse_drive
        Each step of how far it drives the pulse.
    repeated
        Most that doing the same exercise a day later costs; fades to nothing over the fortnight.
    repeated_variant
        The same for another variant of it.
    repeated_most
        Most that repetition may cost in all.
    balance
        Main muscles untrained in the fortnight against those with their due share, after many circuits.
    balance_of_movements
        A movement of legs or trunk not done in the fortnight against one with its due share.
    below_level
        Each level below the hardest allowed variant, for an exercise never done.
    below_standing
        Each step below the variant the rider did last.
    unearned
        A variant harder than the one done last that the log has not earned.
    next_step
        The variant that is the next step.
    stand_in
        An exercise that only stands in for a better one, where there is a better one.
    one_sided
        An exercise done one side after the other: it doubles the time and breaks the rhythm.
    long_second
        Each second a count takes beyond three.
    high_impact
        Hard landings.
    day
        Most that the day's own draw is worth, so that days differ even without a log.
    uses_covered
        Each of the four things served on the machine that at least one exercise serves.
    short_of_legs
        Each leg exercise short of `wanted_legs`.
    short_of_trunk
        Each trunk exercise short of `wanted_trunk`.
    short_of_drive
        Each exercise that drives the pulse hard short of `wanted_drive`.
    same_movement
        Each further exercise of a movement.
    same_muscle
        Each further exercise with the same main muscle.
    crowded
        Each exercise with the same main muscle beyond `most_of_a_muscle`: no order keeps those apart.
    many_sided
        Each exercise done one side after the other beyond two.
    same_joint
        Each exercise that stresses the same joint beyond half of the circuit, sore or not.
    piece
        Each piece of equipment to get out, what always stands ready aside.
    """

    riding_use: float = 0.4
    pulse_drive: float = 0.4
    repeated: float = 3.0
    repeated_variant: float = 1.5
    repeated_most: float = 4.5
    balance: float = 1.6
    balance_of_movements: float = 1.3
    below_level: float = 1.5
    below_standing: float = 1.2
    unearned: float = 5.0
    next_step: float = 8.0
    stand_in: float = 4.0
    one_sided: float = 0.3
    long_second: float = 0.15
    high_impact: float = 0.4
    day: float = 0.6
    uses_covered: float = 1.5
    short_of_legs: float = 1.0
    short_of_trunk: float = 1.2
    short_of_drive: float = 1.5
    same_movement: float = 1.5
    same_muscle: float = 0.8
    crowded: float = 4.0
    many_sided: float = 1.0
    same_joint: float = 0.8
    piece: float = 0.6


WEIGHTS = Weights()
#: Pieces that stand ready in any case.
ALWAYS_OUT = frozenset({Equipment.MAT, Equipment.BIKE, Equipment.BOX, Equipment.BAR})


class Aim(StrEnum):
    """The aims an exercise has points for."""

    RIDING = "riding value"
    PULSE = "pulse"
    VARIETY = "variety"
    BALANCE = "balance"
    LEVEL = "level"
    SUBSTANCE = "substance"
    RHYTHM = "rhythm"
    LANDING = "landing"
    DAY = "day"


def set_out(equipment: Iterable[Equipment]) -> list[Equipment]:
    """Keep the pieces that have to be set out."""
    return [piece for piece in equipment if piece not in ALWAYS_OUT]


def wanted_legs(n_exercises: int) -> int:
    """Say how many leg exercises a circuit should have: the big muscles keep the pulse up."""
    return {4: 1, 5: 2, 6: 2}.get(n_exercises, 3)


def wanted_trunk(n_exercises: int) -> int:
    """Say how many trunk exercises a circuit should have: the trunk holds the rider up all day."""
    return 1 if n_exercises < 5 else 2


def wanted_drive(n_exercises: int) -> int:
    """Say how many exercises should drive the pulse hard: two in five, rounded up."""
    return -(-2 * n_exercises // 5)


def most_of_a_muscle(n_exercises: int) -> int:
    """Say how many exercises may have the same main muscle if no two of them are to be neighbours.

    In a ring of n at most n/2 can be kept apart.
    """
    return n_exercises // 2


def share_a_muscle(one: Exercise, other: Exercise) -> bool:
    """Say whether two exercises have a main muscle in common."""
    return not set(one.primary).isdisjoint(other.primary)


def points_of(
    exercises: Sequence[Exercise], request: CircuitRequest, progress: Progress, *, weights: Weights = WEIGHTS
) -> list[dict[Aim, float]]:
    """Give each exercise its points, aim by aim.

    Parameters
    ----------
    exercises
        What there is to choose from.
    request
        Its date and log decide variety, balance and standing.
    progress
        The next step for this rider.
    weights
        What each aim is worth.

    Returns
    -------
    list of dict
        One for each exercise, every aim present, in multiples of `GRAIN`.
    """
    log = known_log(request)
    last = standing(log, request.date)
    muscles, movements = need_by_muscle(log, request.date), need_by_movement(log, request.date)
    trust = trust_in_balance(log, request.date)
    best: dict[str, int] = {}
    for exercise in exercises:
        best[root(exercise)] = max(best.get(root(exercise), 0), exercise.level)
    solid = frozenset(family for e in exercises if not e.is_stand_in for family in e.families)
    return [
        {
            Aim.RIDING: _grained(weights.riding_use * len(e.serves)),
            Aim.PULSE: _grained(weights.pulse_drive * e.pulse_drive),
            Aim.VARIETY: _grained(_variety(e, log, request.date, weights)),
            Aim.BALANCE: _grained(trust * _balance(e, muscles, movements, weights)),
            Aim.LEVEL: _grained(_level(e, last, best, progress, weights)),
            Aim.SUBSTANCE: _grained(_substance(e, solid, weights)),
            Aim.RHYTHM: _grained(_rhythm(e, weights)),
            Aim.LANDING: _grained(-weights.high_impact if e.impact is Impact.HIGH else 0.0),
            Aim.DAY: _grained(weights.day * _draw(e.name, request.date)),
        }
        for e in exercises
    ]


def _grained(points: float) -> float:
    return round(points / GRAIN) * GRAIN


def _draw(name: str, date: dt.date) -> float:
    """Draw a number from 0 to 1 that depends on the day and the exercise alone."""
    return zlib.crc32(f"{date.isoformat()} {name}".encode()) / 2**32


def _variety(exercise: Exercise, log: Sequence[CircuitLog], date: dt.date, weights: Weights) -> float:
    cost = 0.0
    for entry in log:
        fading = 1 - (date - entry.date).days / (FORTNIGHT_DAYS + 1)
        if fading <= 0:
            continue
        if exercise.name in entry.exercises:
            cost += weights.repeated * fading
        elif root(exercise) in {root(BY_NAME[name]) for name in entry.exercises if name in BY_NAME}:
            cost += weights.repeated_variant * fading
    return -min(cost, weights.repeated_most)


def _balance(
    exercise: Exercise, muscles: Mapping[Muscle, float], movements: Mapping[Movement, float], weights: Weights
) -> float:
    of_muscles = sum(muscles[muscle] for muscle in exercise.primary) / len(exercise.primary)
    return weights.balance * of_muscles + weights.balance_of_movements * movements[exercise.movement]


def _substance(exercise: Exercise, solid: frozenset[Family], weights: Weights) -> float:
    """Charge a stand-in, unless one of its families has nothing better to offer."""
    is_replaceable = exercise.is_stand_in and solid.issuperset(exercise.families)
    return -weights.stand_in if is_replaceable else 0.0


def _rhythm(exercise: Exercise, weights: Weights) -> float:
    one_sided = weights.one_sided * (exercise.sides is Sides.EACH)
    return -one_sided - weights.long_second * max(0.0, exercise.seconds_of_a_count - 3)


def _level(
    exercise: Exercise,
    last: Mapping[str, Exercise],
    best: Mapping[str, int],
    progress: Progress,
    weights: Weights,
) -> float:
    if progress.variant is not None and exercise.name == progress.variant.to_name:
        return weights.next_step
    held = last.get(root(exercise))
    if held is None:
        return -weights.below_level * (best[root(exercise)] - exercise.level)
    above = depth(exercise) - depth(held)
    return -weights.unearned if above > 0 else weights.below_standing * above
