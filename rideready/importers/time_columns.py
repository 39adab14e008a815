"""Which columns of a table hold the time, and how they are meant."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from rideready.errors import ChoiceNeeded, UnreadableFile
from rideready.importers.decimals import DecimalMark, numbers, possible_marks
from rideready.importers.headings import Heading
from rideready.importers.preamble import start_above
from rideready.importers.table import Table, column_option
from rideready.importers.time_axis import DAY_S, TimeAxis, TimeReader, column_cells, date_order
from rideready.importers.times import Style, read_times, style_of
from rideready.importers.units import unit_of
from rideready.importers.words import CLOCK, DATE, ELAPSED, PACE, TIME, plain
from rideready.model.session import FloatArray

#: Numbers that count from 1970 lie between 2001 and 2096; by what they are counted follows from their size.
_EPOCH_S: Final = (1e9, 4e9)
_EPOCH_FACTORS: Final = (1.0, 1e-3, 1e-6, 1e-9)
#: Usual spacing of samples, s, by which a number without a unit is told: seconds if it fits, else others.
_SPACING_S: Final = (0.05, 120.0)
#: A clock that shows more than this at the first sample shows the time of day, s.
_AFTER_START_S: Final = 60.0
#: Under this share of distinct times a clock is too coarse to time samples by.
_COARSE: Final = 0.5


@dataclass(frozen=True, slots=True)
class _Column:
    """A column that may hold a time."""

    heading: Heading
    style: Style
    values: FloatArray

    @property
    def index(self) -> int:
        return self.heading.index

    @property
    def epoch_factor(self) -> float | None:
        """Seconds per unit, if the numbers count from 1970."""
        if self.style is not Style.NUMBER or not self.values.size:
            return None
        middle = float(np.median(self.values))
        return next((f for f in _EPOCH_FACTORS if _EPOCH_S[0] <= middle * f <= _EPOCH_S[1]), None)

    @property
    def is_clock(self) -> bool:
        """Whether the cells may be times of day."""
        return self.style in {Style.CLOCK, Style.SHORT} and not self.heading.may_be(ELAPSED)

    @property
    def is_stamp(self) -> bool:
        return self.style is Style.STAMP or self.epoch_factor is not None

    @property
    def is_rising(self) -> bool:
        """Whether the values mostly go up, and do go up."""
        steps = np.diff(self.values)
        return bool(steps.size and np.mean(steps >= 0) > 0.9 and np.mean(steps > 0) > 0.1)


def find_time(table: Table) -> TimeAxis:
    """Tell how the time of each row is read.

    Parameters
    ----------
    table
        The first rows of a file.

    Raises
    ------
    ChoiceNeeded
        If the columns or their dates can be read in more than one way.
    UnreadableFile
        If no column holds a time.
    """
    columns = _time_columns(table)
    warnings: list[str] = []
    stamps = sorted((c for c in columns if c.is_stamp), key=lambda c: not c.heading.is_exact)
    dates = [c for c in columns if c.style is Style.DATE]
    clocks = [c for c in columns if c.is_clock]
    elapsed = [c for c in columns if c.style is Style.NUMBER and not c.is_stamp]
    elapsed += [c for c in columns if c.style in {Style.CLOCK, Style.SHORT} and not c.is_clock]
    origin = None
    if stamps:
        reader = _stamp_reader(table, stamps[0])
        if elapsed and _is_coarse(reader, table):
            stamp, reader = reader, _elapsed_reader(table, elapsed[0], warnings)
            origin = _first_moment(table, stamp, reader)
    elif clocks and dates:
        reader = _clock_reader(table, clocks[0], dates[0], warnings)
    elif elapsed or clocks:
        column = (elapsed + clocks)[0]
        reader = _elapsed_reader(table, column, warnings)
        origin = _origin(table, column, dates, warnings)
    elif dates:
        raise UnreadableFile(table.path, "the rows have a date but no time of day", "Export it with both")
    else:
        raise _no_time(table)
    origin_s, offset_s = origin or (None, float("nan"))
    return TimeAxis(reader, origin_s, offset_s, tuple(c.index for c in columns), tuple(warnings))


def _first_moment(table: Table, stamp: TimeReader, fine: TimeReader) -> tuple[float, float] | None:
    """Return the moment at which a fine clock beside a coarse one shows zero."""
    moments, offsets = stamp.read(table.rows)
    seconds, _ = fine.read(table.rows)
    both = np.flatnonzero(np.isfinite(moments) & np.isfinite(seconds))
    if not both.size:
        return None
    first = both[0]
    return float(moments[first] - seconds[first]), 0.0 if stamp.is_utc else float(offsets[first])


def _origin(
    table: Table, column: _Column, dates: Sequence[_Column], warnings: list[str]
) -> tuple[float, float] | None:
    """Find from where the seconds of an undated column count, and the zone of that moment."""
    above = start_above(table.path, table.layout.preamble, table.said.dates)
    if above is None and dates:
        read = read_times(table.cells(dates[0].index)[:1], Style.DATE)
        day = float(read.days(date_order(table.path, read.dates, table.said.dates))[0])
        above = (day * DAY_S, float("nan"), float("nan")) if np.isfinite(day) else None
    if above is None:
        return None
    day_s, second, offset_s = above
    if column.is_clock and column.values.size and column.values[0] >= _AFTER_START_S:
        return day_s, offset_s
    if np.isnan(second):
        warnings.append("The file gives the day but no time of day; the start was taken as midnight.")
        second = 0.0
    return day_s + second, offset_s


def _time_columns(table: Table) -> list[_Column]:
    """Return what may be a time: what the rider named, else what the headings say."""
    headings = table.headings()
    named = {role: table.named(role) for role in (TIME, DATE)}
    chosen = {index: role for role, index in named.items() if index is not None}
    columns = []
    for heading in headings:
        if heading.index in chosen:
            said = replace(heading, roles=(chosen[heading.index],), is_exact=True)
            columns += _column(table, said)
        elif heading.is_time and (DATE if heading.may_be(DATE) else TIME) not in chosen.values():
            columns += _column(table, heading)
    columns = [c for c in columns if not c.heading.may_be(PACE) or c.is_rising]
    if not columns:
        unnamed = [c for heading in headings if not heading.roles for c in _column(table, heading)]
        columns = [c for c in unnamed if c.style is Style.STAMP and c.is_rising][:1]
    return columns


def _column(table: Table, heading: Heading) -> list[_Column]:
    cells = table.cells(heading.index)
    style = style_of(cells[:500])
    if style is None:
        return []
    if style is Style.NUMBER:
        mark = number_mark(cells)
        values = numbers(cells, mark)
    else:
        times = read_times(cells, style)
        values = times.second + np.where(times.date_index >= 0, times.date_index * 86_400.0, 0.0)
    return [_Column(heading, style, values[np.isfinite(values)])]


def number_mark(cells: Sequence[str]) -> DecimalMark:
    """Tell the decimal mark of a column of times; where thousands may be meant, a time has decimals."""
    marks = possible_marks(cells)
    if len(marks) == 1:
        return next(iter(marks))
    return "," if any("," in cell for cell in cells) else "."


def _stamp_reader(table: Table, column: _Column) -> TimeReader:
    factor = column.epoch_factor
    if factor is not None:
        mark = number_mark(table.cells(column.index))
        return TimeReader(column.index, Style.NUMBER, factor, mark=mark, is_dated=True, is_utc=True)
    dates = read_times(column_cells(table.rows, column.index), Style.STAMP).dates
    return TimeReader(
        column.index,
        Style.STAMP,
        order=date_order(table.path, dates, table.said.dates),
        is_dated=True,
        is_utc=_says_utc(table, column),
    )


def _says_utc(table: Table, column: _Column) -> bool:
    words = plain(f"{column.heading.name} {table.layout.units[column.index]}").split()
    return "utc" in words or "gmt" in words


def _is_coarse(reader: TimeReader, table: Table) -> bool:
    moments, _ = reader.read(table.rows)
    known = moments[np.isfinite(moments)]
    return bool(known.size) and np.unique(known).size < _COARSE * known.size


def _clock_reader(table: Table, clock: _Column, date: _Column, warnings: list[str]) -> TimeReader:
    dates = read_times(column_cells(table.rows, date.index), Style.DATE).dates
    return TimeReader(
        clock.index,
        clock.style,
        _short_factor(table, clock, "h:mm", warnings),
        date_index=date.index,
        order=date_order(table.path, dates, table.said.dates),
        is_dated=True,
        is_utc=_says_utc(table, clock) or _says_utc(table, date),
    )


def _elapsed_reader(table: Table, column: _Column, warnings: list[str]) -> TimeReader:
    if column.style is not Style.NUMBER:
        likely = "m:ss" if column.heading.may_be(ELAPSED) else None
        return TimeReader(column.index, column.style, _short_factor(table, column, likely, warnings))
    mark = number_mark(table.cells(column.index))
    said = unit_of(TIME, table.said.units.get(TIME, ""))
    unit = said or column.heading.unit
    if unit is not None:
        return TimeReader(column.index, Style.NUMBER, unit.factor, mark=mark)
    name, factor = _likely_unit(table, column)
    warnings.append(
        f"Column {column.heading.name!r} names no unit and was read as {name} (--unit time={name})."
    )
    return TimeReader(column.index, Style.NUMBER, factor, mark=mark)


def _likely_unit(table: Table, column: _Column) -> tuple[str, float]:
    """Tell by the spacing what a number without a unit counts, or ask."""
    steps = np.diff(column.values)
    steps = steps[steps > 0]
    spacing = float(np.median(steps)) if steps.size else 1.0
    if _SPACING_S[0] <= spacing <= _SPACING_S[1]:
        return "s", 1.0
    if spacing > 2 * _SPACING_S[1]:
        return "ms", 1e-3
    raise ChoiceNeeded(
        table.path,
        f"column {column.heading.name!r} names no unit",
        [f"--unit time={name}" for name in ("s", "min", "h")],
    )


def _short_factor(table: Table, column: _Column, likely: str | None, warnings: list[str]) -> float:
    """Tell whether "12:30" is hours and minutes or minutes and seconds."""
    if column.style is not Style.SHORT:
        return 1.0
    meant = table.said.times
    hints = plain(f"{column.heading.name} {table.layout.units[column.index]}")
    if meant is None and "mm ss" in hints:
        meant = "m:ss"
    if meant is None and float(np.max(column.values, initial=0.0)) >= 24 * 3600:
        meant = "m:ss"
    if meant is None and column.heading.may_be(CLOCK):
        meant = "h:mm"
    if meant is None and likely is None and float(column.values[0]) < 3600:
        likely = "m:ss"
        warnings.append(
            f"Times like {table.cells(column.index)[-1]} were read as minutes and seconds (--times h:mm)."
        )
    meant = meant or likely
    if meant is None:
        raise ChoiceNeeded(
            table.path,
            f"{table.cells(column.index)[0]} may be hours and minutes or minutes and seconds",
            ["--times h:mm", "--times m:ss"],
        )
    return 1 / 60 if meant == "m:ss" else 1.0


def _no_time(table: Table) -> UnreadableFile:
    """Ask which column is the time if any could be it, else say that there is none."""
    likely = [
        column.heading.name
        for heading in table.headings()
        if not heading.roles
        for column in _column(table, heading)
        if column.is_rising and column.style is not Style.DATE
    ]
    if likely:
        options = [column_option(TIME, name) for name in likely]
        return ChoiceNeeded(table.path, "no column is called time, but some could be it", options)
    return UnreadableFile(
        table.path,
        "no column holds a time",
        "Export it with the time of each sample, or name the column with " + column_option(TIME, "..."),
    )
