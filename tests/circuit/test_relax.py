"""The smallest change: it works, and nothing cheaper does."""

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from rideready.circuit.constraints import Rule
from rideready.circuit.give_way import PRICES
from rideready.circuit.library import STATIONS
from rideready.circuit.relax import (
    EXERCISE_PRICE,
    KIND_PRICE,
    MINUTE_PRICE,
    TOP_PRICE,
    infeasible,
    is_feasible,
    smallest_change,
)
from rideready.circuit.solve import build_circuit
from rideready.model.circuit import CircuitLog, CircuitRequest
from rideready.model.exercise import Equipment, Family, Impact, Joint, Level, Muscle
from tests.circuit.riders import DAY, draw_request, seeded

BODY_ONLY_GRIPS = frozenset(e.name for e in STATIONS if Family.GRIP in e.families and not e.equipment)


def higher_steps(request: CircuitRequest) -> Iterator[tuple[float, CircuitRequest]]:
    for level in Level:
        if level > request.level:
            yield PRICES[Rule.LEVEL] * (level - request.level), replace(request, level=level)
    for impact in Impact:
        if impact > request.highest_impact:
            price = PRICES[Rule.IMPACT] * (impact - request.highest_impact)
            yield price, replace(request, highest_impact=impact)


def more_time(request: CircuitRequest) -> Iterator[tuple[float, CircuitRequest]]:
    if request.minutes is not None:
        for more in range(1, 30):
            price = KIND_PRICE + MINUTE_PRICE * more
            yield price, replace(request, minutes=request.minutes + more)
        top = request.top_count or 5
        for lower in range(2, top):
            yield KIND_PRICE + TOP_PRICE * (top - lower), replace(request, top_count=lower)


def single_changes(request: CircuitRequest) -> Iterator[tuple[float, CircuitRequest]]:
    """Every single thing that can be changed about a request, with its price."""
    for n in range(4, 9):
        if n != request.exercises:
            price = KIND_PRICE + EXERCISE_PRICE * abs(n - request.exercises)
            yield price, replace(request, exercises=n)
    for piece in set(Equipment) - request.equipment:
        yield PRICES[Rule.EQUIPMENT], replace(request, equipment=request.equipment | {piece})
    for name in request.exclude:
        yield PRICES[Rule.EXCLUDED], replace(request, exclude=request.exclude - {name})
    for joint in request.avoid_joints:
        yield PRICES[Rule.JOINT], replace(request, avoid_joints=request.avoid_joints - {joint})
    yield from higher_steps(request)
    yield from more_time(request)
    past = tuple(log for log in request.log if log.date <= request.date)
    later = request.date + dt.timedelta(2)
    yield PRICES[Rule.RESTING], replace(request, date=later, trained_hard=frozenset(), log=past)


def differs_in_size_only(one: CircuitRequest, other: CircuitRequest) -> bool:
    return other == replace(one, exercises=other.exercises, minutes=other.minutes, top_count=other.top_count)


def test_the_change_proposed_works_and_no_cheaper_single_change_does() -> None:
    rng = seeded("infeasible")
    seen = 0
    while seen < 8:
        request = draw_request(rng)
        if is_feasible(request):
            continue
        seen += 1
        change = smallest_change(request)
        assert change is not None, request
        build_circuit(change.request)  # raises if it did not help
        is_only_time = request.minutes is not None and is_feasible(replace(request, minutes=None))
        cheaper = [
            other
            for price, other in single_changes(request)
            if price < change.price - 1e-9
            # where only the time is short, equipment and joints are left alone on purpose
            and (not is_only_time or differs_in_size_only(request, other))
            and is_feasible(other)
        ]
        assert cheaper == [], (request, change.sentence)


