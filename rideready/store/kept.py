"""What the store really holds, column by column, to be held against what it should."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select

from rideready.store import schema


@dataclass(frozen=True, slots=True)
class KeptSession:
    """A session as its rows are, deleted or not.

    Parameters
    ----------
    session_id, rider_id
        Its number and whose it is.
    columns
        Its summary, by column.
    recoveries
        Its recoveries, by column, in order of time.
    """

    session_id: int
    rider_id: int
    columns: Mapping[str, Any]
    recoveries: tuple[Mapping[str, Any], ...]


def kept_session(connection: Connection, session_id: int) -> KeptSession:
    """Read the rows of a session as they are."""
    table, recovery = schema.session, schema.recovery
    columns = dict(connection.execute(select(table).where(table.c.id == session_id)).mappings().one())
    query = select(recovery).where(recovery.c.session_id == session_id).order_by(recovery.c.position)
    rows = tuple(dict(row) for row in connection.execute(query).mappings())
    return KeptSession(session_id, columns["rider_id"], columns, rows)


def all_session_ids(connection: Connection) -> list[int]:
    """Numbers of all sessions of all riders, the deleted ones included."""
    return list(connection.execute(select(schema.session.c.id).order_by(schema.session.c.id)).scalars())


def orphans(connection: Connection) -> list[tuple[str, str]]:
    """List each row that belongs to one that is not there: the table it is in, and that of the missing one."""
    found: list[tuple[str, str]] = []
    for table in schema.metadata.sorted_tables:
        for key in table.foreign_keys:
            owner = key.column.table
            query = (
                select(func.count())
                .select_from(table.outerjoin(owner, key.column == key.parent))
                .where(key.parent.is_not(None), key.column.is_(None))
            )
            found += [(table.name, owner.name)] * connection.execute(query).scalar_one()
    return found
