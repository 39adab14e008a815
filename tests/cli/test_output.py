"""JSON for scripts holds no NaN; text for people is not cut off in a pipe."""

import datetime as dt
import json
from pathlib import Path

import numpy as np
import pytest

from rideready.cli.output import complain, plain, print_json, progress_bar, say, table
from rideready.model.recovery import Grade
from rideready.model.session import Kind, Pause


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (float("nan"), None),
        (float("inf"), None),
        (np.float64(1.5), 1.5),
        (np.int64(3), 3),
        (np.array([1.0, np.nan]), [1.0, None]),
        (np.bool_(True), True),
        (Grade.GOOD, "good"),
        ({Kind.RUN: (1, None)}, {"run": [1, None]}),
        (Pause(1.0, 2.5), {"start_s": 1.0, "end_s": 2.5}),
        (dt.date(2026, 10, 1), "2026-10-01"),
        (dt.datetime(2026, 10, 1, 6, 30, tzinfo=dt.UTC), "2026-10-01T06:30:00+00:00"),
        (Path("a/b"), "a/b"),
        ("–ø", "–ø"),  # noqa: RUF001 - letters outside ASCII on purpose
        (None, None),
        (False, False),
    ],
    ids=repr,
)
def test_values_come_down_to_what_json_knows(value: object, expected: object) -> None:
    found = plain(value)
    assert found == expected
    assert type(found) is type(expected)


def test_a_document_is_all_there_is_on_stdout(capsys: pytest.CaptureFixture[str]) -> None:
    print_json({"drop": float("nan"), "name": "Åse"})
    said = capsys.readouterr()
    assert json.loads(said.out) == {"drop": None, "name": "Åse"}
    assert said.out.isascii()  # whatever the console's encoding is
    assert said.err == ""


def test_a_complaint_goes_to_stderr_and_to_scripts_as_a_document(capsys: pytest.CaptureFixture[str]) -> None:
    complain("It is gone.", as_json=False)
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", "rideready: It is gone.\n")
    complain("It is gone.", as_json=True)
    said = capsys.readouterr()
    assert json.loads(said.out) == {"error": "It is gone."}
    assert said.err == "rideready: It is gone.\n"


def test_text_is_printed_as_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    said = "a [red]name[/red] with a very long line " + "x" * 200
    say(said)
    assert capsys.readouterr().out == f"{said}\n"


def test_a_table_shows_every_cell_whole(capsys: pytest.CaptureFixture[str]) -> None:
    table(("Name", ">Value"), [("a", "1"), ("[bold]b[/bold]", "22")])
    lines = [line.split() for line in capsys.readouterr().out.splitlines() if line.strip()]
    assert lines[0] == ["Name", "Value"]
    assert lines[-2:] == [["a", "1"], ["[bold]b[/bold]", "22"]]


def test_numbers_are_set_to_the_right(capsys: pytest.CaptureFixture[str]) -> None:
    table((">Value",), [("1",), ("1000",)])
    lines = [line for line in capsys.readouterr().out.splitlines() if line.strip()]
    assert len(lines[-1].rstrip()) == len(lines[-2].rstrip())


def test_progress_keeps_stdout_clean(capsys: pytest.CaptureFixture[str]) -> None:
    with progress_bar("Importing", quiet=False) as step:
        step(1, 2)
        step(2, 2)
    assert capsys.readouterr().out == ""
