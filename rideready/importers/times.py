"""Times in text: dates, times of day, elapsed times, and which of two readings is meant.

References
----------
ISO 8601-1:2019 for year-first dates, the T and the zone. Dates with dots put the day first wherever dots are
used (DIN 5008 and its like); with slashes or dashes both orders are in use, which is why that is asked.
"""

import datetime as dt
import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray


class Style(StrEnum):
    """How the cells of a time column are written."""

    STAMP = "date and time"
    DATE = "date"
    CLOCK = "h:mm:ss"
    SHORT = "a:bb"
    NUMBER = "number"


class DateOrder(StrEnum):
    """Which of two small numbers of a date is the day."""

    DAY_FIRST = "day-first"
    MONTH_FIRST = "month-first"


_MONTHS: Final = {
    name: number
    for number, names in enumerate(
        (
            "jan ene gen tam janv", "feb fev helm febr fevr", "mar mrt mär maa mars märz", "apr avr abr huhti",
            "may mai maj mei mag touko", "jun giu kesä juin juni", "jul lug heinä juil juli",
            "aug ago elo aoû août", "sep set syys sept", "oct okt ott loka", "nov marras", "dec dez des déc dic joulu",
        ),
        start=1,
    )
    for name in names.split()
}  # fmt: skip

_DATE: Final = (
    r"(?:(?P<y>\d{4})(?P<ys>[-/.])(?P<m>\d{1,2})(?P=ys)(?P<d>\d{1,2})"
    r"|(?P<y8>\d{4})(?P<m8>\d{2})(?P<d8>\d{2})(?=T|$| )"
    r"|(?P<a>\d{1,2})(?P<s>[-/.])\s?(?P<b>\d{1,2})(?P=s)\s?(?P<yy>\d{4}|\d{2})"
    r"|(?P<nd>\d{1,2})[ .\-]+(?P<nm>[^\W\d]{3,})\.?[ .\-,]+(?P<ny>\d{4})"
    r"|(?P<mm>[^\W\d]{3,})\.? (?P<md>\d{1,2}),? (?P<my>\d{4}))"
)
_TIME: Final = r"(?P<h>\d{1,4})(?P<c>[:.h])(?P<mi>\d{2})(?:(?P<c2>[:.])(?P<se>\d{2})(?P<f>[.,:]\d+)?|(?P<f2>(?<=:\d\d)[.,]\d+))?"
_HALF: Final = r"(?:\s?(?P<half>[aApP])\.?[mM]\.?)?"
_COMPACT: Final = r"(?P<hc>\d{2})(?P<mc>\d{2})(?P<sc>\d{2})(?P<fc>[.,]\d+)?"
_ZONE: Final = r"(?:\s?(?P<z>Z|z|UTC|GMT)?\s?(?P<o>[+-]\d{2}(?::?\d{2})?)?)"
_STAMP: Final = re.compile(rf"^{_DATE}(?:[Tt_]|,?\s+)(?:kl\.?\s*|à\s+)?(?:{_COMPACT}|{_TIME}){_HALF}{_ZONE}$")
_DATE_ONLY: Final = re.compile(rf"^{_DATE}$")
_CLOCK_ONLY: Final = re.compile(rf"^(?P<sign>-)?{_TIME}{_HALF}{_ZONE}$")


#: What the cells of a column may match; a stamp at midnight is sometimes written as a bare date.
_PATTERNS: Final[dict[Style, tuple[re.Pattern[str], ...]]] = {
    Style.STAMP: (_STAMP, _DATE_ONLY),
    Style.DATE: (_DATE_ONLY,),
    Style.CLOCK: (_CLOCK_ONLY,),
    Style.SHORT: (_CLOCK_ONLY,),
    Style.NUMBER: (),
}


