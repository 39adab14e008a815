"""Each command prints what people can read and, with --json, the document that scripts rely on."""

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rideready.cli.main import main
from tests.support.stores import write_ride

#: Keys that the command-line contract promises; more may be there.
IMPORT_KEYS = {"stored", "duplicates", "unreadable", "warnings"}
RECOVERY_KEYS = {
    "session",
    "start",
    "end_of_effort_s",
    "peak_bpm",
    "hrr60_bpm",
    "tau_s",
    "tau_low_s",
    "tau_high_s",
    "grade",
    "mode",
    "reasons",
}
TREND_KEYS = {
    "verdict",
    "change_bpm_per_week",
    "low",
    "high",
    "minimal_detectable_bpm",
    "n_recoveries",
    "n_sessions",
    "sentence",
}

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command and return exit code, stdout and stderr."""

    def call(*arguments: object) -> tuple[int, str, str]:
        code = main([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return code, said.out, said.err

    return call


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("exports")
    for days in (0, 3):
        write_ride(folder, days=days)
    return folder


@pytest.fixture(scope="module")
def store(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two rides of a rider whose numbers are known."""
    store = tmp_path_factory.mktemp("store") / "store.sqlite"
    numbers = ["--max", "181", "--rest", "54", "--sex", "female"]
    assert main(["rider", "--name", "Runa", *numbers, "--quiet", "--store", str(store)]) == 0
    assert main(["import", str(folder), "--quiet", "--store", str(store)]) == 0
    return store


def document(said: tuple[int, str, str], *, code: int = 0) -> Any:
    """Read stdout as one JSON document without NaN; nothing else may stand there."""

    def refuse(word: str) -> None:
        pytest.fail(f"{word} is no JSON")

    assert said[0] == code, said[2]
    return json.loads(said[1], parse_constant=refuse)


def test_import_says_what_became_of_the_files(run: Run, folder: Path, tmp_path: Path) -> None:
    said = run("import", folder, "--store", tmp_path / "s.sqlite")
    assert (said[0], said[1]) == (0, "2 new sessions.\n")
    said = run("import", folder, "--store", tmp_path / "s.sqlite")
    assert (said[0], said[1]) == (0, "0 new sessions, 2 already there.\n")


def test_import_keeps_its_contract(run: Run, folder: Path, tmp_path: Path) -> None:
    found = document(run("import", folder, "--json", "--store", tmp_path / "s.sqlite"))
    assert found.keys() >= IMPORT_KEYS
    assert (found["stored"], found["duplicates"], found["unreadable"]) == (2, 0, [])
    again = document(run("import", folder, "--json", "--store", tmp_path / "s.sqlite"))
    assert (again["stored"], again["duplicates"], again["unchanged"]) == (0, 2, 2)


