"""From a request to a circuit."""

import datetime as dt
import os
import subprocess
import sys
from dataclasses import replace
from itertools import combinations, pairwise

import pytest

from rideready.circuit.aims import points_of
from rideready.circuit.constraints import pool_of
from rideready.circuit.library import STATIONS
from rideready.circuit.programme import points_of_set
from rideready.circuit.progression import decide
from rideready.circuit.solve import build_circuit
from rideready.circuit.timing import around_s, ladder_s
from rideready.errors import Infeasible
from rideready.load import session_rpe_load
from rideready.model.circuit import CircuitLog, CircuitRequest, Complaint, RestBy, RestChoice, Start
from rideready.model.exercise import Equipment, Joint, Level, Muscle, Sides
from rideready.model.rider import Rider
from tests.circuit.hard_rules import is_allowed, is_possible
from tests.circuit.riders import DAY, GARAGE, draw_request, seeded

RIDER = Rider(max_hr_bpm=180, resting_hr_bpm=55)
GARAGE_REQUEST = CircuitRequest(DAY, rider=RIDER, equipment=GARAGE)


@pytest.mark.parametrize(("n", "total"), [(5, 275), (6, 330)])
def test_ten_to_one_is_275_reps_for_five_exercises_and_330_for_six(n: int, total: int) -> None:
    # Common practice, no source: 10 down to 1 is 55 an exercise, whatever the exercises.
    circuit = build_circuit(replace(GARAGE_REQUEST, exercises=n))
    assert circuit.total_reps == total
    assert circuit.rounds == (10, 9, 8, 7, 6, 5, 4, 3, 2, 1)
    assert all(sum(station.reps) == 55 for station in circuit.stations)


def test_the_length_stated_is_the_time_model_s() -> None:
    circuit = build_circuit(GARAGE_REQUEST)
    counts = [
        station.exercise.seconds_per_rep * (2 if station.exercise.sides is Sides.EACH else 1)
        for station in circuit.stations
    ]
    seconds = ladder_s(10, counts, change_s=10.0, rest_s=45.0) + around_s(Start.COLD)
    assert circuit.minutes == pytest.approx(seconds / 60)
    assert circuit.minutes_at_most == pytest.approx(circuit.minutes + 9 * 45 / 60)  # cap 90 s
    assert [station.work_s for station in circuit.stations] == [55 * count for count in counts]
    moves = sum(move.seconds for move in (*circuit.warm_up, *circuit.cool_down))
    rounds = sum(circuit.round_s) + 9 * circuit.rest.expected_s
    assert 60 * circuit.minutes == pytest.approx(moves + rounds)


def test_the_load_is_session_rpe() -> None:
    entries = tuple(
        CircuitLog(DAY - dt.timedelta(3 * i), ("Push-up",), 10, 10, rpe=rpe)
        for i, rpe in enumerate([9, 7, 8, 2], 1)
    )
    circuit = build_circuit(replace(GARAGE_REQUEST, log=entries))
    assert circuit.expected_rpe == 8  # median of the last three
    assert circuit.load == session_rpe_load(8, circuit.minutes)


def test_the_chosen_circuit_is_the_best_of_every_possible_one() -> None:
    rng = seeded("end to end")
    solved = 0
    while solved < 8:
        request = draw_request(rng)
        keep = {e.name for e in rng.sample(STATIONS, 30) if is_possible(e, request)}
        request = replace(
            request,
            exercises=5,
            minutes=None,
            alternative=0,
            trained_hard=frozenset(),
            log=(),
            exclude=frozenset(e.name for e in STATIONS) - keep,
        )
        pool = pool_of(request)
        progress = decide(request, pool)
        points = {
            e.name: sum(by_aim.values())
            for e, by_aim in zip(pool.exercises, points_of(pool.exercises, request, progress), strict=True)
        }
        try:
            circuit = build_circuit(request)
        except Infeasible:
            continue
        solved += 1
        values = [
            sum(points[e.name] for e in chosen) + points_of_set(chosen)
            for chosen in combinations(pool.exercises, 5)
            if is_allowed(chosen)
        ]
        found = tuple(station.exercise for station in circuit.stations)
        assert sum(points[e.name] for e in found) + points_of_set(found) == max(values)


def test_the_same_request_gives_the_same_circuit() -> None:
    rng = seeded("twice")
    compared = 0
    while compared < 12:
        request = draw_request(rng)
        shuffled = replace(
            request,
            log=tuple(rng.sample(request.log, len(request.log))),
            equipment=frozenset(sorted(request.equipment, reverse=True)),
        )
        try:
            assert build_circuit(request) == build_circuit(shuffled)
        except Infeasible:
            continue
        compared += 1


PROGRAM = """
import datetime as dt
from rideready.circuit.solve import build_circuit
from rideready.model.circuit import CircuitRequest
from rideready.model.exercise import Equipment, Joint
for n in (4, 5, 8):
    request = CircuitRequest(
        dt.date(2026, 10, n), equipment=frozenset(Equipment), avoid_joints=frozenset({Joint.NECK}), exercises=n
    )
    print(build_circuit(request))
"""


