"""Rosters as they are typed, and as somebody might type them to do harm."""

from pathlib import Path

import pytest

from rideready.errors import UnreadableFile
from rideready.model.condition import Clearance
from rideready.model.exercise import Equipment, Joint, Level
from rideready.share.reading import MOST_BYTES
from rideready.share.roster import read_roster

HEAD = "name,age,max,rest,level,equipment,days,health"


def _roster(folder: Path, content: str | bytes) -> Path:
    path = folder / "roster.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def test_a_guest_is_read_with_everything_known(tmp_path: Path) -> None:
    text = (
        "Name;Age;Max;Rest;Level;Equipment;Days;Health;Avoid;Medicine;Usual\n"
        "Åse Bø;34;188;51;advanced;box+band;mon:30 Thu sat:90;no;knee;yes;120\n"
    )
    (guest,) = read_roster(_roster(tmp_path, text))
    assert guest.name == "Åse Bø"
    numbers = (guest.rider.age_years, guest.rider.max_hr_bpm, guest.rider.resting_hr_bpm)
    assert numbers == (34, 188, 51)
    assert guest.rider.takes_heart_rate_medicine
    assert guest.level is Level.ADVANCED
    assert guest.equipment == {Equipment.BOX, Equipment.BAND}
    assert guest.minutes_by_weekday == (30, 0, 0, 45, 0, 90, 0)
    assert guest.avoid_joints == {Joint.KNEE}
    assert guest.usual_min == 120
    assert guest.clearance is Clearance.CLEAR


def test_name_and_answer_are_enough_and_a_beginner_is_assumed(tmp_path: Path) -> None:
    (guest,) = read_roster(_roster(tmp_path, "\ufeffname,health\r\nTam,no\r\n"))
    assert guest.level is Level.BEGINNER
    assert guest.minutes_by_weekday == (45, 0, 45, 0, 0, 45, 0)


@pytest.mark.parametrize("answer", ["yes", "Y", "1", "heart murmur since 2019", "perhaps"])
def test_every_answer_but_no_asks_for_a_doctor(tmp_path: Path, answer: str) -> None:
    (guest,) = read_roster(_roster(tmp_path, f"name,health heart,health joints\nTam,no,{answer}\n"))
    assert guest.clearance is Clearance.ASK_FIRST


def test_the_answer_itself_is_not_kept(tmp_path: Path) -> None:
    (guest,) = read_roster(_roster(tmp_path, "name,health\nTam,heart murmur\n"))
    assert "murmur" not in repr(guest)


HOSTILE: dict[str, tuple[str | bytes, str]] = {
    "a formula for a name": (f"{HEAD}\n=cmd|' /C calc'!A0,,,,,,,no\n", "row 2, name: this can be no name"),
    "a formula with a sign": (f"{HEAD}\n+1+1,,,,,,,no\n", "row 2, name"),
    "script for a name": (f"{HEAD}\n<script>alert(1)</script>,,,,,,,no\n", "row 2, name"),
    "a path for a name": (f"{HEAD}\nTam,,,,,,,no\n../../etc/passwd,,,,,,,no\n", "row 3, name"),
    "a line break in a name": (f'{HEAD}\n"Tam\nOster",,,,,,,no\n', "row 2, name"),
    "no name": (f"{HEAD}\n,,,,,,,no\n", "row 2, name"),
    "a name without end": (f"{HEAD}\n{'x' * 500},,,,,,,no\n", "row 2, name"),
    "a name twice": ("name,health\nTam,no\nLiv,no\ntam,no\n", "rows 2 and 4 have the same name"),
    "no answer": ("name,health\nTam,\n", "a question is not answered"),
    "no such age": (f"{HEAD}\nTam,abc,,,,,,no\n", "row 2, age: this is no such number"),
    "nobody's age": (f"{HEAD}\nTam,3,,,,,,no\n", "age_years is 3"),
    "an age of infinity": (f"{HEAD}\nTam,inf,,,,,,no\n", "row 2, age"),
    "an age in another script": (f"{HEAD}\nTam,\u0664\u0662,,,,,,no\n", "row 2, age"),
    "rest above maximum": (f"{HEAD}\nTam,,140,125,,,,no\n", "must be at least 20 above"),
    "no such level": (f"{HEAD}\nTam,,,,<b>,,,no\n", "row 2, level: this is no level"),
    "no such equipment": (f"{HEAD}\nTam,,,,,rocket,,no\n", "row 2, equipment: a word in it is unknown"),
    "no such day": (f"{HEAD}\nTam,,,,,,someday:45,no\n", "row 2, days: this names no days"),
    "a day without end": (f"{HEAD}\nTam,,,,,,mon:999,no\n", "row 2, days"),
    "no health column": ("name,age\nTam,30\n", "lacks the column health"),
    "an unknown column": ("name,health,gps\nTam,no,1\n", "column 3 has no known heading"),
    "one heading twice": ("name,health,age,age\nTam,no,1,2\n", "two columns have one heading"),
    "more cells than headings": ("name,health\nTam,no,1,2\n", "more cells than headings"),
    "no guest": ("name,health\n", "it holds no guest"),
    "nothing": ("", "lacks the column name"),
    "too many": ("name,health\n" + "".join(f"G{n},no\n" for n in range(1001)), "more than 1000 guests"),
    "no text": (b"name,health\n\x00\x00", "it is no text"),
    "too large": (b"name,health\n" + b"x" * MOST_BYTES, "more than 1000 kB"),
    "a cell without end": (b'name,health\n"' + b"x" * 200_000 + b'",no\n', "it is no CSV table"),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_roster_gives_one_sentence_without_repeating_its_text(tmp_path: Path, case: str) -> None:
    content, expected = HOSTILE[case]
    with pytest.raises(UnreadableFile) as caught:
        read_roster(_roster(tmp_path, content))
    sentence = str(caught.value)
    assert expected in sentence
    assert "\n" not in sentence
    assert not any(bad in sentence for bad in ("cmd", "<script>", "passwd", "xxxx", "rocket"))


def test_a_folder_or_a_missing_file_gives_one_sentence(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "nowhere.csv"):
        with pytest.raises(UnreadableFile, match="there is no such file"):
            read_roster(path)
