"""Reasons: every decision can say why, in a sentence for a rider."""

import datetime as dt
import re
from dataclasses import replace

import pytest

from rideready.circuit.constraints import pool_of
from rideready.circuit.explain import cautions, expected_rpe, joined, why_choice
from rideready.circuit.library import BY_NAME, STATIONS
from rideready.circuit.order import Order
from rideready.circuit.solve import build_circuit
from rideready.model.circuit import CircuitLog, CircuitRequest, Complaint
from rideready.model.exercise import Joint, Muscle
from rideready.model.reason import SENTENCES
from rideready.model.sentences.circuit import CIRCUIT_SENTENCES
from tests.circuit.riders import DAY, GARAGE

REQUEST = CircuitRequest(DAY, equipment=GARAGE)


@pytest.mark.parametrize(
    ("words", "text"), [(["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_words_are_joined_as_in_a_sentence(words: list[str], text: str) -> None:
    assert joined(words) == text


def every_other(names: tuple[str, ...]) -> frozenset[str]:
    return frozenset(e.name for e in STATIONS) - set(names)


def test_every_station_says_what_it_is_for() -> None:
    circuit = build_circuit(REQUEST)
    for station in circuit.stations:
        uses = ", ".join(station.exercise.serves).split(", ")
        assert all(use in station.reasons[0].sentence for use in uses)


@pytest.mark.parametrize(("days", "comes_back"), [(16, 1), (9, 0)])
def test_what_comes_back_after_a_while_says_so(days: int, comes_back: int) -> None:
    names = build_circuit(REQUEST).names
    entry = CircuitLog(DAY - dt.timedelta(days), names, 10, 10, rpe=8)
    circuit = build_circuit(replace(REQUEST, exclude=every_other(names), log=(entry,)))
    codes = [reason.code for station in circuit.stations for reason in station.reasons]
    assert codes.count("circuit.not_lately") == comes_back * len(names)


def told(request: CircuitRequest) -> str:
    return " ".join(reason.sentence for reason in build_circuit(request).reasons)


def test_resting_muscles_and_families_set_aside_are_told() -> None:
    text = told(replace(REQUEST, trained_hard=frozenset({Muscle.FOREARMS, Muscle.CHEST})))
    assert "Left alone, because trained hard within 48 hours: chest and forearms." in text
    assert "No exercise for grip today: those muscles rest their 48 hours." in text


def test_a_joint_spared_is_told_with_how_many_it_cost() -> None:
    text = told(replace(REQUEST, avoid_joints=frozenset({Joint.SHOULDER})))
    counted = re.search(r"stresses the shoulder; (\d+) exercises were left out", text)
    assert counted is not None
    assert int(counted[1]) >= 20
    assert "Sparing the shoulder: stop an exercise that hurts it" in text


def test_clashes_are_told_by_name() -> None:
    push_up, dip, squat = (BY_NAME[name] for name in ("Push-up", "Box dip", "Goblet squat"))
    ordered = Order((push_up, dip, squat), (("Push-up", "Box dip"),), clashes_across=True)
    text = " ".join(r.sentence for r in why_choice(REQUEST, pool_of(REQUEST), ordered))
    assert "Push-up and Box dip follow each other though they share a main muscle" in text
    assert "Goblet squat ends and Push-up begins a round" in text


def codes(request: CircuitRequest, *names: str) -> list[str]:
    return [reason.code for reason in cautions([BY_NAME[name] for name in names], request)]


def test_the_stop_signs_always_stand_first() -> None:
    assert codes(REQUEST, "Push-up") == ["circuit.stop"]
    assert "chest pain" in SENTENCES["circuit.stop"]


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Goblet squat", "circuit.weight_choice"),
        ("Farmer carry", "circuit.weight_choice"),
        ("Box jump", "circuit.landing"),
    ],
)
def test_weights_and_landings_bring_their_caution(name: str, code: str) -> None:
    assert codes(REQUEST, name)[1:] == [code]


@pytest.mark.parametrize(
    ("complaint", "code"),
    [
        (Complaint.ASTHMA, "circuit.asthma"),
        (Complaint.HIGH_BLOOD_PRESSURE, "circuit.blood_pressure"),
    ],
)
def test_what_the_rider_reports_brings_its_caution(complaint: Complaint, code: str) -> None:
    assert code in codes(replace(REQUEST, complaints=frozenset({complaint})), "Push-up")


def test_a_low_back_is_warned_of_with_its_own_signs() -> None:
    request = replace(REQUEST, avoid_joints=frozenset({Joint.LOW_BACK, Joint.KNEE}))
    assert codes(request, "Push-up")[1:] == ["circuit.sore_joint", "circuit.sore_low_back"]
    assert "runs down a leg" in SENTENCES["circuit.sore_low_back"]


def test_without_a_rating_the_usual_one_is_taken_and_said() -> None:
    entry = CircuitLog(DAY - dt.timedelta(3), ("Push-up",), 10, 10)
    rpe, reason = expected_rpe(replace(REQUEST, log=(entry,)))
    assert rpe == 7
    assert reason.code == "circuit.load_usual"


def test_every_sentence_is_one_a_rider_can_read() -> None:
    for code, template in CIRCUIT_SENTENCES.items():
        assert code.startswith("circuit.")
        assert len(template) < 230
        is_clause = code.startswith(
            ("circuit.change_", "circuit.nothing_", "circuit.too_", "circuit.no_more", "circuit.no_swap")
        )
        is_clause |= code.startswith(("circuit.fever", "circuit.infection", "circuit.chest", "circuit.faint"))
        is_advice = code in {
            "circuit.rest_it",
            "circuit.get_help",
            "circuit.fewer_alternatives",
            "circuit.swap_another",
        }
        if code != "circuit.too_hard" and (is_clause or is_advice):
            assert not template.endswith(".")
        else:
            assert template.endswith(".")
            assert template[0].isupper() or template[0] == "{"
