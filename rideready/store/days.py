"""Moments and days as the store keeps them: text that sorts by time."""

import datetime as dt

from sqlalchemy import ColumnElement
from sqlalchemy.sql.elements import KeyedColumnElement


def moment_text(moment_utc: dt.datetime | None) -> str | None:
    """Write a moment, always to the microsecond, so that all texts have one length."""
    return None if moment_utc is None else moment_utc.astimezone(dt.UTC).isoformat(timespec="microseconds")


def moment(text: str | None) -> dt.datetime | None:
    """Read a moment back, aware and in UTC."""
    return None if text is None else dt.datetime.fromisoformat(text)


def within_days(
    column: KeyedColumnElement[str], since: dt.date | None, until: dt.date | None
) -> list[ColumnElement[bool]]:
    """Make the conditions for a local day between two days, both included; None leaves a side open.

    A session without a clock has no day, and lies within no bound.
    """
    conditions: list[ColumnElement[bool]] = []
    if since is not None:
        conditions.append(column >= since.isoformat())
    if until is not None:
        conditions.append(column <= until.isoformat())
    return conditions
