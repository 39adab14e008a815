"""Share and partner, as a rider types them; a file that cannot be used changes nothing."""

import json
import shutil
from pathlib import Path
from typing import Any

import icalendar
import pytest

from rideready.cli.main import main
from tests.cli.conftest import Run, RunJson

DAY = ("--date", "2026-10-12")


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a store with two riders, the first with an opening window; for copying."""
    store = tmp_path_factory.mktemp("prepared") / "two.sqlite"
    common = ("--store", str(store), *DAY, "--rider", "Runa", "--quiet")
    for typed in (
        ("rider", "--max", "186", "--rest", "52"),
        ("training", "--equipment", "kettlebell,box", "--usual", "200"),
        ("plan", "--earliest", "2026-12-05", "--likely", "2026-12-19"),
        ("rider", "--add", "Tam"),
    ):
        assert main([*typed, *common]) == 0
    return store


@pytest.fixture
def two(prepared: Path, tmp_path: Path) -> Path:
    """Return a store of the test's own with the two riders in it."""
    return Path(shutil.copy(prepared, tmp_path))


def test_a_plan_goes_from_one_rider_to_the_other(
    run: Run, run_json: RunJson, two: Path, tmp_path: Path
) -> None:
    common = ("--store", two, *DAY)
    out = tmp_path / "plan.json"
    written = run_json("share", "plan", "--out", out, "--rider", "Runa", *common)
    assert written["bytes"] == out.stat().st_size
    first = run_json("partner", "adopt", out, "--rider", "Tam", *common)
    again = run_json("partner", "adopt", out, "--rider", "Tam", *common)
    shown = run_json("partner", "show", "--rider", "Tam", *common)
    assert (first["result"], again["result"]) == ("adopted", "unchanged")
    assert first["likely"] == shown["likely"] == "2026-12-19"
    code, out_text, err = run("partner", "show", "--rider", "Tam", *common)
    assert code == 0
    assert "in the plan given" in out_text
    assert "see a doctor first" in err
    assert run("partner", "show", "--rider", "Runa", *common)[0] == 2


def test_a_handout_and_a_calendar_are_written_where_they_are_asked_for(
    run: Run, two: Path, tmp_path: Path
) -> None:
    common = ("--store", two, *DAY, "--rider", "Runa")
    page, entries = tmp_path / "h.html", tmp_path / "c.ics"
    assert run("share", "handout", "--out", page, "--for", "Tam", "--max", 191, "--rest", 67, *common)[0] == 0
    told = ("--zone", "Europe/Oslo", "--at", "17:30", "--alarm", 15)
    assert run("share", "calendar", "--out", entries, *told, *common)[0] == 0
    assert "117 to 141 bpm" in page.read_text(encoding="utf-8")  # Karvonen: 67 + 0.4 and 0.6 * (191 - 67)
    events: list[Any] = icalendar.Calendar.from_ical(entries.read_bytes()).walk("VEVENT")
    assert any(f"{event['DTSTART'].dt:%H%M}" == "1730" for event in events)


def test_progress_is_shown_word_for_word_and_written_only_when_agreed(
    run: Run, run_json: RunJson, two: Path, tmp_path: Path
) -> None:
    common = ("--store", two, *DAY, "--rider", "Runa")
    out = tmp_path / "progress.json"
    code, shown, err = run("share", "progress", "--out", out, *common)
    assert code == 0
    assert not out.exists()
    assert "Nothing is written yet" in err
    assert run("share", "progress", "--out", out, "--yes", *common)[0] == 0
    assert out.read_text(encoding="utf-8") == shown
    assert set(json.loads(shown)) == {"format", "version", "made", "weeks", "recovery"}
    beside = run_json("partner", "progress", out, *common)
    assert set(beside["recovery"]) == {"own", "partner"}


@pytest.mark.parametrize(
    "content", ["[" * 50_000, "{}", '{"format": "rideready-plan", "version": 1}', "\x00"]
)
def test_a_hostile_plan_is_one_sentence_and_makes_no_store(run: Run, tmp_path: Path, content: str) -> None:
    path, store = tmp_path / "plan.json", tmp_path / "new.sqlite"
    path.write_text(content, encoding="utf-8")
    code, out, err = run("partner", "adopt", path, "--store", store)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert not store.exists()


def test_a_group_gets_its_files_and_a_summary(run: Run, two: Path, tmp_path: Path) -> None:
    roster, out = tmp_path / "roster.csv", tmp_path / "group"
    roster.write_text("name,health\nLiv,no\nJon,yes\n", encoding="utf-8")
    code, said, err = run("partner", "group", roster, "--out", out, "--store", two, *DAY, "--rider", "Runa")
    assert code == 0, err
    assert "To see a doctor first, and given no intensity: Jon." in said
    assert len(list(out.iterdir())) == 5


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        (("share", "secrets"), "cannot be shared"),
        (("share", "plan"), "where to"),
        (("share", "plan", "--out", "/nowhere/at/all/plan.json"), "it cannot be written"),
        (("share", "handout", "--out", "x.html", "--max", 500), "max_hr_bpm is 500"),
        (("share", "calendar", "--out", "x.ics", "--zone", "../etc"), "no time zone of this name"),
        (("share", "calendar", "--out", "x.ics", "--at", "late"), "is no time of day"),
        (("share", "calendar", "--out", "x.ics", "--alarm", -5), "is no alarm"),
        (("share", "plan", "--out", "x.json", "--name", "=1+1"), "giver holds characters"),
        (("partner", "steal", "x"), "is unknown"),
        (("partner", "adopt"), "which file"),
        (("partner", "group", "nobody.csv", "--out", "x"), "there is no such file"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    run: Run,
    two: Path,
    typed: tuple[object, ...],
    expected: str,
    *,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = run(*typed, "--store", two, *DAY, "--rider", "Runa")
    assert (code, out) == (2, "")
    assert expected in err
    assert err.count("\n") == 1
    assert not any(path.suffix in {".html", ".ics", ".json"} for path in tmp_path.iterdir())
