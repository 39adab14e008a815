"""A roster of guests: a handout and a calendar each, a summary, and nobody hurt by what they answered."""

import csv
from collections.abc import Iterator
from pathlib import Path

import icalendar
import pytest

from rideready.errors import BadInput, UnreadableFile
from rideready.services.context import Context
from rideready.services.group import group, safe_cell
from rideready.share.handout import MOST_BYTES
from rideready.share.roster import read_roster
from tests.services.partners import WISHES, leaks, riders

ROSTER = """name,age,max,rest,level,equipment,days,health
Åse Bø,34,188,51,intermediate,box+kettlebell,mon:45 wed:45 sat:60,no
Tam Oster,29,191,67,beginner,mat,tue thu sun:60,no
Liv Holm,58,,,beginner,,mon:30 fri:30,MARKANSWER a stent in 2019
Jon Dal,41,,60,,,sun:10,no
"""


@pytest.fixture
def giver(tmp_path: Path) -> Iterator[Context]:
    context, partner = riders(tmp_path)
    yield context
    context.store.close()
    partner.store.close()


def _roster(folder: Path, text: str) -> Path:
    path = folder / "roster.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_guest_gets_a_handout_and_a_calendar_for_own_numbers(giver: Context, tmp_path: Path) -> None:
    out = tmp_path / "out"
    results = group(giver, read_roster(_roster(tmp_path, ROSTER)), out, WISHES)
    names = sorted(path.name for path in out.iterdir())
    assert names == [
        "001-ase-b.html", "001-ase-b.ics", "002-tam-oster.html", "002-tam-oster.ics",
        "003-liv-holm.html", "003-liv-holm.ics", "summary.csv",
    ]  # fmt: skip
    contents = {path.name: path.read_bytes() for path in out.iterdir()}
    assert max(map(len, contents.values())) < MOST_BYTES
    assert b"117 to 141 bpm" in contents["002-tam-oster.html"]  # Karvonen: 67 + 0.4 and 0.6 * (191 - 67)
    assert "Åse Bø".encode() in contents["001-ase-b.html"]
    for name in names:
        if name.endswith(".ics"):
            assert len(icalendar.Calendar.from_ical(contents[name]).walk("VEVENT")) >= 2
    leaked = {
        name: leaks(content.replace(b"bpm", b""), besides=("health",)) for name, content in contents.items()
    }
    assert leaked == {name: [] for name in names}
    assert not any(b"MARKANSWER" in content or b"stent" in content for content in contents.values())
    assert [result.asks_first for result in results] == [False, False, True, False]


def test_who_answered_yes_is_told_to_see_a_doctor_and_given_no_intensity(
    giver: Context, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    group(giver, read_roster(_roster(tmp_path, ROSTER)), out, WISHES)
    html = (out / "003-liv-holm.html").read_text(encoding="utf-8").split("</style>")[1]
    calendar = (out / "003-liv-holm.ics").read_text(encoding="utf-8")
    assert "See a doctor before you start" in html
    assert "See a doctor before you start" in calendar
    for word in ("RPE", "bpm", "reserve", "vigorous", "Circuit"):
        assert word not in html
        assert word not in calendar


def test_the_summary_says_who_needed_which_change(giver: Context, tmp_path: Path) -> None:
    out = tmp_path / "out"
    group(giver, read_roster(_roster(tmp_path, ROSTER)), out, WISHES)
    with (out / "summary.csv").open(encoding="utf-8", newline="") as opened:
        rows = list(csv.DictReader(opened))
    assert [row["see a doctor first"] for row in rows] == ["no", "no", "yes", "no"]
    assert "takes its place" in rows[1]["changes"] or "it is left out" in rows[1]["changes"]
    assert int(rows[1]["minutes planned"]) > 300
    assert rows[2]["minutes planned"] == ""
    assert "no day of your week has 20 minutes" in rows[3]["changes"]
    assert rows[3]["files"] == ""


def test_the_same_roster_again_writes_the_same_files(giver: Context, tmp_path: Path) -> None:
    guests = read_roster(_roster(tmp_path, ROSTER))
    group(giver, guests, tmp_path / "one", WISHES)
    group(giver, guests, tmp_path / "two", WISHES)
    one, two = (
        {path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in ("one", "two")
    )
    assert one == two


def test_a_hostile_roster_writes_nothing(giver: Context, tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="row 3, name: this can be no name"):
        read_roster(_roster(tmp_path, "name,health\nTam,no\n../../MARK,no\n"))
    assert not (tmp_path / "out").exists()
    assert giver.store_path.parent == tmp_path


def test_a_folder_that_cannot_be_made_is_one_sentence_and_nothing_is_kept(
    giver: Context, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    guests = read_roster(_roster(tmp_path, "name,health\nTam,yes\n"))
    with pytest.raises(BadInput, match="it cannot be made"):
        group(giver, guests, tmp_path / "file" / "out", WISHES)


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "|x", "%x"])
def test_no_cell_begins_as_a_formula_does(text: str) -> None:
    assert safe_cell(text) == f"'{text}"
    assert safe_cell("Tam") == "Tam"
