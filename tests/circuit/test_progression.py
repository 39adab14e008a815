"""The one step from what was done last; common practice, no source."""

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from rideready.circuit.constraints import pool_of
from rideready.circuit.progression import Direction, Progress, VariantStep, WeightStep, decide
from rideready.model.circuit import CircuitLog, CircuitRequest, RestRecoveries
from rideready.model.exercise import Joint, Level
from tests.circuit.riders import DAY, GARAGE, draw_request, seeded

EASY: dict[str, Any] = {"rpe": 5}
NAMES = ("Glute bridge", "Push-up")


def log(days_ago: int = 3, *names: str, top: int = 10, **fields: Any) -> CircuitLog:
    given = {"rounds_done": top, "rpe": 8} | fields
    return CircuitLog(DAY - dt.timedelta(days_ago), names or NAMES, top, **given)


def step(*entries: CircuitLog, **fields: Any) -> Progress:
    request = CircuitRequest(DAY, log=entries, **({"equipment": GARAGE} | fields))
    return decide(request, pool_of(request))


def codes(progress: Progress) -> list[str]:
    return [reason.code for reason in progress.reasons]


def test_the_first_circuit_starts_from_ten() -> None:
    progress = step()
    assert (progress.direction, progress.top_count) == (Direction.START, 10)
    assert codes(progress) == ["circuit.first"]


def test_a_top_count_asked_for_stays() -> None:
    assert step(top_count=7).top_count == 7
    assert step(log(top=12), top_count=7).top_count == 7
    assert step(log(top=8, **EASY), top_count=8).top_count == 8


@pytest.mark.parametrize(
    ("entry", "direction", "why"),
    [
        (log(**EASY), Direction.UP, "circuit.easy"),
        (log(rpe=6), Direction.UP, "circuit.easy"),
        (log(rpe=6.5), Direction.HOLD, "circuit.hard_enough"),
        (log(rpe=8), Direction.HOLD, "circuit.hard_enough"),
        (log(rpe=9), Direction.DOWN, "circuit.too_hard"),
        (log(rpe=None), Direction.HOLD, "circuit.unrated"),
        (log(rounds_done=7, rpe=8), Direction.DOWN, "circuit.unfinished"),
        (log(rounds_done=7, rpe=None), Direction.DOWN, "circuit.unfinished"),
        (log(rounds_done=7, rpe=5), Direction.HOLD, "circuit.unfinished"),
        (log(recoveries=RestRecoveries(0.4), **EASY), Direction.HOLD, "circuit.pulse_stayed_up"),
        (log(recoveries=RestRecoveries(0.5), **EASY), Direction.UP, "circuit.easy"),
        (log(21, **EASY), Direction.UP, "circuit.easy"),
        (log(22, **EASY), Direction.DOWN, "circuit.after_break"),
    ],
)
def test_what_was_done_decides_the_direction(entry: CircuitLog, direction: Direction, why: str) -> None:
    progress = step(entry)
    assert progress.direction is direction
    assert codes(progress)[0] == why


def test_only_the_latest_circuit_up_to_the_day_decides() -> None:
    assert step(log(1, rpe=8), log(9, **EASY), log(-2, rpe=10)).direction is Direction.HOLD


def test_below_ten_one_rep_is_added() -> None:
    progress = step(log(top=8, **EASY))
    assert (progress.top_count, progress.variant, progress.weights) == (9, None, ())
    assert "circuit.top_up" in codes(progress)


def test_one_rep_is_taken_off() -> None:
    progress = step(log(top=8, rpe=10))
    assert progress.top_count == 7
    assert "circuit.top_down" in codes(progress)


def test_a_circuit_cut_short_for_time_counts_with_its_full_size() -> None:
    assert step(log(top=6, full_top_count=10, rpe=8)).top_count == 10


@pytest.mark.parametrize(("top", "expected"), [(2, 5), (14, 12)])
def test_the_log_leads_to_five_to_twelve_reps(top: int, expected: int) -> None:
    assert step(log(top=top, rpe=8)).top_count == expected


