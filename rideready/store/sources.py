"""Which files were read before, what came of them, and how columns of a shape were read."""

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Row, delete, insert, select

from rideready.store import schema
from rideready.store.days import moment, moment_text


@dataclass(frozen=True, slots=True)
class SourceFile:
    """A file that was read, known again by its content.

    Parameters
    ----------
    sha256
        Digest of its bytes, in hex.
    path
        Where it lay when it was read.
    size
        Bytes.
    modified_utc
        When it was last changed, by the file system.
    reader_version
        Version of the readers that read it.
    session_ids
        Sessions it gave, new ones and ones that were there already.
    unreadable_because
        Why it gave none; None if it did.
    """

    sha256: str
    path: str
    size: int
    modified_utc: dt.datetime
    reader_version: int
    session_ids: tuple[int, ...] = ()
    unreadable_because: str | None = None


def find_source(connection: Connection, rider_id: int, sha256: str) -> SourceFile | None:
    """Return what is known about a file with this content; None if it was never read."""
    source, link = schema.source_file.c, schema.source_session.c
    query = select(schema.source_file).where(source.rider_id == rider_id, source.sha256 == sha256)
    row = connection.execute(query).one_or_none()
    if row is None:
        return None
    links = select(link.session_id).where(link.source_id == row.id).order_by(link.session_id)
    return _source(row, connection.execute(links).scalars())


def known_sources(connection: Connection, rider_id: int) -> dict[str, SourceFile]:
    """Return every file that was read for a rider, by its digest: two questions for a whole archive."""
    source, link = schema.source_file.c, schema.source_session.c
    query = (
        select(link.source_id, link.session_id)
        .join(schema.source_file, source.id == link.source_id)
        .where(source.rider_id == rider_id)
        .order_by(link.session_id)
    )
    sessions: dict[int, list[int]] = {}
    for source_id, session_id in connection.execute(query):
        sessions.setdefault(source_id, []).append(session_id)
    rows = connection.execute(select(schema.source_file).where(source.rider_id == rider_id))
    return {row.sha256: _source(row, sessions.get(row.id, ())) for row in rows}


def _source(row: Row[Any], session_ids: Iterable[int]) -> SourceFile:
    return SourceFile(
        sha256=row.sha256,
        path=row.path,
        size=row.size,
        modified_utc=moment(row.modified_utc) or dt.datetime.min.replace(tzinfo=dt.UTC),
        reader_version=row.reader_version,
        session_ids=tuple(session_ids),
        unreadable_because=row.unreadable_because,
    )


def sessions_from(connection: Connection, rider_id: int, path: Path) -> tuple[int, ...]:
    """Return the numbers of the sessions that came from a file or from what lay inside it, by its place."""
    source, link = schema.source_file.c, schema.source_session.c
    query = (
        select(link.session_id)
        .join(schema.source_file, source.id == link.source_id)
        .where(source.rider_id == rider_id, source.path.startswith(str(path), autoescape=True))
        .order_by(link.session_id)
        .distinct()
    )
    return tuple(connection.execute(query).scalars())


def remember_source(connection: Connection, rider_id: int, found: SourceFile) -> None:
    """Write down what came of a file, in the place of what came of it before."""
    source = schema.source_file
    connection.execute(delete(source).where(source.c.rider_id == rider_id, source.c.sha256 == found.sha256))
    added = connection.execute(
        insert(source)
        .values(
            rider_id=rider_id,
            sha256=found.sha256,
            path=found.path,
            size=found.size,
            modified_utc=moment_text(found.modified_utc),
            reader_version=found.reader_version,
            unreadable_because=found.unreadable_because,
        )
        .returning(source.c.id)
    )
    source_id = added.scalar_one()
    links = [{"source_id": source_id, "session_id": session_id} for session_id in found.session_ids]
    if links:
        connection.execute(insert(schema.source_session), links)


def all_mappings(connection: Connection) -> dict[str, dict[str, Any]]:
    """Return how files of each shape were read, by shape."""
    query = select(schema.column_mapping.c.shape, schema.column_mapping.c.mapping)
    return {row.shape: dict(json.loads(row.mapping)) for row in connection.execute(query)}


def remember_mapping(connection: Connection, shape: str, mapping: Mapping[str, Any]) -> None:
    """Keep how files of a shape are to be read."""
    table = schema.column_mapping
    connection.execute(delete(table).where(table.c.shape == shape))
    connection.execute(insert(table).values(shape=shape, mapping=json.dumps(dict(mapping), sort_keys=True)))


def unreadable_sources(connection: Connection, rider_id: int) -> Sequence[SourceFile]:
    """List the files that gave no session, in the order they were read."""
    source = schema.source_file.c
    query = (
        select(source.sha256)
        .where(source.rider_id == rider_id, source.unreadable_because.is_not(None))
        .order_by(source.id)
    )
    digests = connection.execute(query).scalars().all()
    return [found for digest in digests if (found := find_source(connection, rider_id, digest)) is not None]
