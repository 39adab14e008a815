"""Where a time axis in days gets its marks, and what they say."""

import datetime as dt
from dataclasses import dataclass

from dashboards.formats import MONTHS

_EPOCH = dt.date(1970, 1, 1)


@dataclass(frozen=True, slots=True)
class DayMarks:
    """Marks of an axis in days since 1970-01-01, and finer ones without a label."""

    at: tuple[float, ...]
    labels: tuple[str, ...]
    minor_at: tuple[float, ...]


def mark_days(first: float, last: float) -> DayMarks:
    """Choose marks for a span: weeks under eight weeks, months under two years, else years.

    Parameters
    ----------
    first, last
        Ends of the axis, days since 1970-01-01 on the clock on the wall.
    """
    begin, end = _EPOCH + dt.timedelta(days=int(first)), _EPOCH + dt.timedelta(days=int(last) + 1)
    span = (end - begin).days
    mondays = _mondays(begin, end)
    months = _month_starts(begin, end)
    if span < 21:
        step = 1 if span < 7 else 3
        days = tuple(begin + dt.timedelta(days=n) for n in range(0, span + 1, step))
        return _marks(days, ())
    if span < 56:
        return _marks(mondays[:: 1 if span < 35 else 2], mondays)
    if span < 730:
        return _marks(months[:: max(1, len(months) // 6)], mondays if span < 200 else months)
    years = tuple(day for day in months if day.month == 1)
    return _marks(years, months if span < 5 * 365 else ())


def _marks(days: tuple[dt.date, ...], minor: tuple[dt.date, ...]) -> DayMarks:
    starts_month = bool(days) and all(day.day == 1 for day in days)
    labels = tuple(
        _label(day, with_year=place == 0 or day.year != days[place - 1].year, starts_month=starts_month)
        for place, day in enumerate(days)
    )
    return DayMarks(tuple(map(_number, days)), labels, tuple(map(_number, minor)))


def _label(day: dt.date, *, with_year: bool, starts_month: bool) -> str:
    name = MONTHS[day.month - 1] if starts_month else f"{day.day} {MONTHS[day.month - 1]}"
    return f"{name}<br>{day.year}" if with_year else name


def _number(day: dt.date) -> float:
    return float((day - _EPOCH).days)


def _mondays(begin: dt.date, end: dt.date) -> tuple[dt.date, ...]:
    first = begin + dt.timedelta(days=-begin.weekday() % 7)
    return tuple(first + dt.timedelta(weeks=n) for n in range(max(0, (end - first).days // 7 + 1)))


def _month_starts(begin: dt.date, end: dt.date) -> tuple[dt.date, ...]:
    years = range(begin.year, end.year + 1)
    starts = (dt.date(year, month, 1) for year in years for month in range(1, 13))
    return tuple(day for day in starts if begin <= day <= end)
