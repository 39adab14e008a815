"""What the rider writes down day by day: resting pulse, and sessions without a recording."""

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection, delete, insert, select, update

from rideready.store import schema
from rideready.store.days import within_days


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One line of the diary.

    Parameters
    ----------
    day
        Local day.
    kind
        What was done or felt: ``strength``, ``stretching``, ``illness`` and so on.
    minutes
        How long; None where that has no meaning.
    rpe
        Session RPE, 0 to 10; None if not given.
    tags
        Words such as ``sore shoulder``.
    notes
        The rider's own words; may be empty.
    number
        Where it stands in the store; 0 until it does. Lines are equal whatever their numbers.
    """

    day: dt.date
    kind: str
    minutes: float | None = None
    rpe: float | None = None
    tags: tuple[str, ...] = ()
    notes: str = ""
    number: int = field(default=0, compare=False)


def set_resting_pulse(connection: Connection, rider_id: int, day: dt.date, bpm: float) -> None:
    """Write down a day's resting pulse, bpm, in the place of one already there."""
    pulse = schema.resting_pulse
    connection.execute(delete(pulse).where(pulse.c.rider_id == rider_id, pulse.c.day == day.isoformat()))
    connection.execute(insert(pulse).values(rider_id=rider_id, day=day.isoformat(), bpm=bpm))


def resting_pulses(
    connection: Connection, rider_id: int, *, since: dt.date | None = None, until: dt.date | None = None
) -> dict[dt.date, float]:
    """Resting pulses by day, bpm, oldest first."""
    pulse = schema.resting_pulse.c
    query = (
        select(pulse.day, pulse.bpm)
        .where(pulse.rider_id == rider_id, *within_days(pulse.day, since, until))
        .order_by(pulse.day)
    )
    return {dt.date.fromisoformat(day): bpm for day, bpm in connection.execute(query)}


def add_log_entry(connection: Connection, rider_id: int, entry: LogEntry) -> int:
    """Write a line into the diary and return its number."""
    values = {
        "rider_id": rider_id,
        "day": entry.day.isoformat(),
        "kind": entry.kind,
        "minutes": entry.minutes,
        "rpe": entry.rpe,
        "tags": json.dumps(entry.tags, ensure_ascii=False),
        "notes": entry.notes,
    }
    added = connection.execute(insert(schema.log_entry).values(values).returning(schema.log_entry.c.id))
    return int(added.scalar_one())


def log_entries(
    connection: Connection, rider_id: int, *, since: dt.date | None = None, until: dt.date | None = None
) -> list[LogEntry]:
    """Lines of the diary, oldest first."""
    entry = schema.log_entry.c
    query = (
        select(schema.log_entry)
        .where(entry.rider_id == rider_id, *within_days(entry.day, since, until))
        .order_by(entry.day, entry.id)
    )
    return [
        LogEntry(
            day=dt.date.fromisoformat(row.day),
            kind=row.kind,
            minutes=row.minutes,
            rpe=row.rpe,
            tags=tuple(json.loads(row.tags)),
            notes=row.notes,
            number=row.id,
        )
        for row in connection.execute(query)
    ]


def change_log_entry(
    connection: Connection, rider_id: int, number: int, *, tags: Sequence[str], rpe: float | None
) -> bool:
    """Change tags and rating of a line of the diary; return whether it was there."""
    entry = schema.log_entry
    values = {"tags": json.dumps(list(tags), ensure_ascii=False), "rpe": rpe}
    changed = update(entry).where(entry.c.rider_id == rider_id, entry.c.id == number).values(values)
    return connection.execute(changed).rowcount > 0
