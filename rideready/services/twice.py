"""What was both written down and recorded: see it, and have both counted after all."""

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from rideready.errors import NotInStore
from rideready.model.reason import Reason, because
from rideready.services.context import Context
from rideready.services.done import DIARY_KINDS, local_day, pairs_among, rpe_of
from rideready.services.pairing import APART
from rideready.store.circuits import circuits_done
from rideready.store.diary import LogEntry, change_log_entry, log_entries
from rideready.store.sessions import session_rows
from rideready.store.values import SessionRow


@dataclass(frozen=True, slots=True)
class Twice:
    """A session that is there twice.

    Parameters
    ----------
    line
        As it was written down.
    session_id
        Its recording.
    is_apart
        Whether the rider wants both counted; else the recording counts in the line's place.
    """

    line: LogEntry
    session_id: int
    is_apart: bool

    @property
    def why(self) -> Reason:
        """Say what counts."""
        line = self.line
        parts = [
            DIARY_KINDS[line.kind].label,
            f"{line.minutes:.0f} min" if line.minutes else "",
            f"RPE {line.rpe:g}" if line.rpe is not None else "",
        ]
        told = ", ".join(part for part in parts if part)
        return because("season.twice_both" if self.is_apart else "season.twice_once", line=told)


def twice_on(ctx: Context, day: dt.date) -> tuple[Twice, ...]:
    """Return what was both written down and recorded on a day, as the diary has it."""
    with ctx.store.reading() as connection:
        entries = log_entries(connection, ctx.rider_id, since=day, until=day)
        if not entries:
            return ()
        rows = session_rows(connection, ctx.rider_id, since=day, until=day)
        pairs = _pairs(connection, ctx.rider_id, rows, entries)
        free = [row for row in rows if row.session_id not in pairs.values()]
        asked = [
            replace(entry, tags=_without(entry)) for entry in entries if APART in entry.tags
        ]  # what would pair if it were not kept apart
        apart = _pairs(connection, ctx.rider_id, free, asked)
    numbers = pairs | apart
    return tuple(
        Twice(entry, numbers[entry.number], entry.number in apart)
        for entry in entries
        if entry.number in numbers
    )


def line_of(ctx: Context, row: SessionRow) -> Twice | None:
    """Return the line of the diary that a recording is of; None if there is none."""
    day = local_day(row)
    found = () if day is None else twice_on(ctx, day)
    return next((one for one in found if one.session_id == row.session_id), None)


def with_line(row: SessionRow, found: Twice | None) -> SessionRow:
    """Return a recording's summary with rating and notes of its line where it has none of its own."""
    if found is None or found.is_apart:
        return row
    return replace(row, rpe=rpe_of(row, found.line), notes=row.notes or found.line.notes)


def count_both(ctx: Context, number: int) -> None:
    """Count a line of the diary beside its recording; raises `NotInStore` if there is no such line."""
    line = _line(ctx, number)
    _write(ctx, replace(line, tags=(*_without(line), APART)))


def count_once(ctx: Context, number: int) -> None:
    """Let the recording count in the place of a line again; raises `NotInStore` as `count_both`."""
    line = _line(ctx, number)
    _write(ctx, replace(line, tags=_without(line)))


def forget_rating(ctx: Context, number: int) -> None:
    """Take the rating of a line of the diary back; raises `NotInStore` as `count_both`."""
    _write(ctx, replace(_line(ctx, number), rpe=None))


def _without(line: LogEntry) -> tuple[str, ...]:
    return tuple(tag for tag in line.tags if tag != APART)


def _line(ctx: Context, number: int) -> LogEntry:
    with ctx.store.reading() as connection:
        entries = log_entries(connection, ctx.rider_id)
    for entry in entries:
        if entry.number == number:
            return entry
    raise NotInStore("this line is not there any more", what_to_do="Reload the page")


def _write(ctx: Context, line: LogEntry) -> None:
    with ctx.store.writing() as connection:
        change_log_entry(connection, ctx.rider_id, line.number, tags=line.tags, rpe=line.rpe)


def _pairs(
    connection: Connection, rider_id: int, rows: list[SessionRow], entries: list[LogEntry]
) -> dict[int, int]:
    days = {log.date for log in circuits_done(connection, rider_id)} & {entry.day for entry in entries}
    return pairs_among(connection, rider_id, rows, entries, circuit_days=days)
