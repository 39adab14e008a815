"""Sweeps over every exercise of the library."""

import re
from collections import Counter

import pytest

from rideready.circuit.exercises.mobility import EASY_MOVES, WARM_UP_MOVES
from rideready.circuit.exercises.stretch import STRETCHES
from rideready.circuit.library import BY_NAME, EXERCISES, STATIONS, depth, root
from rideready.circuit.relax import is_feasible
from rideready.model.circuit import CircuitRequest
from rideready.model.exercise import (
    Equipment,
    Exercise,
    Family,
    Impact,
    Joint,
    Level,
    Movement,
    Muscle,
    PulseDrive,
    RidingUse,
)
from tests.circuit.riders import DAY, GARAGE


def by_name(exercise: Exercise) -> str:
    return exercise.name


def test_there_are_at_least_seventy_exercises_for_circuits() -> None:
    assert len(STATIONS) >= 70
    assert len(EXERCISES) == len({e.name for e in EXERCISES})


@pytest.mark.parametrize("exercise", EXERCISES, ids=by_name)
def test_an_exercise_is_complete_and_plausible(exercise: Exercise) -> None:
    assert re.fullmatch(r"[A-Z][A-Za-z -]{3,31}", exercise.name)
    assert re.fullmatch(r"[A-Z][^\n]{15,109}\.", exercise.instruction)
    assert 1.5 <= exercise.seconds_per_rep <= 6  # a coach's figures, no source
    assert 1 <= len(exercise.primary) <= 3
    muscles = exercise.primary + exercise.secondary
    assert len(muscles) == len(set(muscles))
    for several in (exercise.serves, exercise.equipment, exercise.joints):
        assert len(several) == len(set(several))
    assert exercise.serves
    assert not exercise.rep.endswith(".")


def test_every_instruction_is_its_own() -> None:
    assert max(Counter(e.instruction for e in EXERCISES).values()) == 1


@pytest.mark.parametrize("exercise", EXERCISES, ids=by_name)
def test_variants_exist_and_lead_back_to_the_exercise(exercise: Exercise) -> None:
    for harder in exercise.harder:
        assert BY_NAME[harder].easier == exercise.name
    if exercise.easier is not None:
        assert exercise.name in BY_NAME[exercise.easier].harder


@pytest.mark.parametrize("exercise", [e for e in EXERCISES if e.easier], ids=by_name)
def test_an_easier_variant_is_of_the_same_kind_and_no_harder(exercise: Exercise) -> None:
    easier = BY_NAME[exercise.easier or ""]
    assert easier.movement is exercise.movement
    assert easier.level <= exercise.level
    assert easier.impact <= exercise.impact
    assert set(easier.primary) & set(exercise.primary)
    assert depth(exercise) == depth(easier) + 1
    assert root(exercise) == root(easier)


@pytest.mark.parametrize("exercise", STATIONS, ids=by_name)
def test_a_station_counts_for_a_family_and_is_no_mobility(exercise: Exercise) -> None:
    assert exercise.families
    assert exercise.movement is not Movement.MOBILITY


@pytest.mark.parametrize("exercise", STATIONS, ids=by_name)
def test_tags_agree_with_what_the_exercise_is(exercise: Exercise) -> None:
    text = f"{exercise.name} {exercise.instruction}".casefold()
    if re.search(r"\b(squat|lunge|step-up)", exercise.name.casefold()):
        assert Joint.KNEE in exercise.joints
    if re.search(r"push-up|plank shoulder|mountain|bear|burpee", exercise.name.casefold()):
        assert {Joint.WRIST, Joint.SHOULDER} <= set(exercise.joints)
    if re.search(r"\b(hop|jump|burpee|leap)", exercise.name.casefold()) and "step" not in text.split()[0]:
        assert exercise.impact is Impact.HIGH
    for word, piece in (
        ("kettlebell", Equipment.KETTLEBELL),
        ("dumbbell", Equipment.DUMBBELLS),
        ("band", Equipment.BAND),
        ("box", Equipment.BOX),
        ("bar", Equipment.BAR),
        ("towel", Equipment.TOWEL),
        ("rope", Equipment.ROPE),
    ):
        if re.search(rf"\b{word}\b", text):
            assert piece in exercise.equipment
    if {Muscle.QUADS, Muscle.GLUTES} <= set(exercise.primary):
        assert exercise.pulse_drive >= PulseDrive.MEDIUM
    if exercise.impact is Impact.HIGH:
        assert exercise.pulse_drive is PulseDrive.HIGH


@pytest.mark.parametrize(
    "kind",
    [*Movement, *Muscle, *Equipment, *Joint, *Impact, *Level, *RidingUse, *PulseDrive, *Family],
    ids=str,
)
def test_nothing_a_rider_can_name_is_without_an_exercise(kind: object) -> None:
    assert any(
        kind in (e.movement, e.impact, e.level, e.pulse_drive, *e.families)
        or kind in (*e.primary, *e.equipment, *e.joints, *e.serves)
        for e in EXERCISES
    )


@pytest.mark.parametrize("movement", [m for m in Movement if m is not Movement.MOBILITY])
def test_every_movement_has_something_for_every_level(movement: Movement) -> None:
    easy = [e for e in STATIONS if e.movement is movement and e.level is Level.BEGINNER]
    assert len(easy) >= 2
    assert len([e for e in STATIONS if e.movement is movement]) >= 8


def test_enough_moves_spare_every_joint_and_need_nothing() -> None:
    def free(moves: tuple[Exercise, ...]) -> int:
        return sum(not move.joints and not move.equipment for move in moves)

    assert free(EASY_MOVES) >= 1
    assert free(WARM_UP_MOVES) >= 3
    assert free(STRETCHES) >= 4


USUAL_KITS = [
    frozenset[Equipment](),
    frozenset({Equipment.MAT}),
    frozenset({Equipment.BAND}),
    frozenset({Equipment.MAT, Equipment.DUMBBELLS}),
    frozenset({Equipment.KETTLEBELL, Equipment.BOX}),
    GARAGE,
]


@pytest.mark.parametrize("kit", USUAL_KITS, ids=lambda kit: "-".join(sorted(kit)) or "nothing")
@pytest.mark.parametrize("level", [Level.BEGINNER, Level.ADVANCED], ids=lambda level: level.label)
def test_usual_requests_have_a_circuit(kit: frozenset[Equipment], level: Level) -> None:
    sore = [frozenset[Joint](), *(frozenset({joint}) for joint in Joint), frozenset(Joint)]
    lost = [
        (sorted(joints), n)
        for joints in sore
        for n in (4, 8)
        if not is_feasible(CircuitRequest(DAY, equipment=kit, level=level, avoid_joints=joints, exercises=n))
    ]
    assert lost == []
