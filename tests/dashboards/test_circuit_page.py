"""The circuit's page lays the circuit out whole; following hands it over whole and writes it down once."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from dashboards.app import page_of
from dashboards.components.circuit_address import read_choice
from dashboards.components.circuit_made import circuit_of
from dashboards.components.circuit_parts import CAUTIONS
from dashboards.components.follow_plan import plan_document
from dashboards.context import Look
from dashboards.pages.follow import followed_from
from dashboards.words.circuit import FOLLOW_WORDS
from rideready.errors import BadInput
from rideready.model.exercise import Equipment, Sides
from rideready.model.sentences.circuit import CIRCUIT_SENTENCES
from rideready.services.cautions import STOP_SIGNS
from rideready.services.circuits import todays_circuit
from rideready.services.context import Context
from rideready.services.riders import update_rider
from rideready.services.training import update_training
from rideready.store.circuits import circuits_done
from tests.dashboards.demo_store import an_empty_store
from tests.dashboards.test_app import parts, texts

ASSETS = Path(__file__).resolve().parents[2] / "dashboards/assets"
SCRIPT = "".join(path.read_text(encoding="utf-8") for path in sorted(ASSETS.glob("follow*.js")))


@pytest.fixture(scope="module")
def rider(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Context]:
    context = an_empty_store(tmp_path_factory.mktemp("circuit") / "rider.sqlite")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    update_training(context, equipment=(Equipment.KETTLEBELL, Equipment.BAND, Equipment.BOX, Equipment.MAT))
    yield context
    context.store.close()


def _rows(page: Any) -> list[list[str]]:
    body = next(part for part in parts(page) if type(part).__name__ == "Tbody")
    return [[texts(cell).strip() for cell in row.children] for row in body.children]


def test_the_ladder_has_a_row_a_round_with_the_reps_of_every_exercise(rider: Context) -> None:
    circuit = todays_circuit(rider)
    rows = _rows(page_of(Look(rider, "/circuit", ""))[0])
    assert len(rows) == circuit.top_count
    for number, (row, reps) in enumerate(zip(rows, circuit.rounds, strict=True), start=1):
        sides = [station.exercise.sides for station in circuit.stations]
        expected = [f"{reps} + {reps}" if side is Sides.EACH else str(reps) for side in sides]
        assert row[: 1 + len(expected)] == [str(number), *expected]


def test_the_page_says_length_reps_rest_in_pulse_numbers_and_every_reason(rider: Context) -> None:
    circuit = todays_circuit(rider)
    said = texts(page_of(Look(rider, "/circuit", ""))[0])
    # 54 + 0.6 * (181 - 54) bpm
    assert "130\N{NO-BREAK SPACE}bpm" in said
    assert str(circuit.total_reps) in said
    assert f"{circuit.minutes:.0f}" in said
    for station in circuit.stations:
        assert station.exercise.instruction in said
        assert all(reason.sentence in said for reason in station.reasons)
    assert all(reason.sentence in said for reason in circuit.reasons)


def test_every_warning_of_the_room_stands_among_the_cautions() -> None:
    assert set(CIRCUIT_SENTENCES) >= CAUTIONS
    warned = {
        code
        for code, text in CIRCUIT_SENTENCES.items()
        if re.search(r"\b[Ss]top (at|an)\b|ask your doctor", text)
    }
    assert warned <= CAUTIONS


def test_the_options_of_the_address_make_the_circuit(rider: Context) -> None:
    search = "?top=6&exercises=4&with=none&spare=wrist&start=from-cardio&rest=clock"
    circuit = circuit_of(rider, read_choice(search))
    assert (circuit.top_count, len(circuit.stations)) == (6, 4)
    assert all(not station.exercise.equipment for station in circuit.stations)
    assert all("wrist" not in station.exercise.joints for station in circuit.stations)
    assert circuit.rest.level_bpm is None
    assert "Made for: 4 exercises; from 6 reps" in texts(page_of(Look(rider, "/circuit", search))[0])


def test_what_cannot_be_made_is_said_and_the_options_stay(rider: Context) -> None:
    said = texts(page_of(Look(rider, "/circuit", "?minutes=2"))[0])
    assert "does not fit into 2 minutes" in said
    assert "Equipment at hand" in said


def test_a_swapped_exercise_is_gone_and_can_be_taken_back(rider: Context) -> None:
    before = todays_circuit(rider).names
    page, _ = page_of(Look(rider, "/circuit", f"?swap={before[1]}"))
    after = circuit_of(rider, read_choice(f"?swap={before[1]}")).names
    assert before[1] not in after
    assert len(set(after) & set(before)) == len(before) - 1
    assert f"Swapped out: {before[1]}." in texts(page)
    assert "/circuit" in {getattr(part, "href", None) for part in parts(page)}


def _handed(page: Any) -> dict[str, Any]:
    (frame,) = [part for part in parts(page) if getattr(part, "id", None) == "follow"]
    return {name: getattr(frame, name) for name in ("data-key", "data-plan", "data-words")}


def test_following_hands_over_the_whole_circuit_with_the_stop_signs(rider: Context) -> None:
    page, title = page_of(Look(rider, "/circuit/follow", "?top=3&day=2026-11-15"))
    handed = _handed(page)
    circuit = circuit_of(rider, read_choice("?top=3"))
    assert title == "Follow the circuit, rideready"
    assert json.loads(handed["data-plan"]) == plan_document(circuit)
    assert json.loads(handed["data-words"])["stop_signs"] == STOP_SIGNS
    assert handed["data-key"] == "?top=3&day=2026-11-15"


def test_following_what_cannot_be_made_says_why(rider: Context) -> None:
    page, _ = page_of(Look(rider, "/circuit/follow", "?minutes=2"))
    assert _handed(page)["data-plan"] == "null"
    assert "does not fit into 2 minutes" in texts(page)


def test_every_word_handed_over_is_used_by_the_script() -> None:
    quoted = set(re.findall(r'"([a-z_]+)"', SCRIPT))
    assert sorted(set(FOLLOW_WORDS) - quoted) == []


def test_the_script_asks_for_no_word_that_is_not_handed_over() -> None:
    asked = set(re.findall(r'\.say\("([a-z_]+)"', SCRIPT))
    assert len(asked) > 15
    assert asked - {*FOLLOW_WORDS, "stop_signs"} == set()


TOLD: dict[str, Any] = {
    "day": "2026-11-15",
    "names": ["Push-up", "Band row"],
    "weights_kg": [None, None],
    "top": 3,
    "full_top": 3,
    "rounds": 2,
    "minutes": 9.5,
    "rpe": 6,
    "sent": 1,
}


def test_what_the_browser_tells_is_read_whole() -> None:
    followed = followed_from(TOLD)
    assert followed.names == ("Push-up", "Band row")
    assert (followed.top_count, followed.rounds_done, followed.rpe, followed.minutes) == (3, 2, 6.0, 9.5)


@pytest.mark.parametrize("change", [{"day": "soon"}, {"rounds": "many"}, {"names": None}, {"rpe": []}])
def test_what_the_browser_cannot_have_told_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(BadInput, match="could not be read"):
        followed_from(TOLD | change)


def test_nothing_is_written_down_before_the_end(rider: Context) -> None:
    page_of(Look(rider, "/circuit/follow", "?top=3&day=2026-11-15"))
    with rider.store.reading() as connection:
        assert circuits_done(connection, rider.rider_id) == []
