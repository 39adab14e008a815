"""``rideready import`` says what became of every file, and its exit code means something."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., tuple[int, str, str]]
RunJson = Callable[..., Any]

#: Keys that the command-line contract promises; more may be there.
IMPORT_KEYS = {"stored", "duplicates", "unreadable", "warnings"}


def test_import_says_what_became_of_the_files(run: Run, folder: Path, tmp_path: Path) -> None:
    said = run("import", folder, "--store", tmp_path / "s.sqlite")
    assert (said[0], said[1]) == (0, "2 new sessions.\n")
    said = run("import", folder, "--store", tmp_path / "s.sqlite")
    assert (said[0], said[1]) == (0, "0 new sessions, 2 already there.\n")


def test_import_keeps_its_contract(run_json: RunJson, folder: Path, tmp_path: Path) -> None:
    found = run_json("import", folder, "--store", tmp_path / "s.sqlite")
    assert found.keys() >= IMPORT_KEYS
    assert (found["stored"], found["duplicates"], found["unreadable"]) == (2, 0, [])
    again = run_json("import", folder, "--store", tmp_path / "s.sqlite")
    assert (again["stored"], again["duplicates"], again["unchanged"]) == (0, 2, 2)


def test_import_of_some_unreadable_files_is_partly_done(
    run: Run, run_json: RunJson, folder: Path, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.fit"
    broken.write_bytes(b"nothing of use")
    arguments = (broken, folder / "ride-00.csv", "--store", tmp_path / "s.sqlite")
    code, out, err = run("import", *arguments)
    assert code == 1
    assert out == "1 new session, 1 file unreadable.\n"
    assert err.startswith(f"{broken}: ")
    assert len(err.splitlines()) == 1
    found = run_json("import", *arguments, code=1)
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
