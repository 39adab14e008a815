"""Backup, restore, check and delete, as typed."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., tuple[int, str, str]]
RunJson = Callable[..., Any]


@pytest.fixture
def mine(store: Path, run: Run, tmp_path: Path) -> Path:
    """Give a store of one's own to spoil."""
    copy = tmp_path / "store.sqlite"
    assert run("backup", "--out", copy, "--quiet", "--store", store) == (0, "", "")
    return copy


def test_a_session_is_deleted_listed_and_brought_back(run: Run, run_json: RunJson, mine: Path) -> None:
    said = run("delete", 1, "--store", mine)[1]
    assert said == "Session 1 is deleted. Bring it back with: rideready delete 1 --undo\n"
    assert [row["session"] for row in run_json("sessions", "--store", mine)] == [2]
    assert [row["session_id"] for row in run_json("delete", "--store", mine)] == [1]
    assert run("delete", 1, "--undo", "--store", mine)[:2] == (0, "Session 1 is back.\n")
    assert [row["session"] for row in run_json("sessions", "--store", mine)] == [2, 1]
    assert run("delete", 2, "--for-good", "--store", mine)[0] == 0
    assert run("delete", 2, "--undo", "--store", mine)[0] == 2


def test_everything_is_deleted_only_if_it_is_meant(run: Run, run_json: RunJson, mine: Path) -> None:
    code, _, err = run("delete", "--everything", "--store", mine)
    assert (code, "Say that you mean it" in err) == (2, True)
    assert len(run_json("sessions", "--store", mine)) == 2
    run("backup", "--quiet", "--store", mine)
    assert run_json("delete", "--everything", "--yes", "--store", mine) == {"deleted": True, "backups": 1}
    assert run_json("sessions", "--store", mine) == []


@pytest.mark.parametrize(
    "arguments", [("1", "--undo", "--for-good"), ("1", "--everything", "--yes"), ("--undo",)]
)
def test_what_cannot_be_meant_is_one_sentence(run: Run, mine: Path, arguments: tuple[str, ...]) -> None:
    code, _, err = run("delete", *arguments, "--store", mine)
    assert (code, len(err.splitlines())) == (2, 1)


def test_a_damaged_store_is_put_back_with_the_command_it_names(
    run: Run, run_json: RunJson, mine: Path
) -> None:
    before = run_json("recovery", "--store", mine)
    made = run_json("backup", "--store", mine)["file"]
    assert [found["file"] for found in run_json("restore", "--store", mine)] == [made]
    mine.write_bytes(mine.read_bytes()[:4096] + b"\xa5" * 100_000)
    code, _, err = run("sessions", "--store", mine)
    assert (code, len(err.splitlines())) == (2, 1)
    assert f"rideready restore {made}" in err
    assert run("restore", made, "--store", mine)[0] == 0
    assert run_json("recovery", "--store", mine) == before


def test_a_check_says_that_all_is_well_or_what_is_not(run: Run, run_json: RunJson, mine: Path) -> None:
    code, said, _ = run("check", "--figures", "--store", mine)
    assert (code, said) == (
        0,
        "All is well: 2 sessions with 4 recoveries, the figures of 2 worked out again.\n",
    )
    content = bytearray(mine.read_bytes())
    middle = len(content) // 8192 * 4096
    content[middle : middle + 4096] = bytes(4096)
    mine.write_bytes(content)
    found = run_json("check", "--store", mine, code=1)
    assert found["problems"][0].startswith("The file is damaged")


def test_a_store_that_is_not_there_is_not_made(run: Run, tmp_path: Path) -> None:
    for arguments in (("backup",), ("check",), ("delete", "--everything", "--yes"), ("restore", "--last")):
        code, _, err = run(*arguments, "--store", tmp_path / "none.sqlite")
        assert (code, len(err.splitlines())) == (2, 1)
    assert list(tmp_path.iterdir()) == []