def style_of(cells: Iterable[str]) -> Style | None:
    """Say how a column's cells are written, by the most frequent style; None if none is a time.

    Parameters
    ----------
    cells
        Some cells of the column.
    """
    texts = {cell.strip() for cell in cells}
    found: dict[Style, int] = {}
    for text in texts:
        style = _cell_style(text)
        if style is not None:
            found[style] = found.get(style, 0) + 1
    if not found:
        return None
    style = max(found, key=lambda style: found[style])
    # 07.30.15 is a date where it stays and a time of day where it runs: no session lasts four days.
    dates = [text for text in texts if style is Style.DATE and _cell_style(text) is style]
    return Style.CLOCK if len(dates) > 3 and all(map(_CLOCK_ONLY.match, dates)) else style


def _cell_style(text: str) -> Style | None:
    if _STAMP.match(text):
        return Style.STAMP
    date = _DATE_ONLY.match(text)
    if date and possible_orders([d for d in [_text_date(date.groupdict())] if d]):
        return Style.DATE
    clock = _CLOCK_ONLY.match(text)
    if clock and (clock["se"] is not None or clock["half"]):
        return Style.CLOCK
    if clock and clock["c"] != ".":
        return Style.SHORT
    return Style.NUMBER if re.match(r"^[-+]?\d[\d\s.,']*(?:[eE]\+?\d+)?$", text) else None


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """A column of times, read as far as it can be without knowing the order of its dates.

    Parameters
    ----------
    dates
        The distinct dates: year, and day and month as they stand (month None: order known, then the second
        and third number are month and day).
    date_index
        Shape (n,), which of the dates; -1 where a cell has none.
    second
        Shape (n,), s since midnight, or elapsed; NaN where a cell could not be read.
    offset_s
        Shape (n,), zone of the cell as an offset from UTC, s; NaN where it names none.
    """

    dates: tuple["TextDate", ...]
    date_index: npt.NDArray[np.int_]
    second: FloatArray
    offset_s: FloatArray

    def days(self, order: DateOrder) -> FloatArray:
        """Return the day of each row since 1970-01-01; NaN where there is none or it is no date."""
        numbers = np.array([date.day_number(order) for date in self.dates] + [np.nan])
        return numbers[self.date_index]


@dataclass(frozen=True, slots=True)
class TextDate:
    """A date as it stands: year, and two numbers; ``is_certain`` if they are month and day, in this order."""

    year: int
    first: int
    second: int
    is_certain: bool

    def day_number(self, order: DateOrder) -> float:
        """Return days since 1970-01-01; NaN if this order makes no date."""
        is_month_first = self.is_certain or order is DateOrder.MONTH_FIRST
        month, day = (self.first, self.second) if is_month_first else (self.second, self.first)
        try:
            return float((dt.date(self.year, month, day) - dt.date(1970, 1, 1)).days)
        except ValueError:
            return float("nan")


def read_times(cells: Sequence[str], style: Style) -> Times:
    """Read a column of dates, times of day, or both.

    Parameters
    ----------
    cells
        As in the file.
    style
        How the column is written; cells of another style are not read.
    """
    patterns = _PATTERNS[style]
    dates: dict[TextDate | None, int] = {None: -1}
    index = np.full(len(cells), -1)
    second = np.full(len(cells), np.nan)
    offset = np.full(len(cells), np.nan)
    for row, cell in enumerate(cells):
        text = cell.strip()
        read = (_iso(text) if style is Style.STAMP else None) or _by_pattern(text, patterns)
        if read is not None:
            date, second[row], offset[row] = read
            index[row] = dates.setdefault(date, len(dates) - 1)
    return Times(tuple(date for date in dates if date is not None), index, second, offset)


_Read = tuple["TextDate | None", float, float]


def _iso(text: str) -> _Read | None:
    """Read the most frequent form by the fastest way there is."""
    if text[4:5] != "-" or len(text) < 16:
        return None
    try:
        moment = dt.datetime.fromisoformat(text)
    except ValueError:
        return None
    second = moment.hour * 3600 + moment.minute * 60 + moment.second + moment.microsecond / 1e6
    offset = moment.utcoffset()
    offset_s = float("nan") if offset is None else offset.total_seconds()
    return TextDate(moment.year, moment.month, moment.day, is_certain=True), second, offset_s


