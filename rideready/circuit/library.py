"""The whole exercise list, by name and by variant."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from rideready.circuit.exercises.anti_rotation import ANTI_ROTATIONS
from rideready.circuit.exercises.grip import GRIPS
from rideready.circuit.exercises.hinge import HINGES
from rideready.circuit.exercises.jump import JUMPS
from rideready.circuit.exercises.lateral import LATERALS
from rideready.circuit.exercises.mobility import EASY_MOVES, WARM_UP_MOVES
from rideready.circuit.exercises.pull import PULLS
from rideready.circuit.exercises.push import PUSHES
from rideready.circuit.exercises.squat import SQUATS
from rideready.circuit.exercises.step import STEPS
from rideready.circuit.exercises.stretch import STRETCHES
from rideready.circuit.exercises.trunk_flexion import TRUNK_FLEXIONS
from rideready.model.exercise import Exercise


def with_harder_variants(exercises: Sequence[Exercise]) -> tuple[Exercise, ...]:
    """Fill in the harder variants, so that one link stands in one place only.

    Parameters
    ----------
    exercises
        Exercises whose ``easier`` names another of them, or nothing.

    Returns
    -------
    tuple of Exercise
        The same in the same order; ``harder`` holds, in that order, whoever names it as easier.

    Raises
    ------
    ValueError
        If a name occurs twice or ``easier`` names nobody.
    """
    twice = [name for name, n in Counter(exercise.name for exercise in exercises).items() if n > 1]
    if twice:
        raise ValueError(f"exercise names occur twice: {', '.join(twice)}")
    known = {exercise.name for exercise in exercises}
    lost = [e.name for e in exercises if e.easier is not None and e.easier not in known]
    if lost:
        raise ValueError(f"the easier variant is not in the list: {', '.join(lost)}")
    return tuple(
        replace(e, harder=tuple(other.name for other in exercises if other.easier == e.name))
        for e in exercises
    )


#: Every exercise, stations first, then mobility.
EXERCISES: tuple[Exercise, ...] = with_harder_variants(
    (
        *SQUATS,
        *HINGES,
        *STEPS,
        *LATERALS,
        *JUMPS,
        *PUSHES,
        *PULLS,
        *GRIPS,
        *ANTI_ROTATIONS,
        *TRUNK_FLEXIONS,
        *EASY_MOVES,
        *WARM_UP_MOVES,
        *STRETCHES,
    )
)

#: Exercises that may be a station of a circuit.
STATIONS: tuple[Exercise, ...] = EXERCISES[: -len(EASY_MOVES + WARM_UP_MOVES + STRETCHES)]

#: Every exercise by its name.
BY_NAME: dict[str, Exercise] = {exercise.name: exercise for exercise in EXERCISES}


def root(exercise: Exercise) -> str:
    """Name the easiest variant an exercise comes from; exercises with one root are variants of each other.

    Parameters
    ----------
    exercise
        An exercise of the library.
    """
    while exercise.easier is not None:
        exercise = BY_NAME[exercise.easier]
    return exercise.name


def depth(exercise: Exercise) -> int:
    """Count the steps from the easiest variant up to an exercise.

    Parameters
    ----------
    exercise
        An exercise of the library.
    """
    return 0 if exercise.easier is None else 1 + depth(BY_NAME[exercise.easier])
