"""What was written down by hand on one day, line by line, and how a line is taken back."""

import datetime as dt
import json
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, Select, Table, delete, select

from rideready.store import schema


class Book(StrEnum):
    """Where a line stands."""

    DIARY = "diary"
    CIRCUITS = "circuits"
    RESTING = "resting pulse"


@dataclass(frozen=True, slots=True)
class DayLine:
    """One line written down on a day.

    Parameters
    ----------
    book, number
        Where it stands; the number of a resting pulse is 0, there is one a day.
    kind
        A word of the diary, ``circuit`` or ``resting pulse``.
    minutes, rpe, bpm
        How long, how hard from 0 to 10, the resting pulse; None where it has no meaning or was not said.
    tags
        What it is about.
    """

    book: Book
    number: int
    kind: str
    minutes: float | None = None
    rpe: float | None = None
    bpm: float | None = None
    tags: tuple[str, ...] = ()


def day_lines(connection: Connection, rider_id: int, day: dt.date) -> list[DayLine]:
    """Return the lines of a day: the diary's and the circuits' in the order written, then the pulse."""
    diary, circuits, pulses = schema.log_entry, schema.circuit, schema.resting_pulse
    of_diary = connection.execute(_of_day(diary, rider_id, day).order_by(diary.c.id))
    of_circuits = connection.execute(_of_day(circuits, rider_id, day).order_by(circuits.c.id))
    return [
        *(
            DayLine(Book.DIARY, row.id, row.kind, row.minutes, row.rpe, tags=tuple(json.loads(row.tags)))
            for row in of_diary
        ),
        *(
            DayLine(Book.CIRCUITS, row.id, "circuit", rpe=json.loads(row.document)["rpe"])
            for row in of_circuits
        ),
        *(
            DayLine(Book.RESTING, 0, Book.RESTING.value, bpm=row.bpm)
            for row in connection.execute(_of_day(pulses, rider_id, day))
        ),
    ]


def remove_line(connection: Connection, rider_id: int, day: dt.date, *, book: Book, number: int) -> bool:
    """Take a line of a day back; return whether it was there."""
    tables = {Book.DIARY: schema.log_entry, Book.CIRCUITS: schema.circuit, Book.RESTING: schema.resting_pulse}
    table = tables[book]
    named = [] if book is Book.RESTING else [table.c.id == number]
    taken = delete(table).where(table.c.rider_id == rider_id, table.c.day == day.isoformat(), *named)
    return connection.execute(taken).rowcount > 0


def _of_day(table: Table, rider_id: int, day: dt.date) -> Select[Any]:
    return select(table).where(table.c.rider_id == rider_id, table.c.day == day.isoformat())