def test_another_run_of_python_gives_the_same_circuit() -> None:
    prints = {
        subprocess.run(
            [sys.executable, "-c", PROGRAM],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(prints) == 1
    assert prints.pop().count("Circuit(") == 3


def test_alternatives_differ_and_never_get_better() -> None:
    requests = [replace(GARAGE_REQUEST, alternative=k) for k in range(4)]
    pool = pool_of(GARAGE_REQUEST)
    points = points_of(pool.exercises, GARAGE_REQUEST, decide(GARAGE_REQUEST, pool))
    own = {e.name: sum(by_aim.values()) for e, by_aim in zip(pool.exercises, points, strict=True)}
    sets = [tuple(s.exercise for s in build_circuit(request).stations) for request in requests]
    values = [sum(own[e.name] for e in chosen) + points_of_set(chosen) for chosen in sets]
    assert len({frozenset(e.name for e in chosen) for chosen in sets}) == 4
    assert values == sorted(values, reverse=True)


def test_after_the_last_alternative_there_is_no_more() -> None:
    names = {"Bodyweight squat", "Push-up", "Finger-hook pull", "Bear crawl", "Fist clench", "Good morning"}
    few = CircuitRequest(DAY, exclude=frozenset(e.name for e in STATIONS) - names, exercises=5)
    with pytest.raises(Infeasible, match=r"only \d circuits for this request"):
        build_circuit(replace(few, alternative=5))


@pytest.mark.parametrize(
    ("complaint", "words"),
    [
        (Complaint.FEVER, "two easy days"),
        (Complaint.INFECTION, "two easy days"),
        (Complaint.CHEST_PAIN, "medical help now"),
        (Complaint.FAINTNESS, "medical help now"),
    ],
)
def test_there_is_no_circuit_for_who_should_not_train(complaint: Complaint, words: str) -> None:
    with pytest.raises(Infeasible, match=words):
        build_circuit(replace(GARAGE_REQUEST, complaints=frozenset({complaint})))


def test_the_time_at_hand_lowers_the_first_round_and_says_so() -> None:
    circuit = build_circuit(replace(GARAGE_REQUEST, minutes=25))
    taller = build_circuit(replace(GARAGE_REQUEST, top_count=circuit.top_count + 1))
    assert circuit.minutes <= 25
    assert circuit.top_count < circuit.full_top_count == 10
    assert [r for r in circuit.reasons if r.code == "circuit.top_for_time"]
    with pytest.raises(Infeasible):
        build_circuit(replace(GARAGE_REQUEST, minutes=25, top_count=taller.top_count))


def test_with_time_enough_the_first_round_is_full() -> None:
    circuit = build_circuit(replace(GARAGE_REQUEST, minutes=60))
    assert circuit.top_count == circuit.full_top_count == 10


def test_the_one_weight_that_changes_is_on_its_station() -> None:
    weights = tuple((e.name, 14.0) for e in STATIONS)
    entries = tuple(
        CircuitLog(DAY - dt.timedelta(days), ("Band row",), 10, 10, rpe=5, weights_kg=weights)
        for days in (3, 6)
    )
    circuit = build_circuit(replace(GARAGE_REQUEST, log=entries))
    changed = [s for s in circuit.stations if s.weight_kg != 14.0]
    told = [reason for reason in circuit.reasons if reason.code == "circuit.weight"]
    assert len(changed) == len(told) == 1
    assert changed[0].weight_kg in {16.0, 18.0}  # the next dumbbell or kettlebell
    assert dict(told[0].values)["name"] == changed[0].exercise.name


def test_neighbours_share_no_main_muscle_in_the_garage() -> None:
    for n in range(4, 9):
        for level in Level:
            circuit = build_circuit(replace(GARAGE_REQUEST, exercises=n, level=level))
            ring = [set(s.exercise.primary) for s in (*circuit.stations, circuit.stations[0])]
            assert not any(a & b for a, b in pairwise(ring))


def test_a_weight_known_from_the_log_is_carried_over() -> None:
    entry = CircuitLog(
        DAY - dt.timedelta(30),
        ("Kettlebell swing",),
        10,
        10,
        rpe=8,
        weights_kg=tuple((e.name, 14.0) for e in STATIONS),
    )
    circuit = build_circuit(replace(GARAGE_REQUEST, log=(entry,)))
    assert {station.weight_kg for station in circuit.stations} == {14.0}


def test_an_earned_variant_is_in_the_next_circuit_and_told() -> None:
    entry = CircuitLog(DAY - dt.timedelta(3), ("Glute bridge", "Band row"), 10, 10, rpe=5)
    circuit = build_circuit(replace(GARAGE_REQUEST, log=(entry,)))
    told = [r for r in circuit.reasons if r.code == "circuit.variant_up"]
    assert len(told) == 1
    assert dict(told[0].values)["to_name"] in circuit.names


def test_an_earned_variant_whose_muscles_rest_waits() -> None:
    entry = CircuitLog(DAY - dt.timedelta(3), ("Half-kneeling press",), 10, 10, rpe=5)
    tired = frozenset({Muscle.SHOULDERS})
    circuit = build_circuit(replace(GARAGE_REQUEST, log=(entry,), trained_hard=tired))
    assert "Shoulder press" not in circuit.names


def test_a_sore_low_back_brings_its_caution() -> None:
    circuit = build_circuit(replace(GARAGE_REQUEST, avoid_joints=frozenset({Joint.LOW_BACK})))
    codes = [reason.code for reason in circuit.reasons]
    assert "circuit.sore_low_back" in codes
    assert "circuit.stop" in codes


def test_a_rest_by_the_clock_needs_no_pulse() -> None:
    choice = RestChoice(by=RestBy.CLOCK, clock_s=30)
    circuit = build_circuit(CircuitRequest(DAY, equipment=frozenset(Equipment), rest=choice))
    assert circuit.minutes == circuit.minutes_at_most
    assert circuit.rest.expected_s == 30
