"""Which column is what: from the headings, the cells, and what the rider has said."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from rideready.errors import ChoiceNeeded, UnreadableFile
from rideready.importers.decimals import DecimalMark, is_number, numbers, possible_marks
from rideready.importers.headings import Heading
from rideready.importers.likely_units import unit_for
from rideready.importers.mapping import NO_COLUMN
from rideready.importers.table import Table, column_option
from rideready.importers.units import Unit
from rideready.importers.words import DEVICE, KIND, PACE, SESSION
from rideready.model.session import CHANNELS, FloatArray

#: What a heart rate can be at all, bpm; half of a column of heart rates lies within.
_PULSE_BPM: Final = (30.0, 230.0)


@dataclass(frozen=True, slots=True)
class Channel:
    """A column that becomes a channel.

    Parameters
    ----------
    name
        Name of the channel.
    index
        Place of the column.
    unit
        Unit of its values.
    """

    name: str
    index: int
    unit: Unit


@dataclass(frozen=True, slots=True)
class Columns:
    """What the columns of a table are.

    Parameters
    ----------
    channels
        The channels, heart rate first.
    mark
        The decimal mark.
    texts
        Places of the columns that name kind, device and session, where there are such.
    warnings
        What was taken for granted.
    """

    channels: tuple[Channel, ...]
    mark: DecimalMark
    texts: dict[str, int]
    warnings: tuple[str, ...]


def choose_columns(table: Table, time_columns: Sequence[int]) -> Columns:
    """Tell what each column is.

    Parameters
    ----------
    table
        The first rows of a file.
    time_columns
        Places of the columns that hold the time.

    Raises
    ------
    ChoiceNeeded
        If more than one column may be the heart rate, or the decimal mark is open.
    UnreadableFile
        If a column called heart rate holds something else.
    """
    free = [heading for heading in table.headings() if heading.index not in time_columns]
    mark = _decimal_mark(table, free)
    warnings: list[str] = []
    channels = []
    pulse = _pulse_column(table, free, mark)
    if pulse is not None:
        channels.append(Channel("hr_bpm", pulse, Unit("bpm")))
    for name in CHANNELS[1:]:
        heading = _one_column(table, name, free, warnings)
        if heading is not None:
            channels.append(Channel(name, heading.index, unit_for(table, name, heading, mark, warnings)))
    texts = {
        role: heading.index
        for role in (KIND, DEVICE, SESSION)
        for heading in reversed(free)
        if heading.is_exact and heading.may_be(role)
    }
    return Columns(tuple(channels), mark, texts, tuple(warnings))


def _decimal_mark(table: Table, free: Sequence[Heading]) -> DecimalMark:
    """Tell the decimal mark by all columns, or ask if a channel depends on it."""
    if table.said.decimal is not None:
        return "," if table.said.decimal == "comma" else "."
    columns = {h.index: [cell for cell in table.cells(h.index) if is_number(cell)] for h in free}
    sure = {mark for cells in columns.values() if len(marks := possible_marks(cells)) == 1 for mark in marks}
    if len(sure) == 1:
        return sure.pop()
    if len(sure) > 1:
        # One column with points and one with commas: a comma can group thousands, and then points are decimal.
        return "."
    named = {table.named(name) for name in CHANNELS}
    for heading in free:
        is_channel = heading.index in named or any(map(heading.may_be, (*CHANNELS, PACE)))
        example = _open_number(columns[heading.index]) if is_channel else None
        if example is not None:
            question = f"{example} may be a number with decimals or one in thousands"
            raise ChoiceNeeded(table.path, question, ["--decimal comma", "--decimal point"])
    return "."


def _open_number(cells: Sequence[str]) -> str | None:
    """Return a number whose mark may be decimal or grouping; None if the column leaves no doubt.

    A point is decimal, unless it stands only in some of the numbers, always three digits before the end.
    """
    if len(possible_marks(cells)) < 2:
        return None
    marked = [cell for cell in cells if "," in cell or "." in cell]
    has_comma = any("," in cell for cell in marked)
    return marked[0] if has_comma or len(marked) < len(cells) else None


def _pulse_column(table: Table, free: Sequence[Heading], mark: DecimalMark) -> int | None:
    """Find the column of heart rates, or ask."""
    if table.has_none("hr_bpm"):
        return None
    named = table.named("hr_bpm")
    if named is not None:
        return named
    called = [h for h in free if h.may_be("hr_bpm")]
    candidates = _without_copies(table, [h for h in called if table.cells(h.index)])
    if not candidates:
        if not called:
            _ask_for_pulse(table, free, mark)
        return None
    if len(candidates) > 1:
        question = f"{len(candidates)} columns could be the heart rate"
        raise ChoiceNeeded(table.path, question, [column_option("hr_bpm", h.name) for h in candidates])
    index, name = candidates[0].index, candidates[0].name
    if not _looks_like_pulse(table, index, mark):
        right, none = column_option("hr_bpm", "..."), column_option("hr_bpm", NO_COLUMN)
        raise UnreadableFile(
            table.path,
            f"column {name!r} is called heart rate but does not hold beats per minute",
            f"Name the right column with {right}, or say {none}",
        )
    return index


def _ask_for_pulse(table: Table, free: Sequence[Heading], mark: DecimalMark) -> None:
    """Ask if a column without a telling heading runs like a heart rate."""
    likely = [
        h.name
        for h in free
        if not h.roles and len(set(table.cells(h.index))) > 4 and _looks_like_pulse(table, h.index, mark)
    ]
    if likely:
        question = "no column is called heart rate, but some could be it"
        options = [column_option("hr_bpm", name) for name in (*likely, NO_COLUMN)]
        raise ChoiceNeeded(table.path, question, options)


def _values(table: Table, index: int, mark: DecimalMark) -> FloatArray:
    return numbers(table.cells(index), mark)


def _looks_like_pulse(table: Table, index: int, mark: DecimalMark) -> bool:
    """Whether the values, absent codes aside, are what a heart can do."""
    values = _values(table, index, mark)
    values = values[np.isfinite(values) & (values != 0) & (values != 255)]
    if values.size == 0:
        return False
    low, high = _PULSE_BPM
    return bool(low <= np.median(values) <= high and np.percentile(values, 95) <= high + 20)


def _without_copies(table: Table, candidates: Sequence[Heading]) -> list[Heading]:
    """Leave out columns whose cells repeat those of an earlier candidate."""
    kept: list[Heading] = []
    for heading in candidates:
        cells = [row[heading.index] for row in table.rows if heading.index < len(row)]
        if not any(
            cells == [row[other.index] for row in table.rows if other.index < len(row)] for other in kept
        ):
            kept.append(heading)
    return kept


def _one_column(table: Table, name: str, free: Sequence[Heading], warnings: list[str]) -> Heading | None:
    """Find a channel's column; of several the one with a unit and a plain name, with a word about it."""
    if table.has_none(name):
        return None
    named = table.named(name)
    if named is not None:
        return next(heading for heading in table.headings() if heading.index == named)
    roles = (name, PACE) if name == "speed_m_s" else (name,)
    candidates = [
        heading
        for heading in free
        if any(map(heading.may_be, roles)) and any(map(is_number, table.cells(heading.index)))
    ]
    if name == "speed_m_s":
        candidates += [h for h in free if h not in candidates and h.may_be(PACE) and table.cells(h.index)]
    if not candidates:
        return None

    def merit(heading: Heading) -> tuple[bool, bool, bool]:
        return heading.may_be(name), heading.is_exact, heading.unit is not None

    best = max(candidates, key=merit)
    others = [h.name for h in candidates if h is not best and h.may_be(name)]
    if others:
        option = column_option(name, others[0])
        warnings.append(f"Column {best.name!r} was taken for {name}, not {', '.join(others)} ({option}).")
    return best
