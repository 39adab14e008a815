"""What an exercise is worth, aim by aim."""

import datetime as dt
from typing import Any

import pytest

from rideready.circuit.aims import GRAIN, WEIGHTS, Aim, points_of, wanted_drive, wanted_legs, wanted_trunk
from rideready.circuit.constraints import pool_of
from rideready.circuit.library import STATIONS
from rideready.circuit.progression import Direction, Progress, VariantStep, decide
from rideready.model.circuit import CircuitLog, CircuitRequest
from rideready.model.exercise import Equipment, Level
from tests.circuit.riders import DAY, draw_request, seeded

ALL = frozenset(Equipment)
HOLD = Progress(Direction.HOLD, 10)


def points(name: str, *entries: CircuitLog, progress: Progress = HOLD, **fields: Any) -> dict[Aim, float]:
    usual: dict[str, Any] = {"equipment": ALL, "level": Level.ADVANCED}
    request = CircuitRequest(DAY, log=entries, **(usual | fields))
    exercises = pool_of(request).exercises
    table = dict(zip((e.name for e in exercises), points_of(exercises, request, progress), strict=True))
    return table[name]


def log(days_ago: int, *names: str) -> CircuitLog:
    return CircuitLog(DAY - dt.timedelta(days_ago), names, 10, 10, rpe=6)


def test_riding_value_and_pulse_are_worth_their_weights() -> None:
    found = points("Kettlebell swing")  # serves three things, drives the pulse hard
    assert found[Aim.RIDING] == pytest.approx(3 * WEIGHTS.riding_use, abs=GRAIN)
    assert found[Aim.PULSE] == pytest.approx(2 * WEIGHTS.pulse_drive, abs=GRAIN)


def test_points_are_whole_grains_so_that_sums_are_exact() -> None:
    rng = seeded("grains")
    for _ in range(10):
        request = draw_request(rng)
        pool = pool_of(request)
        for by_aim in points_of(pool.exercises, request, decide(request, pool)):
            assert set(by_aim) == set(Aim)
            assert all((value / GRAIN).is_integer() for value in by_aim.values())


def test_an_exercise_done_lately_costs_more_the_later_it_was() -> None:
    costs = [points("Band row", log(days, "Band row"))[Aim.VARIETY] for days in (2, 7, 14)]
    assert costs == sorted(costs)
    assert costs[-1] < 0
    assert points("Band row", log(15, "Band row"))[Aim.VARIETY] == 0
    assert points("Band row", log(2, "Band row"))[Aim.VARIETY] == pytest.approx(-3.0 * 13 / 15, abs=GRAIN)


def test_a_variant_of_what_was_done_costs_half() -> None:
    assert points("Goblet squat", log(5, "Tempo squat"))[Aim.VARIETY] == pytest.approx(
        -1.5 * 10 / 15, abs=GRAIN
    )


def test_repetition_never_costs_more_than_its_most() -> None:
    entries = [log(days, "Band row") for days in range(2, 14, 2)]
    assert points("Band row", *entries)[Aim.VARIETY] == -WEIGHTS.repeated_most


def test_what_came_short_is_worth_more() -> None:
    entries = [log(days, "Push-up", "Goblet squat") for days in (2, 5, 8)]
    assert (
        points("Band pull-down", *entries)[Aim.BALANCE]
        > 0
        > points("Band chest press", *entries)[Aim.BALANCE]
    )
    assert points("Romanian deadlift", *entries)[Aim.BALANCE] > points("Step-up", *entries)[Aim.BALANCE]


def test_one_circuit_weighs_a_third_in_the_balance() -> None:
    found = points("Band pull-down", log(3, "Push-up"))  # lats not trained at all: need 1
    assert found[Aim.BALANCE] == pytest.approx(WEIGHTS.balance / 3, abs=GRAIN)


def test_an_exercise_below_the_level_costs_by_the_level() -> None:
    assert points("Pull-up")[Aim.LEVEL] == 0
    assert points("Scapular pull-up")[Aim.LEVEL] == -2 * WEIGHTS.below_level
    assert points("Scapular pull-up", level=Level.BEGINNER)[Aim.LEVEL] == 0


def test_the_variant_done_last_is_the_one_wanted() -> None:
    entry = log(20, "Band-assisted pull-up")
    assert points("Band-assisted pull-up", entry)[Aim.LEVEL] == 0
    assert points("Scapular pull-up", entry)[Aim.LEVEL] == pytest.approx(-WEIGHTS.below_standing, abs=GRAIN)
    assert points("Pull-up", entry)[Aim.LEVEL] == -WEIGHTS.unearned


def test_the_next_step_is_wanted_most() -> None:
    earned = Progress(Direction.UP, 10, variant=VariantStep("Band-assisted pull-up", "Pull-up"))
    found = points("Pull-up", log(3, "Band-assisted pull-up"), progress=earned)
    assert found[Aim.LEVEL] == WEIGHTS.next_step


def test_a_stand_in_costs_only_where_there_is_something_better() -> None:
    assert points("Finger-hook pull")[Aim.SUBSTANCE] == -WEIGHTS.stand_in
    assert points("Finger-hook pull", equipment=frozenset())[Aim.SUBSTANCE] == 0
    assert points("Push-up")[Aim.SUBSTANCE] == 0


def test_sides_in_turn_and_long_reps_break_the_rhythm() -> None:
    assert points("Push-up")[Aim.RHYTHM] == 0
    one_sided = points("Kettlebell row")[Aim.RHYTHM]  # 2.5 s on each side: two seconds over three
    assert one_sided == pytest.approx(-WEIGHTS.one_sided - 2 * WEIGHTS.long_second, abs=GRAIN)


def test_hard_landings_cost_a_little() -> None:
    assert points("Box jump")[Aim.LANDING] == pytest.approx(-WEIGHTS.high_impact, abs=GRAIN)
    assert points("Step-up")[Aim.LANDING] == 0


def test_the_day_draws_small_preferences_of_its_own() -> None:
    request = CircuitRequest(DAY, equipment=ALL, level=Level.ADVANCED)
    other = CircuitRequest(DAY + dt.timedelta(1), equipment=ALL, level=Level.ADVANCED)
    one, again, two = (
        [by_aim[Aim.DAY] for by_aim in points_of(STATIONS, asked, HOLD)]
        for asked in (request, request, other)
    )
    assert one == again
    assert one != two
    assert 0 <= min(one) < max(one) <= WEIGHTS.day + GRAIN
    assert sum(one) / len(one) == pytest.approx(WEIGHTS.day / 2, rel=0.2)  # evenly drawn


@pytest.mark.parametrize(("n", "legs", "drive"), [(4, 1, 2), (5, 2, 2), (6, 2, 3), (7, 3, 3), (8, 3, 4)])
def test_how_many_should_be_for_the_legs_and_drive_the_pulse(n: int, legs: int, drive: int) -> None:
    assert (wanted_legs(n), wanted_drive(n)) == (legs, drive)


def test_from_five_exercises_on_two_should_be_for_the_trunk() -> None:
    assert [wanted_trunk(n) for n in (4, 5, 6, 7, 8)] == [1, 2, 2, 2, 2]