CASES = [
    (
        CircuitRequest(DAY, exclude=BODY_ONLY_GRIPS),
        "circuit: no exercise is left for grip. Allow Finger-hook pull.",
    ),
    (
        CircuitRequest(DAY, minutes=20, top_count=10),
        "circuit: it does not fit into 20 minutes. Start from 5 reps.",
    ),
    (
        CircuitRequest(DAY, minutes=33, top_count=10),
        "circuit: it does not fit into 33 minutes. Take 34 minutes.",
    ),
    (
        CircuitRequest(DAY, trained_hard=frozenset(Muscle)),
        "circuit: too few muscle groups are rested for 5 exercises. Wait until the 48 hours are over.",
    ),
    (
        CircuitRequest(DAY, exercises=4, exclude=BODY_ONLY_GRIPS | {"Side shuffle"}, level=Level.BEGINNER),
        "circuit: no exercise is left for grip. Allow Finger-hook pull.",
    ),
]


@pytest.mark.parametrize(("request_", "sentence"), CASES)
def test_the_sentence_says_what_is_wrong_and_the_smallest_change(
    request_: CircuitRequest, sentence: str
) -> None:
    assert str(infeasible(request_)) == sentence


def test_a_sore_joint_gives_way_last() -> None:
    # Everything that spares the knee and trains the legs is excluded: a jump in level or kit is cheaper.
    spares = frozenset(e.name for e in STATIONS if Family.LOWER in e.families and Joint.KNEE not in e.joints)
    change = smallest_change(CircuitRequest(DAY, avoid_joints=frozenset({Joint.KNEE}), exclude=spares))
    assert change is not None
    assert change.request.avoid_joints == {Joint.KNEE}
    assert change.price == PRICES[Rule.EXCLUDED]


def test_waiting_lets_the_logged_circuit_rest_too() -> None:
    names = tuple(e.name for e in STATIONS)
    entry = CircuitLog(DAY, names, 10, 10, rpe=9)
    change = smallest_change(CircuitRequest(DAY, log=(entry,)))
    assert change is not None
    assert change.request.date == DAY + dt.timedelta(2)
    assert build_circuit(change.request).total_reps > 0


def test_a_circuit_logged_for_later_does_not_spoil_the_waiting() -> None:
    later = CircuitLog(DAY + dt.timedelta(1), tuple(e.name for e in STATIONS), 10, 10, rpe=9)
    change = smallest_change(CircuitRequest(DAY, trained_hard=frozenset(Muscle), log=(later,)))
    assert change is not None
    assert change.request.log == ()
    assert is_feasible(change.request)


def test_after_waiting_every_family_is_needed_again() -> None:
    # Five exercises, one a family: four of them cannot cover five families, rested or not.
    names = {"Bodyweight squat", "Push-up", "Standing elbow drive", "Bear crawl", "Fist clench"}
    others = frozenset(e.name for e in STATIONS) - names
    change = smallest_change(CircuitRequest(DAY, exercises=4, exclude=others, trained_hard=frozenset(Muscle)))
    assert change is not None
    assert change.price == PRICES[Rule.RESTING] + PRICES[Rule.EXCLUDED]
    assert len(build_circuit(change.request).stations) == 4


def test_a_piece_of_equipment_is_proposed_where_it_is_the_least() -> None:
    request = CircuitRequest(
        DAY,
        level=Level.BEGINNER,
        exercises=8,
        avoid_joints=frozenset(Joint),
        highest_impact=Impact.NONE,
        trained_hard=frozenset({Muscle.CALVES, Muscle.HIP_FLEXORS}),
    )
    change = smallest_change(request)
    assert change is not None
    assert len(change.request.equipment) == 1
    assert change.price == PRICES[Rule.EQUIPMENT]
    assert re.fullmatch(r"Have (a [a-z ]+|dumbbells) at hand", change.sentence)


def test_where_only_time_is_short_the_kit_stays() -> None:
    change = smallest_change(CircuitRequest(DAY, minutes=12))
    assert change is not None
    assert change.request.equipment == frozenset()
