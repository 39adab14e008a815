"""Weeks from Monday to Sunday, and dates in words."""

import datetime as dt

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def monday_of(day: dt.date) -> dt.date:
    """Return the Monday of a day's week."""
    return day - dt.timedelta(days=day.weekday())


def weeks_between(first: dt.date, last: dt.date) -> int:
    """Count the whole weeks from one Monday to another; negative if the second lies before."""
    return (last - first).days // 7


def in_words(day: dt.date) -> str:
    """Write a date as in "Sat 5 Dec 2026"; independent of the machine's language."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"


def weekday_in_words(day: dt.date) -> str:
    """Write a day of this week as in "Sat 5"."""
    return f"{_DAYS[day.weekday()]} {day.day}"
