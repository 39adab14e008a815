"""What the log says about the rider."""

import datetime as dt

import pytest

from rideready.circuit.history import (
    SMALL_MUSCLES,
    SMALL_SHARE,
    need_by_movement,
    need_by_muscle,
    standing,
    trust_in_balance,
)
from rideready.circuit.library import BY_NAME
from rideready.model.circuit import CircuitLog
from rideready.model.exercise import Movement, Muscle
from tests.circuit.riders import DAY


def log(days_ago: int, *names: str, rounds: int = 10) -> CircuitLog:
    return CircuitLog(DAY - dt.timedelta(days_ago), names, 10, rounds)


def test_without_a_log_nothing_is_short() -> None:
    assert set(need_by_muscle((), DAY).values()) == {0.0}
    assert set(need_by_movement((), DAY).values()) == {0.0}


def test_need_is_work_against_the_due_share() -> None:
    # 55 counts for each main muscle, half of that for each trained along.
    names = ("Farmer carry", "Goblet squat", "Push-up", "Band row", "Bird dog")
    work = dict.fromkeys(Muscle, 0.0)
    for exercise in (BY_NAME[name] for name in names):
        for muscle in Muscle:
            work[muscle] += 55.0 * (muscle in exercise.primary) + 27.5 * (muscle in exercise.secondary)
    share = sum(work.values()) / (len(Muscle) - (1 - SMALL_SHARE) * len(SMALL_MUSCLES))
    due = {muscle: share * (SMALL_SHARE if muscle in SMALL_MUSCLES else 1) for muscle in Muscle}
    need = need_by_muscle([log(3, *names)], DAY)
    assert need == pytest.approx({muscle: max(-1, 1 - work[muscle] / due[muscle]) for muscle in Muscle})
    assert need[Muscle.HIP_FLEXORS] == 1.0
    assert -1 < need[Muscle.SHOULDERS] < 1  # trained along only


def test_work_older_than_a_fortnight_does_not_count() -> None:
    assert need_by_muscle([log(15, "Push-up")], DAY) == need_by_muscle((), DAY)
    assert need_by_muscle([log(14, "Push-up")], DAY)[Muscle.CHEST] == -1.0


def test_movements_are_compared_among_legs_and_among_trunk() -> None:
    need = need_by_movement([log(3, "Bodyweight squat", "Bear crawl", "Push-up")], DAY)
    assert need[Movement.SQUAT] == -1.0
    assert need[Movement.HINGE] == 1.0
    assert need[Movement.ANTI_ROTATION] == -1.0
    assert need[Movement.TRUNK_FLEXION] == 1.0
    assert need[Movement.PUSH] == need[Movement.GRIP] == 0.0


def test_half_a_ladder_is_half_the_need() -> None:
    both = [log(2, "Bodyweight squat"), log(2, "Good morning", rounds=0)]
    assert need_by_movement(both, DAY)[Movement.HINGE] == 1.0


def test_one_circuit_says_little_about_a_fortnight() -> None:
    assert trust_in_balance((), DAY) == 0
    assert trust_in_balance([log(3, "Push-up")], DAY) == pytest.approx(1 / 3)
    assert trust_in_balance([log(days, "Push-up") for days in (2, 5, 8, 11, 13, 14, 15)], DAY) == 0.75


def test_the_variant_done_last_is_the_riders() -> None:
    held = standing([log(30, "Thruster"), log(9, "Goblet squat"), log(5, "Knee push-up")], DAY)
    assert {name: exercise.name for name, exercise in held.items()} == {
        "Box squat": "Goblet squat",
        "Wall push-up": "Knee push-up",
    }


def test_of_two_variants_on_one_day_the_harder_counts() -> None:
    held = standing([log(9, "Thruster"), log(9, "Bodyweight squat")], DAY)
    assert held["Box squat"].name == "Thruster"


def test_what_was_not_done_or_long_ago_says_nothing() -> None:
    assert standing([log(57, "Thruster"), log(3, "Push-up", rounds=0), log(3, "Old lift")], DAY) == {}
