"""Every row of every table, out of a store and into one."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from sqlalchemy import Connection, MetaData, Table, delete, insert, inspect, select

from rideready.store import schema
from rideready.store.dialect import last_numbers, set_last_number

#: Not carried over: how a store came about is its own history.
_OWN: Final = frozenset({"schema_version"})
SAMPLES: Final = "samples"


def table_names() -> list[str]:
    """Names of the tables that are carried over, owners before what belongs to them; samples apart."""
    names = [table.name for table in schema.metadata.sorted_tables]
    return [name for name in names if name not in _OWN and name != SAMPLES]


def rows_of(connection: Connection, name: str) -> Iterator[dict[str, Any]]:
    """Yield the rows of a table by column, in the order of its key."""
    table = schema.metadata.tables[name]
    for row in connection.execute(select(table).order_by(*table.primary_key)).mappings():
        yield dict(row)


def blobs_of(connection: Connection) -> Iterator[tuple[int, bytes]]:
    """Yield each session's number and its samples, packed; one at a time."""
    samples = schema.samples.c
    for number in connection.execute(select(samples.session_id).order_by(samples.session_id)).scalars().all():
        yield (
            number,
            connection.execute(select(samples.data).where(samples.session_id == number)).scalar_one(),
        )


class Loader:
    """Writes rows into a store of any version, within one transaction of the caller's.

    Parameters
    ----------
    connection
        Inside a writing transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._tables = MetaData()
        self._tables.reflect(connection)

    def load(self, name: str, rows: Iterable[Mapping[str, Any]]) -> int:
        """Insert rows and return their number; raises `ValueError` on a table or column that is not there."""
        table = self._table(name)
        known = set(table.columns.keys())
        values = [dict(row) for row in rows]
        for row in values:
            if not set(row) <= known:
                raise ValueError(f"table {name} has no column {min(set(row) - known)!r}")
        if values:
            self._connection.execute(insert(table), values)
        if given := [row["id"] for row in values if "id" in row]:
            set_last_number(self._connection, name, max(given))
        return len(values)

    def set_last_number(self, name: str, number: int) -> None:
        """Make sure that no number up to this one is given again."""
        self._table(name)
        set_last_number(self._connection, name, number)

    def _table(self, name: str) -> Table:
        if name in _OWN or name not in self._tables.tables or name.startswith("sqlite_"):
            raise ValueError(f"there is no table {name!r}")
        return self._tables.tables[name]


def pour(source: Connection, target: Connection) -> None:
    """Put everything one store holds in the place of everything in another of the same version.

    Parameters
    ----------
    source, target
        Inside a transaction each; the target's is a writing one.
    """
    for table in reversed(schema.metadata.sorted_tables):
        if table.name not in _OWN:
            target.execute(delete(table))
    loader = Loader(target)
    for name in table_names():
        loader.load(name, rows_of(source, name))
    for number, data in blobs_of(source):
        loader.load(SAMPLES, [{"session_id": number, "data": data}])
    for name, number in last_numbers(source).items():
        loader.set_last_number(name, number)


def is_empty(connection: Connection) -> bool:
    """Tell whether nobody has put anything into a store: at most a rider without a name."""
    for name in inspect(connection).get_table_names():
        if name in _OWN or name.startswith("sqlite_"):
            continue
        table = schema.metadata.tables[name]
        query = (
            select(table).limit(1) if name != "rider" else select(table).where(table.c.name != "").limit(1)
        )
        if connection.execute(query).first() is not None:
            return False
    return True


def same_contents(one: Connection, other: Connection) -> bool:
    """Tell whether two stores hold the same rows and samples."""
    return all([*rows_of(one, name)] == [*rows_of(other, name)] for name in table_names()) and all(
        pair == counterpart for pair, counterpart in _in_step(blobs_of(one), blobs_of(other))
    )


def _in_step(one: Iterator[Any], other: Iterator[Any]) -> Iterator[tuple[Any, Any]]:
    from itertools import zip_longest

    return zip_longest(one, other)
