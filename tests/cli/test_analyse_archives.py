"""The command that makes one table of many riders' recordings."""

import csv
import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import Run, RunJson

SAMPLES = Path(__file__).parents[2] / "sample_sessions"


@pytest.fixture
def school(tmp_path: Path) -> Path:
    for rider in ("Runa", "Tam"):
        (tmp_path / rider).mkdir()
    shutil.copy(SAMPLES / "2026-09-08-interval-bike.fit", tmp_path / "Runa")
    (tmp_path / "Tam" / "broken.fit").write_bytes(b"\x0e\x10.FIT")
    return tmp_path


def test_it_counts_what_it_wrote_and_stores_nothing(school: Path, run_json: RunJson) -> None:
    out, store = school / "table.csv", school / "store.sqlite"

    found = run_json("analyse-archives", school / "Runa", school / "Tam", "--out", out, "--store", store)

    with out.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert found == {
        "file": str(out),
        "riders": 2,
        "files": 2,
        "sessions": 1,
        "recoveries": len(rows) - 1,
        "problems": 1,
    }
    assert not store.exists()


def test_it_says_in_words_what_gave_nothing(school: Path, run: Run) -> None:
    out, store = school / "table.csv", school / "store.sqlite"

    code, _, err = run("analyse-archives", school / "Runa", school / "Tam", "--out", out, "--store", store)

    assert code == 0
    assert "1 file gave nothing; the column problem says why." in err


def test_one_rider_can_be_picked_and_must_be_there(school: Path, run_json: RunJson, run: Run) -> None:
    common = ("--out", school / "t.csv", "--store", school / "store.sqlite")

    found = run_json("analyse-archives", school / "Runa", school / "Tam", *common, "--rider", "Tam")

    assert found["riders"] == 1
    code, _, err = run("analyse-archives", school / "Runa", *common, "--rider", "Una")
    assert code == 2
    assert "no folder is called 'Una'" in err
