"""``rideready rider`` shows numbers with their sources, dates them and checks them."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., tuple[int, str, str]]
RunJson = Callable[..., Any]


def test_a_rider_shows_numbers_and_where_they_come_from(run: Run, store: Path) -> None:
    code, out, _ = run("rider", "--store", store)
    assert code == 0
    assert out.startswith("Rider: Runa\n")
    assert re.search(r"max\s+181\s+bpm\s+entered\s+\d{4}-\d\d-\d\d\s+in use", out)
    assert re.search(r"max\s+16\d\s+bpm\s+seen in session \d", out)
    assert "chest pain" in out


def test_a_rider_as_json(run_json: RunJson, store: Path) -> None:
    found = run_json("rider", "--store", store)
    assert (found["name"], found["max_hr_bpm"], found["resting_hr_bpm"], found["age_years"]) == (
        "Runa",
        181,
        54,
        None,
    )
    assert {source["name"] for source in found["sources"]} == {"max_hr_bpm", "resting_hr_bpm", "sex"}


def test_numbers_are_dated_with_today_and_can_be_taken_back(
    run: Run, run_json: RunJson, tmp_path: Path
) -> None:
    store = tmp_path / "s.sqlite"
    run("rider", "--max", 178, "--age", 41, "--date", "2026-08-20", "--store", store)
    run("rider", "--max", 181, "--date", "2026-10-02", "--store", store)
    found = run_json("rider", "--forget", "age", "--store", store)
    assert found["age_years"] is None
    days = [(source["value"], source["day"]) for source in found["sources"] if source["name"] == "max_hr_bpm"]
    assert days == [(181, "2026-10-02"), (178, "2026-08-20")]


def test_a_number_no_person_has_is_refused(run: Run, store: Path) -> None:
    code, out, err = run("rider", "--max", 300, "--store", store)
    assert (code, out) == (2, "")
    assert err == (
        "rideready: max_hr_bpm is 300.0; it should lie between 90 and 240. Check the number and try again.\n"
    )


def test_riders_are_added_and_told_apart(run: Run, run_json: RunJson, folder: Path, tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite"
    run("rider", "--name", "Runa", "--store", store)
    run("import", folder / "ride-00.csv", "--store", store)
    assert run("rider", "--add", "Tam", "--max", 191, "--store", store)[0] == 0
    code, _, err = run("sessions", "--store", store)
    assert (code, "'Runa', 'Tam'. Say which with --rider NAME" in err) == (2, True)
    assert len(run_json("sessions", "--rider", "Runa", "--store", store)) == 1
    assert run_json("sessions", "--rider", "Tam", "--store", store) == []
    assert run_json("rider", "--rider", "Tam", "--store", store)["max_hr_bpm"] == 191


def test_sources_of_maximum_and_rest_stand_side_by_side(run: Run, run_json: RunJson, store: Path) -> None:
    out = run("rider", "--store", store)[1]
    assert re.search(r"maximum\s+181\s+16\d \(\d+-\d+\), session \d", out)
    assert "Maximum: This is the highest level seen, not a test" in out
    found = run_json("rider", "--store", store)
    assert (found["maximum"]["used_bpm"], found["maximum"]["predicted_bpm"]) == (181, None)
    assert found["maximum"]["observed"]["source"]["session_id"] in {1, 2}
    assert found["rest"]["logged"]["n"] == 0


def test_resting_pulses_are_logged_from_a_table_and_conflicts_are_said(run: Run, tmp_path: Path) -> None:
    pulses = tmp_path / "pulses.csv"
    pulses.write_text("day,bpm\n2026-09-20,52\n2026-09-21,53\n2026-09-22,54\n", encoding="utf-8")
    typed = ["--rest", 60, "--resting-csv", pulses, "--date", "2026-09-25", "--store", tmp_path / "s.sqlite"]
    out = run("rider", *typed)[1]
    assert out.startswith("3 resting pulses logged.\n")
    assert "Rest: You entered a resting pulse of 60 bpm; the median of the 3 you logged" in out
    assert re.search(r"rest\s+60\s+-\s+53 \(52-54, n = 3\)", out)
