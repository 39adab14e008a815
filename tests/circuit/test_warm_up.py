"""Warm-up and cool-down fit the muscles used."""

from dataclasses import replace
from itertools import combinations

import pytest

from rideready.circuit.exercises.stretch import STRETCHES
from rideready.circuit.library import BY_NAME, STATIONS
from rideready.circuit.timing import around_s
from rideready.circuit.warm_up import cool_down, muscle_work, warm_up
from rideready.model.circuit import CircuitRequest, Start
from rideready.model.exercise import Equipment, Joint, Muscle
from tests.circuit.riders import DAY, GARAGE, seeded

REQUEST = CircuitRequest(DAY, equipment=GARAGE)
LEGS = [BY_NAME[name] for name in ("Goblet squat", "Romanian deadlift", "Calf raise")]


def test_a_main_muscle_counts_twice_one_that_works_along() -> None:
    work = muscle_work([BY_NAME["Goblet squat"], BY_NAME["Romanian deadlift"]])
    assert (work[Muscle.GLUTES], work[Muscle.QUADS], work[Muscle.LOWER_BACK]) == (4, 2, 1)


def test_the_stretches_are_for_the_muscles_that_worked() -> None:
    stretched = {m for move in cool_down(LEGS, REQUEST)[1:] for m in move.exercise.primary}
    assert {Muscle.QUADS, Muscle.GLUTES, Muscle.HAMSTRINGS, Muscle.CALVES} <= stretched


def test_no_other_four_stretches_cover_more() -> None:
    rng = seeded("stretches")
    for _ in range(20):
        chosen = rng.sample(STATIONS, 5)
        work = muscle_work(chosen)
        best = max(
            sum(work[m] for m in {m for move in four for m in move.primary})
            for four in combinations(STRETCHES, 4)
        )
        found = {m for move in cool_down(chosen, REQUEST)[1:] for m in move.exercise.primary}
        assert sum(work[m] for m in found) == best


@pytest.mark.parametrize("start", Start)
def test_warm_up_and_cool_down_are_as_long_as_the_time_model_says(start: Start) -> None:
    request = replace(REQUEST, start=start, avoid_joints=frozenset(Joint), equipment=frozenset())
    moves = (*warm_up(LEGS, request), *cool_down(LEGS, request))
    assert sum(move.seconds for move in moves) == around_s(start)
    assert len({move.exercise.name for move in moves}) == len(moves) - (start is Start.COLD)  # easy twice


def test_every_stretch_gets_a_minute() -> None:
    # Garber et al. 2011, Med Sci Sports Exerc 43:1334-59: 60 s an exercise in all.
    assert {move.seconds for move in cool_down(LEGS, REQUEST)[1:]} == {60.0}


def test_sore_joints_and_missing_equipment_are_spared_here_too() -> None:
    request = replace(REQUEST, avoid_joints=frozenset({Joint.SHOULDER}), equipment=frozenset())
    pushes = [BY_NAME[name] for name in ("Push-up", "Shoulder press", "Band row")]
    moves = (*warm_up(pushes, request), *cool_down(pushes, request))
    assert not any(move.exercise.equipment for move in moves)
    assert not any(Joint.SHOULDER in move.exercise.joints for move in moves)


def test_a_bike_at_hand_is_ridden_easily_first_and_last() -> None:
    moves = (warm_up(LEGS, REQUEST)[0], cool_down(LEGS, REQUEST)[0])
    assert {move.exercise.name for move in moves} == {"Easy pedalling"}
    without = replace(REQUEST, equipment=frozenset({Equipment.MAT}))
    assert warm_up(LEGS, without)[0].exercise.name == "Easy marching"
