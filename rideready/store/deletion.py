"""Sessions the rider deleted: out of sight at once, gone only when asked for."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, delete, select, update

from rideready.errors import NotInStore
from rideready.model.session import Kind
from rideready.store import schema
from rideready.store.days import moment, moment_text


@dataclass(frozen=True, slots=True)
class DeletedSession:
    """A session that was deleted and can be brought back.

    Parameters
    ----------
    session_id
        Its number, which it keeps.
    start_utc
        Time of the first sample; None if the file had no clock.
    zone
        As in `SessionRow`.
    kind
        What was done.
    duration_s
        From first to last sample, s.
    deleted_utc
        When it was deleted.
    """

    session_id: int
    start_utc: dt.datetime | None
    zone: str | None
    kind: Kind
    duration_s: float
    deleted_utc: dt.datetime


def mark_deleted(connection: Connection, rider_id: int, session_id: int, when_utc: dt.datetime) -> None:
    """Take a session out of every list; raises `NotInStore` if the rider has none of this number."""
    _mark(connection, rider_id, session_id, when_utc)


def mark_restored(connection: Connection, rider_id: int, session_id: int) -> None:
    """Bring a deleted session back; raises `NotInStore` if it is not there or was deleted for good."""
    _mark(connection, rider_id, session_id, None)


def erase(connection: Connection, rider_id: int, session_id: int) -> None:
    """Delete a session, deleted before or not, with samples and recoveries, for good.

    The file it came from is forgotten with its last session, so that a later import reads it anew.
    """
    link, source, session = schema.source_session, schema.source_file, schema.session
    files = select(link.c.source_id).where(link.c.session_id == session_id)
    source_ids = connection.execute(files).scalars().all()
    # The rows that belong to it go with it: every reference says so.
    gone = connection.execute(
        delete(session).where(session.c.rider_id == rider_id, session.c.id == session_id)
    )
    if not gone.rowcount:
        raise _absent(session_id)
    still_named = select(link.c.source_id)
    connection.execute(delete(source).where(source.c.id.in_(source_ids), source.c.id.not_in(still_named)))


def deleted_sessions(connection: Connection, rider_id: int) -> list[DeletedSession]:
    """List the sessions that can be brought back, the one deleted last first."""
    session = schema.session.c
    query = (
        select(schema.session)
        .where(session.rider_id == rider_id, session.deleted_utc.is_not(None))
        .order_by(session.deleted_utc.desc(), session.id.desc())
    )
    return [
        DeletedSession(
            session_id=row.id,
            start_utc=moment(row.start_utc),
            zone=row.zone,
            kind=Kind(row.kind),
            duration_s=row.duration_s,
            deleted_utc=moment(row.deleted_utc) or dt.datetime.min.replace(tzinfo=dt.UTC),
        )
        for row in connection.execute(query)
    ]


def _mark(connection: Connection, rider_id: int, session_id: int, when_utc: dt.datetime | None) -> None:
    session = schema.session.c
    is_to_change: ColumnElement[Any] = (
        session.deleted_utc.is_not(None) if when_utc is None else session.deleted_utc.is_(None)
    )
    changed = connection.execute(
        update(schema.session)
        .where(session.rider_id == rider_id, session.id == session_id, is_to_change)
        .values(deleted_utc=moment_text(when_utc))
    )
    if not changed.rowcount:
        raise (
            _absent(session_id)
            if when_utc
            else NotInStore(
                f"there is no deleted session {session_id}",
                what_to_do="List those that can be brought back with: rideready delete",
            )
        )


def _absent(session_id: int) -> NotInStore:
    return NotInStore(f"there is no session {session_id}", what_to_do="List them with: rideready sessions")
