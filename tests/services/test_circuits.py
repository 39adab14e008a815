"""Today's circuit: swapped, logged with weights, and left to rest what was trained hard."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rideready.circuit.library import STATIONS
from rideready.errors import BadInput, Infeasible
from rideready.model.circuit import Circuit
from rideready.model.exercise import Equipment, Level, Muscle
from rideready.model.week import MuscleGroup
from rideready.services.circuits import circuit_request, log_circuit, swap_exercise, todays_circuit
from rideready.services.context import Context, open_context
from rideready.services.diary import write_entry
from rideready.services.trained import MUSCLES_OF
from rideready.services.training import update_training

DAY = dt.date(2026, 10, 6)
LEGS = MUSCLES_OF[MuscleGroup.LOWER]


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    opened = open_context(tmp_path / "store.sqlite", today=DAY)
    update_training(
        opened, equipment=(Equipment.KETTLEBELL, Equipment.BOX, Equipment.MAT), level=Level.ADVANCED
    )
    yield opened
    opened.store.close()


def later(ctx: Context, days: int) -> Context:
    return replace(ctx, today=DAY + dt.timedelta(days=days))


def test_a_swap_keeps_all_other_exercises_and_the_size(ctx: Context) -> None:
    before = todays_circuit(ctx)
    gone = before.names[2]
    after = swap_exercise(ctx, before, gone)
    assert len(set(after.names) & set(before.names)) == len(before.names) - 1
    assert gone not in after.names
    assert after.top_count == before.top_count


def test_a_swap_does_not_bring_back_what_was_swapped_out_before(ctx: Context) -> None:
    before = todays_circuit(ctx)
    gone = before.names[0]
    once = swap_exercise(ctx, before, gone)
    (new,) = set(once.names) - set(before.names)
    twice = swap_exercise(ctx, once, new, besides=[gone])
    assert not {gone, new} & set(twice.names)


def test_a_swap_with_nothing_to_take_its_place_says_so(ctx: Context) -> None:
    wishes: dict[str, Any] = {"equipment": frozenset(), "level": Level.BEGINNER}
    circuit = todays_circuit(ctx, **wishes)
    others = {exercise.name for exercise in STATIONS} - set(circuit.names)
    with pytest.raises(Infeasible, match="in place of"):
        swap_exercise(ctx, circuit, circuit.names[0], besides=others, **wishes)


def test_an_exercise_that_is_not_there_cannot_be_swapped(ctx: Context) -> None:
    with pytest.raises(BadInput, match="no exercise called 'juggling'"):
        swap_exercise(ctx, todays_circuit(ctx), "juggling")


def loaded(circuit: Circuit) -> str:
    return next(
        station.exercise.name
        for station in circuit.stations
        if {Equipment.KETTLEBELL, Equipment.DUMBBELLS}.intersection(station.exercise.equipment)
    )


def test_a_weight_used_is_kept_with_the_circuit(ctx: Context) -> None:
    circuit = todays_circuit(ctx)
    name = loaded(circuit)
    log_circuit(ctx, circuit, rounds_done=None, rpe=5, weights_kg={name: 16})
    assert [log.weights_kg for log in circuit_request(later(ctx, 4)).log] == [((name, 16),)]


@pytest.mark.parametrize(("kg", "says"), [(0, "cannot be"), (900, "cannot be"), (float("nan"), "cannot be")])
def test_a_weight_that_cannot_be_is_refused_and_nothing_written(ctx: Context, kg: float, says: str) -> None:
    circuit = todays_circuit(ctx)
    with pytest.raises(BadInput, match=says):
        log_circuit(ctx, circuit, rounds_done=None, rpe=5, weights_kg={loaded(circuit): kg})
    assert circuit_request(ctx).log == ()


def test_a_strength_session_leaves_its_muscles_to_rest_until_the_third_day(ctx: Context) -> None:
    write_entry(ctx, "strength", minutes=40, rpe=8, tags=["legs"])
    resting = [circuit_request(later(ctx, days)).trained_hard for days in (0, 1, 2)]
    assert resting == [LEGS, LEGS, frozenset()]


def test_a_strength_session_without_a_tag_was_for_the_whole_body(ctx: Context) -> None:
    write_entry(ctx, "strength", minutes=40)
    assert circuit_request(ctx).trained_hard == frozenset(Muscle)


def test_a_mild_strength_session_leaves_nothing_to_rest(ctx: Context) -> None:
    write_entry(ctx, "strength", minutes=40, rpe=4)
    assert circuit_request(ctx).trained_hard == frozenset()


def test_a_hard_piece_of_yesterday_leaves_the_legs_to_rest_and_one_of_today_does_not(ctx: Context) -> None:
    write_entry(ctx, "cardio", minutes=40, rpe=8)
    assert circuit_request(ctx).trained_hard == frozenset()
    assert circuit_request(later(ctx, 1)).trained_hard == LEGS


def test_a_logged_circuit_is_left_to_the_log_to_judge(ctx: Context) -> None:
    log_circuit(ctx, todays_circuit(ctx), rounds_done=None, rpe=4)
    assert circuit_request(later(ctx, 1)).trained_hard == frozenset()
