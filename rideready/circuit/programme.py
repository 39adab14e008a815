"""The exact choice: a 0/1 programme over the exercises of a pool.

Maximise the points of the exercises chosen and of how they go together, under the hard rules of
``rideready.circuit.constraints``. Every helper variable is real and takes the value the choice gives it,
so `points_of_set` says the same number without a solver.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rideready.circuit.aims import (
    WEIGHTS,
    Weights,
    most_of_a_muscle,
    set_out,
    wanted_drive,
    wanted_legs,
    wanted_trunk,
)
from rideready.circuit.constraints import SetRule
from rideready.circuit.linear import LinearProgramme
from rideready.model.exercise import (
    Equipment,
    Exercise,
    Family,
    Joint,
    Movement,
    Muscle,
    PulseDrive,
    RidingUse,
    Sides,
)


@dataclass(frozen=True, slots=True)
class Choice:
    """The best set of exercises and its points.

    Parameters
    ----------
    exercises
        The set, in the order of the pool.
    points
        Points of its exercises and of how they go together.
    """

    exercises: tuple[Exercise, ...]
    points: float


def choose(
    exercises: Sequence[Exercise],
    points: Sequence[float],
    rules: Sequence[SetRule],
    *,
    besides: Sequence[frozenset[str]] = (),
    weights: Weights = WEIGHTS,
) -> Choice | None:
    """Choose the best set of exercises.

    Parameters
    ----------
    exercises
        What there is to choose from.
    points
        Points of each exercise.
    rules
        Hard rules on the set; the first says how many exercises it has.
    besides
        Sets (names) that are not to be chosen again.
    weights
        What the aims on the set are worth.

    Returns
    -------
    Choice or None
        The best set; None if no set meets the rules.

    References
    ----------
    Huangfu, Hall 2018, Math Program Comput 10:119-142 (the solver).
    """
    programme = LinearProgramme()
    for own in points:
        programme.whole(-own)
    _add_rules(programme, rules)
    n_exercises = int(rules[0].low)
    for names in besides:
        same = _members(exercise.name in names for exercise in exercises)
        programme.row(same, 0, n_exercises - 1)
    _add_set_aims(programme, exercises, n_exercises, weights)
    values = programme.solve()
    if values is None:
        return None
    picked = [i for i in range(len(exercises)) if values[i]]
    chosen = tuple(exercises[i] for i in picked)
    return Choice(chosen, sum(points[i] for i in picked) + points_of_set(chosen, weights=weights))


def least_seconds_of_counts(exercises: Sequence[Exercise], rules: Sequence[SetRule]) -> float | None:
    """Give the least time one count of every exercise of an allowed set can take, s.

    Parameters
    ----------
    exercises
        What there is to choose from.
    rules
        Hard rules on the set, the time aside.

    Returns
    -------
    float or None
        Seconds; None if no set meets the rules.

    References
    ----------
    As for `choose`.
    """
    programme = LinearProgramme()
    seconds = [exercise.seconds_of_a_count for exercise in exercises]
    for own in seconds:
        programme.whole(own)
    _add_rules(programme, rules)
    values = programme.solve()
    return None if values is None else sum(s for s, value in zip(seconds, values, strict=True) if value)


def _add_rules(programme: LinearProgramme, rules: Sequence[SetRule]) -> None:
    for rule in rules:
        programme.row(((i, c) for i, c in enumerate(rule.coefficients) if c), rule.low, rule.high)


def _members(test: Iterable[bool]) -> list[tuple[int, float]]:
    return [(i, 1.0) for i, is_in in enumerate(test) if is_in]


def _add_set_aims(
    programme: LinearProgramme, exercises: Sequence[Exercise], n: int, weights: Weights
) -> None:
    for use in RidingUse:
        covered = programme.real(-weights.uses_covered, 1.0)
        programme.row([*_members(use in e.serves for e in exercises), (covered, -1.0)], 0, np.inf)
    legs = _members(Family.LOWER in e.families for e in exercises)
    programme.row([*legs, (programme.real(weights.short_of_legs), 1.0)], wanted_legs(n), np.inf)
    trunk = _members(Family.TRUNK in e.families for e in exercises)
    programme.row([*trunk, (programme.real(weights.short_of_trunk), 1.0)], wanted_trunk(n), np.inf)
    drive = _members(e.pulse_drive is PulseDrive.HIGH for e in exercises)
    programme.row([*drive, (programme.real(weights.short_of_drive), 1.0)], wanted_drive(n), np.inf)
    for movement in Movement:
        same = _members(e.movement is movement for e in exercises)
        _charge_beyond(programme, same, 1, weights.same_movement)
    for muscle in Muscle:
        users = _members(muscle in e.primary for e in exercises)
        _charge_beyond(programme, users, 1, weights.same_muscle)
        _charge_beyond(programme, users, most_of_a_muscle(n), weights.crowded)
    in_turn = _members(e.sides is Sides.EACH for e in exercises)
    _charge_beyond(programme, in_turn, 2, weights.many_sided)
    for joint in Joint:
        stressed = _members(joint in e.joints for e in exercises)
        _charge_beyond(programme, stressed, n // 2, weights.same_joint)
    for piece in set_out(Equipment):
        users = _members(piece in e.equipment for e in exercises)
        out = programme.real(weights.piece)
        for i, _ in users:
            programme.row([(i, 1.0), (out, -1.0)], -np.inf, 0)


def _charge_beyond(
    programme: LinearProgramme, members: list[tuple[int, float]], free: int, cost: float
) -> None:
    """Charge every member chosen beyond the first ``free`` of them."""
    if len(members) > free:
        programme.row([*members, (programme.real(cost), -1.0)], -np.inf, free)


def points_of_set(chosen: Sequence[Exercise], *, weights: Weights = WEIGHTS) -> float:
    """Say how many points a set has for how its exercises go together.

    Parameters
    ----------
    chosen
        The set.
    weights
        What the aims on the set are worth.

    References
    ----------
    Ours.
    """
    n = len(chosen)
    covered = {use for e in chosen for use in e.serves}
    legs = sum(Family.LOWER in e.families for e in chosen)
    trunk = sum(Family.TRUNK in e.families for e in chosen)
    drive = sum(e.pulse_drive is PulseDrive.HIGH for e in chosen)
    muscles = Counter(muscle for e in chosen for muscle in e.primary)
    in_turn = sum(e.sides is Sides.EACH for e in chosen)
    joints = Counter(joint for e in chosen for joint in e.joints)
    pieces = {piece for e in chosen for piece in set_out(e.equipment)}
    return (
        weights.uses_covered * len(covered)
        - weights.short_of_legs * max(0, wanted_legs(n) - legs)
        - weights.short_of_trunk * max(0, wanted_trunk(n) - trunk)
        - weights.short_of_drive * max(0, wanted_drive(n) - drive)
        - weights.same_movement * (n - len({e.movement for e in chosen}))
        - weights.same_muscle * sum(times - 1 for times in muscles.values())
        - weights.crowded * sum(max(0, times - most_of_a_muscle(n)) for times in muscles.values())
        - weights.many_sided * max(0, in_turn - 2)
        - weights.same_joint * sum(max(0, times - n // 2) for times in joints.values())
        - weights.piece * len(pieces)
    )
