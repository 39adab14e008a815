"""From the cells of time columns to seconds."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from rideready.errors import ChoiceNeeded
from rideready.importers.decimals import DecimalMark, numbers
from rideready.importers.fit_fields import offset_text
from rideready.importers.mapping import time_zone
from rideready.importers.times import DateOrder, Style, TextDate, possible_orders, read_times
from rideready.model.session import FloatArray

DAY_S: Final = 86_400.0


@dataclass(frozen=True, slots=True)
class TimeReader:
    """How the time of each row is read.

    Parameters
    ----------
    index
        Place of the column with the time.
    style
        How its cells are written.
    factor
        Seconds per unit of a number; 1/60 where "12:30" means minutes and seconds, else 1.
    date_index
        Place of the column with the date, if that is another one.
    order
        Order of day and month.
    mark
        Decimal mark of numbers.
    is_dated
        Whether the result counts from 1970-01-01.
    is_utc
        Whether times without a zone are in UTC: numbers that count from 1970, or a heading that says so.
    """

    index: int
    style: Style
    factor: float = 1.0
    date_index: int | None = None
    order: DateOrder = DateOrder.DAY_FIRST
    mark: DecimalMark = "."
    is_dated: bool = False
    is_utc: bool = False

    def read(self, rows: Sequence[Sequence[str]]) -> tuple[FloatArray, FloatArray]:
        """Read the times of some rows.

        Parameters
        ----------
        rows
            Rows of the table.

        Returns
        -------
        tuple of ndarray
            Shape (n,) each: s, and the zone of the cell as an offset from UTC, s. NaN where a cell gives none.
        """
        cells = column_cells(rows, self.index)
        if self.style is Style.NUMBER:
            return numbers(cells, self.mark) * self.factor, np.full(len(cells), np.nan)
        times = read_times(cells, self.style)
        seconds = times.second * self.factor
        if self.style in {Style.STAMP, Style.DATE}:
            seconds = seconds + times.days(self.order) * DAY_S
        elif self.date_index is not None:
            dates = read_times(column_cells(rows, self.date_index), Style.DATE)
            seconds = seconds + dates.days(self.order) * DAY_S
        return seconds, times.offset_s


@dataclass(frozen=True, slots=True)
class TimeAxis:
    """Everything about the time of a table.

    Parameters
    ----------
    reader
        Reads the rows.
    origin_s
        Moment from which the reader's seconds count, s since 1970-01-01; None if they are dated themselves,
        or no moment is known.
    origin_offset_s
        Zone of that moment as an offset from UTC, s; NaN if it names none.
    columns
        Places of all columns that hold some kind of time.
    warnings
        What was taken for granted.
    """

    reader: TimeReader
    origin_s: float | None
    origin_offset_s: float
    columns: tuple[int, ...]
    warnings: tuple[str, ...]


def column_cells(rows: Sequence[Sequence[str]], index: int) -> list[str]:
    """Return a column, empty texts where a row is too short."""
    return [row[index] if index < len(row) else "" for row in rows]


def date_order(path: str, dates: Sequence[TextDate], said: str | None) -> DateOrder:
    """Tell the order of day and month, or ask.

    Parameters
    ----------
    path
        The file, as the user named it.
    dates
        The distinct dates.
    said
        What the rider has said.

    Raises
    ------
    ChoiceNeeded
        If both orders make sense.
    """
    if said is not None:
        return DateOrder(said)
    possible = possible_orders(dates)
    if len(possible) == 1:
        return next(iter(possible))
    if possible:
        open_date = next(date for date in dates if not date.is_certain)
        first, second = (
            dt.date(1970, 1, 1) + dt.timedelta(days=open_date.day_number(order)) for order in DateOrder
        )
        raise ChoiceNeeded(
            path,
            f"the date {open_date.first}/{open_date.second}/{open_date.year} may be {_spelt(first)} or {_spelt(second)}",
            [f"--dates {order.value}" for order in DateOrder],
        )
    return DateOrder.DAY_FIRST


_MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def _spelt(day: dt.date) -> str:
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def to_utc(
    moment_s: float, offset_s: float, zone: str | None
) -> tuple[dt.datetime | None, str | None, str | None]:
    """Bring the start to UTC.

    Parameters
    ----------
    moment_s
        s since 1970-01-01 as the file's clock shows it.
    offset_s
        Offset from UTC that the file names, s; NaN if none.
    zone
        Zone that the rider named; counts only where the file names none.

    Returns
    -------
    tuple
        Start in UTC (None outside the calendar), zone, and a warning if the zone is unknown.
    """
    try:
        shown = dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(seconds=round(moment_s, 3))
        if np.isfinite(offset_s):
            # "Z" and +00:00 say when it was, not where.
            place = zone or (offset_text(round(offset_s)) if offset_s else None)
            return shown - dt.timedelta(seconds=offset_s), place, None
        if zone is not None:
            return shown.replace(tzinfo=time_zone(zone)).astimezone(dt.UTC), zone, None
    except OverflowError:
        return None, None, "The date lies outside the calendar and was left out."
    warning = "The times name no zone and were taken as UTC (--zone Europe/Oslo says where it was)."
    return shown, None, warning