def test_at_ten_the_next_step_is_a_harder_variant() -> None:
    progress = step(log(3, "Glute bridge", "Band row", **EASY))
    assert progress.top_count == 10
    assert progress.variant is not None
    assert progress.variant.from_name == "Glute bridge"


def test_the_exercise_done_most_often_goes_first() -> None:
    entries = [log(3, "Bodyweight squat", "Half-kneeling press", **EASY), log(6, "Half-kneeling press")]
    assert step(*entries).variant == VariantStep("Half-kneeling press", "Shoulder press")


def test_no_variant_is_proposed_that_today_rules_out() -> None:
    easy = log(3, "Half-kneeling press", "Band row", **EASY)
    assert step(easy, avoid_joints=frozenset({Joint.LOW_BACK})).variant is None
    assert step(easy, level=Level.BEGINNER).variant is None


WEIGHED = (("Goblet squat", 16.0), ("Bent-over row", 10.0))


def test_after_variants_comes_the_weight_of_what_was_finished_twice_with_it() -> None:
    names = ("Goblet squat", "Bent-over row")
    latest = log(3, *names, weights_kg=WEIGHED, **EASY)
    once = step(latest)
    twice = step(latest, log(6, *names, weights_kg=WEIGHED))
    assert once.weights == ()
    assert twice.weights == (
        WeightStep("Goblet squat", 16.0, 20.0),
        WeightStep("Bent-over row", 10.0, 12.0),
    )


def test_only_one_weight_changes() -> None:
    names = ("Goblet squat", "Bent-over row")
    entry = log(3, *names, weights_kg=WEIGHED, **EASY)
    progress = step(entry, replace(entry, date=DAY - dt.timedelta(6)))
    assert progress.weight_for(["Push-up", *names]) == WeightStep("Goblet squat", 16.0, 20.0)
    assert progress.weight_for(["Bent-over row"]) == WeightStep("Bent-over row", 10.0, 12.0)
    assert progress.weight_for(["Push-up"]) is None


def test_beyond_ten_it_takes_three_easy_circuits_in_a_row() -> None:
    # Push-ups at this level have no harder variant, and nothing carries a weight.
    row = [log(days, "Band row", **EASY) for days in (3, 6, 9)]
    assert step(*row).top_count == 11
    assert step(*row[:2]).top_count == 10
    assert codes(step(*row[:2]))[-1] == "circuit.once_more"
    assert step(*row[:2], log(9, "Band row", rpe=7)).top_count == 10


def test_at_twelve_there_is_no_further_step() -> None:
    row = [log(days, "Band row", top=12, **EASY) for days in (3, 6, 9)]
    progress = step(*row)
    assert (progress.direction, progress.top_count) == (Direction.HOLD, 12)
    assert codes(progress)[-1] == "circuit.at_the_top"


def test_with_the_top_count_given_less_means_an_easier_variant() -> None:
    progress = step(log(3, "Thruster", "Push-up", rpe=10), top_count=10)
    assert progress.variant == VariantStep("Thruster", "Dumbbell front squat")


def test_or_a_lighter_weight() -> None:
    progress = step(log(3, "Band row", weights_kg=(("Goblet squat", 16.0),), rpe=10), top_count=10)
    assert progress.weights == (WeightStep("Goblet squat", 16.0, 12.0),)


def test_or_nothing_where_nothing_is_easier() -> None:
    progress = step(log(3, "Band row", rpe=10), top_count=10)
    assert progress.direction is Direction.HOLD
    assert codes(progress)[-1] == "circuit.at_the_bottom"


def test_never_more_than_one_thing_changes() -> None:
    rng = seeded("steps")
    for _ in range(300):
        request = draw_request(rng)
        progress = decide(request, pool_of(request))
        entries = sorted((e for e in request.log if e.date <= request.date), key=lambda e: e.date)
        usual = (entries[-1].full_top_count or entries[-1].top_count) if entries else 10
        is_new_top = request.top_count is None and progress.top_count != min(max(usual, 5), 12)
        ties = len([e for e in entries if e.date == entries[-1].date]) > 1 if entries else False
        assert is_new_top + (progress.variant is not None) + bool(progress.weights) <= 1 + ties
        assert progress.reasons
