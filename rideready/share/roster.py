"""A roster of guests, read from a CSV file that anybody may have typed."""

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

from rideready.errors import UnreadableFile
from rideready.model.condition import Clearance
from rideready.model.exercise import Equipment, Joint, Level
from rideready.model.rider import Rider
from rideready.share.reading import MOST_BYTES, is_name, read_bytes

#: The most guests of one roster.
MOST_GUESTS = 1000
COLUMNS = ("name", "age", "max", "rest", "level", "equipment", "days", "health", "avoid", "medicine", "usual")
_NEEDED = ("name", "health")
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
#: Minutes of a day that is named without any.
USUAL_MIN = 45
_NO = frozenset({"no", "n", "none", "0", "false", "nothing"})
_YES = frozenset({"yes", "y", "1", "true"})

_Word = TypeVar("_Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class Guest:
    """One guest of a roster.

    Parameters
    ----------
    name
        As the guest wants to be called; unique in the roster.
    rider
        Age, maximum, rest and medicine.
    level, equipment, minutes_by_weekday, usual_min, avoid_joints
        How the guest trains.
    clearance
        What the answers to the health questions allow; the answers themselves are not kept.
    """

    name: str
    rider: Rider
    level: Level
    equipment: frozenset[Equipment]
    minutes_by_weekday: tuple[int, ...]
    usual_min: float | None
    avoid_joints: frozenset[Joint]
    clearance: Clearance


def read_roster(path: Path) -> tuple[Guest, ...]:
    """Read a roster.

    Columns: ``name`` and ``health`` (no, or anything else for yes), and if known ``age``, ``max``, ``rest``,
    ``level``, ``equipment``, ``days`` (``mon:45 wed sat:90``), ``avoid``, ``medicine``, ``usual``. More columns that
    begin with ``health`` are further questions.

    Raises
    ------
    UnreadableFile
        With one sentence that names the row, never its text; the roster is read as a whole or not at all.
    """
    content = read_bytes(path)
    name = str(path)
    rows = _rows(content, name)
    if not rows:
        raise UnreadableFile(name, "it holds no guest", "Write one guest a row under the headings")
    if len(rows) > MOST_GUESTS:
        raise UnreadableFile(name, f"it has more than {MOST_GUESTS} guests", "Split it")
    guests = tuple(_guest(row, _Where(name, number)) for number, row in enumerate(rows, start=2))
    seen: dict[str, int] = {}
    for number, guest in enumerate(guests, start=2):
        first = seen.setdefault(guest.name.casefold(), number)
        if first != number:
            raise UnreadableFile(
                name, f"rows {first} and {number} have the same name", "Tell them apart, by an initial say"
            )
    return guests


@dataclass(frozen=True, slots=True)
class _Where:
    """Which row is read, for the sentence of an error."""

    path: str
    row: int

    def wrong(self, column: str, what: str, what_to_do: str) -> UnreadableFile:
        return UnreadableFile(self.path, f"row {self.row}, {column}: {what}", what_to_do)


def _rows(content: bytes, name: str) -> list[dict[str, str]]:
    """Split a roster into rows by heading, whatever separator a spreadsheet took."""
    if len(content) > MOST_BYTES:
        raise UnreadableFile(name, f"it has more than {MOST_BYTES // 1000} kB", "Name the roster")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    if "\0" in text:
        raise UnreadableFile(name, "it is no text", "Save the roster as CSV")
    head = text.split("\n", 1)[0]
    separator = max(",;\t", key=head.count)
    try:
        table = [
            row for row in csv.reader(io.StringIO(text), delimiter=separator) if any(map(str.strip, row))
        ]
    except csv.Error as error:
        raise UnreadableFile(name, "it is no CSV table", "Save the roster as CSV") from error
    headings = [cell.strip().lower() for cell in table[0]] if table else []
    missing = [one for one in _NEEDED if not any(heading.startswith(one) for heading in headings)]
    if missing:
        raise UnreadableFile(
            name, f"it lacks the column {missing[0]}", f"Name the columns {', '.join(COLUMNS)}"
        )
    unknown = [
        n for n, one in enumerate(headings, start=1) if one not in COLUMNS and not one.startswith("health")
    ]
    if unknown:
        known = ", ".join(COLUMNS)
        raise UnreadableFile(name, f"column {unknown[0]} has no known heading", f"Known are {known}")
    if len(set(headings)) < len(headings):
        raise UnreadableFile(name, "two columns have one heading", "Give each its own")
    wide = next((n for n, row in enumerate(table, start=1) if len(row) > len(headings)), None)
    if wide is not None:
        raise UnreadableFile(name, f"row {wide} has more cells than headings", "Check its separators")
    cells = ([*row, *[""] * (len(headings) - len(row))] for row in table[1:])
    return [dict(zip(headings, map(str.strip, row), strict=True)) for row in cells]


def _guest(row: Mapping[str, str], where: _Where) -> Guest:
    name = row["name"]
    if not is_name(name):
        raise where.wrong(
            "name", "this can be no name", "Write it without signs of formulas, markup or paths"
        )
    try:
        rider = Rider(
            name=name,
            age_years=_number(row, "age", where),
            max_hr_bpm=_number(row, "max", where),
            resting_hr_bpm=_number(row, "rest", where),
            takes_heart_rate_medicine=_is_yes(row.get("medicine", ""), where, "medicine"),
        )
    except ValueError as error:
        raise where.wrong("age, max, rest", str(error), "Correct it or leave it empty") from error
    return Guest(
        name,
        rider,
        _level(row, where),
        frozenset(_words(row, "equipment", Equipment, where)),
        _days(row.get("days", ""), where),
        _number(row, "usual", where, most=3000),
        frozenset(_words(row, "avoid", Joint, where)),
        _clearance(row, where),
    )


def _clearance(row: Mapping[str, str], where: _Where) -> Clearance:
    """Take any answer but no for a yes; none at all is no answer."""
    answers = [answer.lower() for heading, answer in row.items() if heading.startswith("health")]
    if "" in answers:
        raise where.wrong("health", "a question is not answered", "Ask, and write no or yes")
    return Clearance.CLEAR if set(answers) <= _NO else Clearance.ASK_FIRST


def _is_yes(answer: str, where: _Where, column: str) -> bool:
    if answer.lower() in _YES | _NO | {""}:
        return answer.lower() in _YES
    raise where.wrong(column, "this is neither yes nor no", "Write no or yes")


def _number(row: Mapping[str, str], column: str, where: _Where, *, most: float = 300) -> float | None:
    text = row.get(column, "")
    if not text:
        return None
    if not re.fullmatch(r"\d{1,4}([.,]\d)?", text, flags=re.ASCII) or float(text.replace(",", ".")) > most:
        raise where.wrong(column, "this is no such number", "Correct it or leave it empty")
    return float(text.replace(",", "."))


def _level(row: Mapping[str, str], where: _Where) -> Level:
    """Read the level; who does not say is taken for a beginner."""
    text = row.get("level", "").lower()
    labels = {level.label: level for level in Level}
    if text and text not in labels:
        raise where.wrong("level", "this is no level", f"Known are {', '.join(labels)}")
    return labels.get(text, Level.BEGINNER)


def _words(row: Mapping[str, str], column: str, known: type[_Word], where: _Where) -> list[_Word]:
    typed = [word.strip().lower() for word in re.split(r"[,;+/|]", row.get(column, ""))]
    by_value = {one.value: one for one in known}
    wanted = [word for word in typed if word not in {"", "none"}]
    if any(word not in by_value for word in wanted):
        raise where.wrong(column, "a word in it is unknown", f"Known are {', '.join(by_value)}")
    return [by_value[word] for word in wanted]


def _days(text: str, where: _Where) -> tuple[int, ...]:
    """Read days with their minutes, such as ``mon:45 wed sat:90``; without any, three of the usual length."""
    minutes = dict.fromkeys(_WEEKDAYS, 0)
    for word in re.split(r"[\s,;]+", text.lower().strip()) if text else ("mon", "wed", "sat"):
        found = re.fullmatch(r"([a-z]{3})[a-z]*(?::(\d{1,3}))?", word)
        if found is None or found[1] not in minutes or int(found[2] or 0) > 600:
            raise where.wrong("days", "this names no days", "Write them like mon:45 wed:30 sat:90")
        minutes[found[1]] = int(found[2]) if found[2] is not None else USUAL_MIN
    return tuple(minutes.values())
