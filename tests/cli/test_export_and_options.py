"""Export, and what holds for every command."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., tuple[int, str, str]]
RunJson = Callable[..., Any]


def test_tables_are_exported(run: Run, run_json: RunJson, store: Path, tmp_path: Path) -> None:
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
    said = run_json("export", "samples", "--out", tmp_path / "s.json", "--store", store)
    assert said == {"file": str(tmp_path / "s.json"), "rows": 1680}
    assert len(json.loads((tmp_path / "s.json").read_text())) == 1680
    assert len(run_json("export", "sessions", "--store", store)) == 2
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
    run_json: RunJson, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RIDEREADY_STORE", str(store))
    assert len(run_json("sessions")) == 2


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
