"""Hard rules on single exercises and on sets."""

import datetime as dt

import pytest

from rideready.circuit.constraints import (
    Blocker,
    Rule,
    blockers,
    most_high_impact,
    pool_of,
    resting_muscles,
    set_rules,
)
from rideready.circuit.library import BY_NAME, STATIONS
from rideready.errors import BadInput
from rideready.model.circuit import CircuitLog, CircuitRequest
from rideready.model.exercise import Equipment, Family, Impact, Joint, Level, Muscle
from tests.circuit.riders import DAY, GARAGE

NOBODY = frozenset[Muscle]()


@pytest.mark.parametrize(
    ("name", "request_", "resting", "expected"),
    [
        (
            "Box jump",
            CircuitRequest(
                DAY, level=Level.BEGINNER, avoid_joints=frozenset({Joint.KNEE}), highest_impact=Impact.LOW
            ),
            NOBODY,
            {
                Blocker(Rule.EQUIPMENT, "box"),
                Blocker(Rule.JOINT, "knee"),
                Blocker(Rule.LEVEL, "intermediate"),
                Blocker(Rule.IMPACT, "high"),
            },
        ),
        (
            "Push-up",
            CircuitRequest(DAY, exclude=frozenset({"Push-up"})),
            frozenset({Muscle.CHEST, Muscle.SHOULDERS}),  # shoulders only work along
            {Blocker(Rule.EXCLUDED, "Push-up"), Blocker(Rule.RESTING, "chest")},
        ),
        ("Push-up", CircuitRequest(DAY), NOBODY, set()),
    ],
)
def test_everything_that_keeps_an_exercise_out_is_named(
    name: str, request_: CircuitRequest, resting: frozenset[Muscle], expected: set[Blocker]
) -> None:
    assert set(blockers(BY_NAME[name], request_, resting)) == expected


def log(days_ago: int, *, rpe: float | None, rounds: int = 10, name: str = "Goblet squat") -> CircuitLog:
    return CircuitLog(DAY - dt.timedelta(days_ago), (name,), 10, rounds, rpe=rpe)


HARD_ENOUGH = [log(0, rpe=7), log(1, rpe=9), log(1, rpe=None)]
NOT_RESTING = {
    "two days ago": log(2, rpe=10),
    "not hard": log(1, rpe=6.5),
    "no round done": log(1, rpe=9, rounds=0),
    "tomorrow": log(-1, rpe=9),
    "unknown exercise": log(1, rpe=9, name="A lift of long ago"),
}


@pytest.mark.parametrize("entry", HARD_ENOUGH, ids=["today", "yesterday", "not rated"])
def test_the_main_muscles_of_a_hard_circuit_rest_for_two_days(entry: CircuitLog) -> None:
    assert resting_muscles(CircuitRequest(DAY, log=(entry,))) == {Muscle.QUADS, Muscle.GLUTES}


@pytest.mark.parametrize("entry", NOT_RESTING.values(), ids=NOT_RESTING)
def test_nothing_rests_after_anything_else(entry: CircuitLog) -> None:
    assert resting_muscles(CircuitRequest(DAY, log=(entry,))) == NOBODY


def test_a_family_is_set_aside_only_where_the_48_hours_alone_take_all_of_it() -> None:
    grips = frozenset({Muscle.FOREARMS})
    rested = pool_of(CircuitRequest(DAY, equipment=GARAGE, trained_hard=grips))
    assert rested.rested == (Family.GRIP,)
    assert Family.GRIP not in rested.needed
    assert not any(Family.GRIP in exercise.families for exercise in rested.exercises)


def test_a_family_without_equipment_stays_needed() -> None:
    none = frozenset(e.name for e in STATIONS if Family.GRIP in e.families and not e.equipment)
    pool = pool_of(CircuitRequest(DAY, exclude=none, trained_hard=frozenset({Muscle.QUADS})))
    assert Family.GRIP in pool.needed
    assert not any(Family.GRIP in exercise.families for exercise in pool.exercises)


def test_an_unknown_name_is_refused_with_the_nearest_one() -> None:
    with pytest.raises(BadInput, match=r"'pushup'.*'Push-up'"):
        pool_of(CircuitRequest(DAY, exclude=frozenset({"pushup"})))


def test_the_right_name_in_small_letters_is_recognised_as_the_nearest() -> None:
    with pytest.raises(BadInput, match=r"'goblet squat'.*'Goblet squat'"):
        pool_of(CircuitRequest(DAY, exclude=frozenset({"goblet squat"})))


def broken(names: tuple[str, ...], n: int) -> int:
    """Count the set rules a set of names breaks."""
    sums = [
        (rule, sum(c for c, e in zip(rule.coefficients, STATIONS, strict=True) if e.name in names))
        for rule in set_rules(STATIONS, tuple(Family), n)
    ]
    return sum(not rule.low <= total <= rule.high for rule, total in sums)


def test_a_set_with_all_families_breaks_no_rule() -> None:
    assert broken(("Bodyweight squat", "Push-up", "Finger-hook pull", "Bear crawl"), 4) == 0


@pytest.mark.parametrize(
    ("names", "n"),
    [
        (("Bodyweight squat", "Push-up", "Standing elbow drive", "Bear crawl"), 4),
        (("Finger-hook pull", "Push-up", "Fist clench", "Bear crawl"), 4),
        (("Bodyweight squat", "Push-up", "Finger-hook pull", "Bear crawl", "Bear hold"), 5),
        (("Squat jump", "Push-up", "Finger-hook pull", "Bear crawl", "Line hop"), 5),
        (("Squat jump", "Push-up", "Finger-hook pull", "Bear crawl"), 5),
    ],
    ids=["no grip", "no legs", "two variants", "two landings", "one too few"],
)
def test_a_set_with_one_fault_breaks_one_rule(names: tuple[str, ...], n: int) -> None:
    assert broken(names, n) == 1


@pytest.mark.parametrize(("n", "most"), [(4, 1), (6, 1), (7, 2), (8, 2)])
def test_landings_are_limited(n: int, most: int) -> None:
    assert most_high_impact(n) == most


def test_nothing_needing_equipment_is_left_without_any() -> None:
    pool = pool_of(CircuitRequest(DAY, level=Level.ADVANCED))
    assert {piece for exercise in pool.exercises for piece in exercise.equipment} == set[Equipment]()
    assert len(pool.exercises) >= 30