def test_import_of_some_unreadable_files_is_partly_done(run: Run, folder: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.fit"
    broken.write_bytes(b"nothing of use")
    arguments = (broken, folder / "ride-00.csv", "--store", tmp_path / "s.sqlite")
    code, out, err = run("import", *arguments)
    assert code == 1
    assert out == "1 new session, 1 file unreadable.\n"
    assert err.startswith(f"{broken}: ")
    assert len(err.splitlines()) == 1
    found = document(run("import", "--json", *arguments), code=1)
    assert [note["file"] for note in found["unreadable"]] == [str(broken)]


@pytest.mark.parametrize("names", [["gone.fit"], ["empty"]])
def test_import_of_nothing_is_nothing_done(run: Run, names: list[str], tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    code, out, _ = run("import", *(tmp_path / name for name in names), "--store", tmp_path / "s.sqlite")
    assert code == 2
    assert out.startswith("0 new sessions")


def test_import_shows_the_option_to_type_and_takes_it(run: Run, tmp_path: Path) -> None:
    rows = ["elapsed_s,Pulse A,Pulse B", *(f"{t},{110 + t % 50},{100 + t % 50}" for t in range(300))]
    (tmp_path / "two.csv").write_text("\n".join(rows) + "\n")
    store = tmp_path / "s.sqlite"
    code, _, err = run("import", tmp_path / "two.csv", "--store", store)
    assert code == 2
    option = re.search(r'--column "(hr_bpm=Pulse A)"', err)
    assert option is not None, err
    said = run("import", tmp_path / "two.csv", "--column", option[1], "--store", store)
    assert (said[0], said[1]) == (0, "1 new session.\n")


@pytest.mark.parametrize(
    ("option", "said"),
    [
        (["--dates", "sideways"], "--dates"),
        (["--column", "Pulse A"], "--column"),
        (["--column", "mood=Pulse A"], "mood is no channel"),
        (["--zone", "Nowhere/At_All"], "--zone"),
    ],
)
def test_import_refuses_an_answer_that_is_none(
    run: Run, option: list[str], said: str, folder: Path, tmp_path: Path
) -> None:
    code, out, err = run("import", folder, *option, "--store", tmp_path / "s.sqlite")
    assert (code, out) == (2, "")
    assert said in err
    assert len(err.splitlines()) == 1


def test_sessions_are_listed(run: Run, store: Path) -> None:
    code, out, _ = run("sessions", "--store", store)
    assert code == 0
    assert re.search(r"2\s+2026-09-04 19:30\s+bike\s+14 min", out)
    assert "n = 2 sessions" in out


def test_sessions_as_json(run: Run, store: Path) -> None:
    found = document(run("sessions", "--json", "--store", store))
    assert [(row["session"], row["start"]) for row in found] == [
        (2, "2026-09-04T19:30:00+02:00"),
        (1, "2026-09-01T19:30:00+02:00"),
    ]
    assert found[0]["kind"] == "bike"
    assert set(found[0]["flagged_s"]) >= {"ok"}
    assert len(document(run("sessions", "--json", "--since", "2026-09-02", "--store", store))) == 1
    assert document(run("sessions", "--json", "--kind", "run", "--store", store)) == []


def test_a_session_is_shown_in_full(run: Run, store: Path) -> None:
    code, out, _ = run("session", 1, "--store", store)
    assert code == 0
    assert "Session 1: bike, 2026-09-01 19:30, 14 min" in out
    assert "near-maximal to maximal" in out
    assert re.search(r"1\.2\s+2026-09-01 19:(39|40)", out)


def test_a_session_as_json(run: Run, store: Path) -> None:
    found = document(run("session", 1, "--json", "--store", store))
    assert found["session"] == 1
    assert list(found["minutes_by_class"]) == [
        "very light",
        "light",
        "moderate",
        "vigorous",
        "near-maximal to maximal",
    ]
    assert [row["order"] for row in found["recoveries"]] == [1, 2]


def test_a_session_can_be_described(run: Run, folder: Path, tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite"
    run("import", folder / "ride-00.csv", "--store", store)
    described = ("--rpe", 7, "--posture", "standing", "--kind", "circuit", "--notes", "cold")
    found = document(run("session", 1, *described, "--json", "--store", store))
    assert (found["rpe"], found["posture"], found["kind"], found["notes"]) == (
        7,
        "standing",
        "circuit",
        "cold",
    )
    code, _, err = run("session", 1, "--rpe", 12, "--store", store)
    assert (code, "session RPE cannot be 12" in err) == (2, True)


def test_recoveries_are_listed_with_their_uncertainty(run: Run, store: Path) -> None:
    code, out, _ = run("recovery", "--store", store)
    assert code == 0
    assert re.search(r"1\.1\s+2026-09-01 19:3[34]\s+bike\s+\d+\s+\d+ ± \d+", out)
    assert "n = 4 recoveries of 2 sessions" in out
    assert "see a doctor" in out


def test_recoveries_keep_their_contract(run: Run, store: Path) -> None:
    found = document(run("recovery", "--json", "--store", store))
    assert len(found) == 4
    assert all(row.keys() >= RECOVERY_KEYS for row in found)
    assert {(row["session"], row["start"]) for row in found} == {
        (1, "2026-09-01T19:30:00+02:00"),
        (2, "2026-09-04T19:30:00+02:00"),
    }
    assert all(isinstance(reason, str) for row in found for reason in row["reasons"])
    assert all(row["tau_low_s"] < row["tau_s"] < row["tau_high_s"] for row in found)


def test_recoveries_are_narrowed_as_asked(run: Run, store: Path) -> None:
    assert len(document(run("recovery", 2, "--json", "--store", store))) == 2
    assert len(document(run("recovery", "--grade", "none", "--json", "--store", store))) == 0
    assert len(document(run("recovery", "--mode", "still,moving", "--json", "--store", store))) == 4
    code, _, err = run("recovery", "--grade", "superb", "--store", store)
    assert (code, "'superb' is not known here" in err) == (2, True)


def test_one_recovery_is_shown_in_full(run: Run, store: Path) -> None:
    code, out, _ = run("recovery", 1, 2, "--store", store)
    assert code == 0
    assert re.match(r"Recovery 1\.2, 2026-09-01 19:(39|40)", out)  # `a_ride` stops after 600 s, within 5 s
    assert re.search(r"Drop in 60 s: \d+ ± \d+ bpm", out)
    assert "down to 130 bpm" in out  # Karvonen 1957: 54 + 0.6 x (181 - 54)
    found = document(run("recovery", 1, 2, "--json", "--store", store))
    assert len(found["curve"]["t_s"]) == len(found["curve"]["hr_bpm"]) > 60
    assert run("recovery", 1, 7, "--store", store)[0] == 2


def test_the_trend_keeps_its_contract(run: Run, store: Path) -> None:
    found = document(run("trend", "--json", "--store", store))
    assert found.keys() >= TREND_KEYS
    assert found["verdict"] == "too few"
    assert (found["change_bpm_per_week"], found["low"], found["high"]) == (None, None, None)
    assert found["n_sessions"] == 2
    assert found["sentence"].endswith(".")


def test_the_trend_is_said_in_words(run: Run, store: Path) -> None:
    code, out, _ = run("trend", "--store", store)
    assert code == 0
    assert out.startswith("Recovery: too few\n")
    assert "of 2 sessions" in out


def test_a_rider_shows_numbers_and_where_they_come_from(run: Run, store: Path) -> None:
    code, out, _ = run("rider", "--store", store)
    assert code == 0
    assert out.startswith("Rider: Runa\n")
    assert re.search(r"max\s+181\s+bpm\s+entered\s+\d{4}-\d\d-\d\d\s+in use", out)
    assert re.search(r"max\s+16\d\s+bpm\s+seen in session \d", out)
    assert "chest pain" in out


def test_a_rider_as_json(run: Run, store: Path) -> None:
    found = document(run("rider", "--json", "--store", store))
    assert (found["name"], found["max_hr_bpm"], found["resting_hr_bpm"], found["age_years"]) == (
        "Runa",
        181,
        54,
        None,
    )
    assert {source["name"] for source in found["sources"]} == {"max_hr_bpm", "resting_hr_bpm", "sex"}


def test_numbers_are_dated_with_today_and_can_be_taken_back(run: Run, tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite"
    run("rider", "--max", 178, "--age", 41, "--date", "2026-08-20", "--store", store)
    run("rider", "--max", 181, "--date", "2026-10-02", "--store", store)
    found = document(run("rider", "--forget", "age", "--json", "--store", store))
    assert found["age_years"] is None
    days = [(source["value"], source["day"]) for source in found["sources"] if source["name"] == "max_hr_bpm"]
    assert days == [(181, "2026-10-02"), (178, "2026-08-20")]


def test_a_number_no_person_has_is_refused(run: Run, store: Path) -> None:
    code, out, err = run("rider", "--max", 300, "--store", store)
    assert (code, out) == (2, "")
    assert err == (
        "rideready: max_hr_bpm is 300.0; it should lie between 90 and 240. Check the number and try again.\n"
    )


def test_riders_are_added_and_told_apart(run: Run, folder: Path, tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite"
    run("rider", "--name", "Runa", "--store", store)
    run("import", folder / "ride-00.csv", "--store", store)
    assert run("rider", "--add", "Tam", "--max", 191, "--store", store)[0] == 0
    code, _, err = run("sessions", "--store", store)
    assert (code, "'Runa', 'Tam'. Say which with --rider NAME" in err) == (2, True)
    assert len(document(run("sessions", "--rider", "Runa", "--json", "--store", store))) == 1
    assert document(run("sessions", "--rider", "Tam", "--json", "--store", store)) == []
    assert document(run("rider", "--rider", "Tam", "--json", "--store", store))["max_hr_bpm"] == 191


def test_tables_are_exported(run: Run, store: Path, tmp_path: Path) -> None:
    out = tmp_path / "recoveries.csv"
    assert run("export", "recoveries", "--out", out, "--store", store)[0] == 0
    with out.open(newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert [(row["session"], row["order"]) for row in rows] == [
        ("1", "1"),
        ("1", "2"),
        ("2", "1"),
        ("2", "2"),
    ]
    said = document(run("export", "samples", "--out", tmp_path / "s.json", "--json", "--store", store))
    assert said == {"file": str(tmp_path / "s.json"), "rows": 1680}
    assert len(json.loads((tmp_path / "s.json").read_text())) == 1680
    assert len(document(run("export", "sessions", "--json", "--store", store))) == 2
    assert run("export", "sessions", "--store", store)[1].startswith("session,start,")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["moods"], "'moods' cannot be exported"),
        (["sessions", "--format", "xml"], "'xml' is no format"),
        (["samples", "--session", "9"], "there is no session 9"),
        (["sessions", "--out", "/nowhere/at/all.csv"], "it cannot be written"),
    ],
)
def test_an_export_that_cannot_be_is_one_sentence(
    run: Run, arguments: list[str], said: str, store: Path
) -> None:
    code, _, err = run("export", *arguments, "--store", store)
    assert (code, said in err, len(err.splitlines())) == (2, True, 1)


@pytest.mark.parametrize("command", ["sessions", "recovery", "trend", "rider", "session"])
def test_quiet_prints_results_only(run: Run, command: str, store: Path) -> None:
    arguments = [command, "1"] if command == "session" else [command]
    code, out, err = run(*arguments, "--quiet", "--store", store)
    assert (code, err) == (0, "")
    assert out
    assert "doctor" not in out
    assert "chest pain" not in out


def test_a_day_that_is_none_is_refused(run: Run, store: Path) -> None:
    code, _, err = run("sessions", "--since", "yesterday", "--store", store)
    assert (code, err) == (2, "rideready: 'yesterday' is no day. Write it like 2026-10-01.\n")
    assert run("trend", "--date", "2026-13-01", "--store", store)[0] == 2


def test_the_store_is_taken_from_the_environment(
    run: Run, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RIDEREADY_STORE", str(store))
    assert len(document(run("sessions", "--json"))) == 2


@pytest.mark.parametrize("command", ["import", "sessions", "recovery", "trend", "rider", "export"])
def test_a_file_that_is_no_store_is_one_sentence_everywhere(
    run: Run, command: str, folder: Path, tmp_path: Path
) -> None:
    place = tmp_path / "letter.txt"
    place.write_text("Dear neighbour, the snow machine is yours for a week.\n" * 50)
    needed: dict[str, list[object]] = {"import": [folder], "export": ["sessions"]}
    rest = needed.get(command, [])
    code, out, err = run(command, *rest, "--store", place)
    assert (code, out) == (2, "")
    assert err == f"rideready: {place}: this is not a rideready store. Name another file with --store.\n"
