"""A store of any earlier version, with data in every table it had, comes up to date and keeps all of it."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Float, Integer, LargeBinary, MetaData, Table, select, text

from rideready.store import schema
from rideready.store.backups import backups_of, what_is_wrong
from rideready.store.connect import Store, open_store
from rideready.store.kept import orphans
from rideready.store.migrations import MIGRATIONS
from rideready.store.recoveries import recovery_rows
from rideready.store.sessions import add_session, load_session, session_rows
from tests.support.postgresql import Server
from tests.support.stores import a_recovery, a_session, an_analysis

Rows = dict[str, list[dict[str, Any]]]


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Rows:
    """Make rows for every table there is: real ones for sessions, made-up ones elsewhere."""
    store = open_store(tmp_path_factory.mktemp("full") / "store.sqlite")
    with store.writing() as connection:
        connection.execute(text("INSERT INTO rider (id, name) VALUES (1, 'Runa')"))
        analysis = an_analysis(a_recovery(), a_recovery(order=2, end_of_effort_s=500.0))
        add_session(connection, 1, a_session(), fingerprint="2026-09-01", analysis=analysis)
        for table in schema.metadata.sorted_tables:
            if connection.execute(select(table).limit(1)).first() is None:
                connection.execute(table.insert().values(made_up(table)))
    return contents(store)


def made_up(table: Table) -> dict[str, Any]:
    return {column.name: 1 if column.foreign_keys else value_of(column.type) for column in table.columns}


def value_of(kind: object) -> Any:
    if isinstance(kind, Integer):
        return 1
    if isinstance(kind, Float):
        return 1.5
    return b"x" if isinstance(kind, LargeBinary) else "words"


def contents(store: Store) -> Rows:
    found = MetaData()
    with store.reading() as connection:
        found.reflect(connection)
        return {
            table.name: [dict(row) for row in connection.execute(select(table)).mappings()]
            for table in found.sorted_tables
            if not table.name.startswith("sqlite_") and table.name != "schema_version"
        }


def store_of_version(place: Path | str, version: int, rows: Mapping[str, list[dict[str, Any]]]) -> Rows:
    """Make a store of an earlier version with as much of these rows as it had room for, and return it."""
    store = open_store(place, migrations=MIGRATIONS[:version])
    tables = MetaData()
    with store.writing() as connection:
        tables.reflect(connection)
        for table in tables.sorted_tables:
            for row in rows.get(table.name, []):
                fitting = {name: value for name, value in row.items() if name in table.columns}
                connection.execute(table.insert().values(fitting))
    kept = contents(store)
    store.close()
    return kept


@pytest.mark.parametrize("version", range(1, len(MIGRATIONS)))
def test_nothing_of_an_earlier_store_is_lost(version: int, full: Rows, place: Path | str) -> None:
    before = store_of_version(place, version, full)
    assert all(before.values())  # every table had something in it
    store = open_store(place)
    after = contents(store)
    for name, rows in before.items():
        assert len(after[name]) == len(rows)
        for row, old in zip(after[name], rows, strict=True):
            assert {column: row[column] for column in old} == old
    assert not isinstance(place, Path) or what_is_wrong(place) is None
    with store.reading() as connection:
        assert orphans(connection) == []
        (listed,) = session_rows(connection, 1)
        assert load_session(connection, listed.session_id).t_s.size == listed.n_samples == 600
        assert [found.recovery.hrr60_bpm for found in recovery_rows(connection, 1)] == [31.0, 31.0]


@pytest.mark.parametrize("version", range(1, len(MIGRATIONS)))
def test_what_was_before_is_kept_as_a_backup(version: int, full: Rows, tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    before = store_of_version(path, version, full)
    open_store(path).close()
    (backup,) = backups_of(path)
    assert contents(open_store(backup.path, migrations=MIGRATIONS[:version])) == before


@pytest.mark.parametrize("version", range(1, len(MIGRATIONS)))
def test_what_was_before_is_kept_on_a_server_too(
    version: int, full: Rows, server: Server, on_server: str
) -> None:
    before = store_of_version(on_server, version, full)
    store = open_store(on_server)
    with store.reading() as connection:
        there = connection.execute(text("SELECT current_schema()")).scalar_one()
    store.close()
    assert kept_rows(server, f"{there}_before_step_{version}", version) == before


def kept_rows(server: Server, schema: str, version: int) -> Rows:
    """Read the copies of tables as a store of their version."""
    store = open_store(server.address(schema=schema), migrations=MIGRATIONS[:version])
    rows = contents(store)
    store.close()
    return rows