def _by_pattern(text: str, patterns: Sequence[re.Pattern[str]]) -> _Read | None:
    match = next((found for pattern in patterns if (found := pattern.match(text))), None)
    if match is None:
        return None
    groups = match.groupdict()
    date = _text_date(groups) if "ys" in groups else None
    if "ys" in groups and date is None:
        return None
    return date, _seconds(groups), _offset(groups)


def _seconds(groups: dict[str, str | None]) -> float:
    """Return s since midnight; 0 for a bare date, NaN for no time of day."""
    hours = groups.get("hc") or groups.get("h")
    if hours is None:
        return 0.0
    minutes = int(groups.get("mc") or groups.get("mi") or 0)
    seconds = int(groups.get("sc") or groups.get("se") or 0)
    fraction = groups.get("fc") or groups.get("f") or groups.get("f2")
    hour = int(hours)
    half = groups.get("half")
    if half:
        if not 1 <= hour <= 12:
            return float("nan")
        hour = hour % 12 + (12 if half in "pP" else 0)
    if minutes > 59 or seconds > 60:
        return float("nan")
    total = float(hour * 3600 + minutes * 60 + seconds)
    if fraction and groups.get("f2"):
        # "12:30.5": minutes, seconds and a fraction, scaled with the rest by whoever knows it is short.
        total += 60 * float("0." + fraction[1:])
    elif fraction:
        total += float("0." + fraction[1:])
    return -total if groups.get("sign") else total


def _text_date(groups: dict[str, str | None]) -> TextDate | None:
    year = groups["y"] or groups["y8"]
    if year:
        month, day = groups["m"] or groups["m8"], groups["d"] or groups["d8"]
        return TextDate(int(year), int(month or 0), int(day or 0), is_certain=True)
    if groups["a"]:
        two = int(groups["yy"] or 0)
        full = two if two > 99 else 2000 + two
        first, second = int(groups["a"]), int(groups["b"] or 0)
        if groups["s"] == ".":
            return TextDate(full, second, first, is_certain=True)
        return TextDate(full, first, second, is_certain=False)
    name = (groups["nm"] or groups["mm"] or "").casefold()
    month_number = next((_MONTHS[name[:n]] for n in (6, 5, 4, 3) if name[:n] in _MONTHS), None)
    if month_number is None:
        return None
    day_text, year_text = groups["nd"] or groups["md"], groups["ny"] or groups["my"]
    return TextDate(int(year_text or 0), month_number, int(day_text or 0), is_certain=True)


def _offset(groups: dict[str, str | None]) -> float:
    digits = groups.get("o")
    if digits:
        bare = digits[1:].replace(":", "")
        seconds = int(bare[:2]) * 3600 + int(bare[2:] or 0) * 60
        return float(-seconds if digits[0] == "-" else seconds)
    return 0.0 if groups.get("z") else float("nan")


def possible_orders(dates: Collection[TextDate]) -> frozenset[DateOrder]:
    """Say which orders of day and month make sense of all dates.

    A session lasts a day or two: an order that spreads the dates over more is ruled out if the other does not.

    Parameters
    ----------
    dates
        The distinct dates of one session.

    Returns
    -------
    frozenset
        One order if only one makes sense or both say the same; both if that is open; none if neither does.
    """
    days = {order: [date.day_number(order) for date in dates] for order in DateOrder}
    makes_sense = {order: d for order, d in days.items() if d and not any(np.isnan(d))}
    if len(makes_sense) == 2 and days[DateOrder.DAY_FIRST] == days[DateOrder.MONTH_FIRST]:
        return frozenset({DateOrder.DAY_FIRST})
    brief = {order for order, d in makes_sense.items() if max(d) - min(d) <= 2}
    return frozenset(brief or makes_sense)
