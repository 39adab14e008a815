"""A store comes up to date step by step, and never stops between two versions."""

import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import Connection, MetaData, inspect, text

from rideready.errors import StoreProblem
from rideready.store import schema
from rideready.store.connect import open_store
from rideready.store.migrations import MIGRATIONS, Migration, migrate
from rideready.store.settings import get_setting, set_setting


def add_a_table(connection: Connection) -> None:
    connection.exec_driver_sql("CREATE TABLE second (x INTEGER)")


def fail_after_a_table(connection: Connection) -> None:
    connection.exec_driver_sql("CREATE TABLE half_done (x INTEGER)")
    connection.exec_driver_sql("UPDATE setting SET value = 'blue'")
    raise ZeroDivisionError


def tables(place: Path | str) -> list[str]:
    store = open_store(place, migrations=MIGRATIONS)
    with store.reading() as connection:
        return sorted(inspect(connection).get_table_names())


def test_the_steps_lead_to_the_tables_that_queries_are_written_for(place: Path | str) -> None:
    found = MetaData()
    with open_store(place).reading() as connection:
        found.reflect(connection)
        shape = {
            table.name: [(column.name, column.primary_key) for column in table.columns]
            for table in found.tables.values()
            if not table.name.startswith("sqlite_")
        }
        must_be_given = {
            (table.name, column.name)
            for table in found.tables.values()
            for column in table.columns
            if not column.nullable and not column.primary_key
        }
        owners = {
            (table.name, key.target_fullname) for table in found.tables.values() for key in table.foreign_keys
        }
    assert shape == {
        table.name: [(column.name, column.primary_key) for column in table.columns]
        for table in schema.metadata.tables.values()
    }
    assert owners == {
        (table.name, key.target_fullname)
        for table in schema.metadata.tables.values()
        for key in table.foreign_keys
    }
    assert must_be_given == {
        (table.name, column.name)
        for table in schema.metadata.tables.values()
        for column in table.columns
        if not column.nullable and not column.primary_key
    }


def test_every_step_is_written_down_with_its_name(place: Path | str) -> None:
    with open_store(place).reading() as connection:
        steps = connection.execute(text("SELECT version, name FROM schema_version ORDER BY version")).all()
    assert [tuple(step) for step in steps] == [
        (number, migration.name) for number, migration in enumerate(MIGRATIONS, start=1)
    ]


def test_an_older_store_gets_the_steps_it_lacks_and_keeps_its_data(place: Path | str) -> None:
    old = open_store(place)
    with old.writing() as connection:
        set_setting(connection, "colour", "grey")
    old.close()
    new = open_store(place, migrations=(*MIGRATIONS, Migration("a second table", add_a_table)))
    with new.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM second")).scalar() == 0
        assert get_setting(connection, "colour") == "grey"
        steps = connection.execute(text("SELECT version, name FROM schema_version ORDER BY version")).all()
    assert tuple(steps[-1]) == (len(MIGRATIONS) + 1, "a second table")


def test_a_step_that_fails_leaves_nothing_of_itself_behind(place: Path | str) -> None:
    old = open_store(place)
    with old.writing() as connection:
        set_setting(connection, "colour", "grey")
    old.close()
    before = tables(place)
    steps = (*MIGRATIONS, Migration("good", add_a_table), Migration("bad", fail_after_a_table))
    with pytest.raises(ZeroDivisionError):
        open_store(place, migrations=steps)
    assert tables(place) == before  # opened at the old version, so nothing was written down either
    with open_store(place).reading() as connection:
        assert get_setting(connection, "colour") == "grey"


def test_migrating_twice_does_nothing_the_second_time(place: Path | str) -> None:
    store = open_store(place)
    with store.writing() as connection:
        migrate(connection, MIGRATIONS)
        assert connection.execute(text("SELECT count(*) FROM schema_version")).scalar() == len(MIGRATIONS)


def test_a_store_from_a_newer_version_is_refused_in_one_sentence_and_left_alone(tmp_path: Path) -> None:
    newer = open_store(
        tmp_path / "store.sqlite", migrations=(*MIGRATIONS, Migration("a second table", add_a_table))
    )
    newer.close()
    content = newer.path.read_bytes()
    with pytest.raises(StoreProblem) as problem:
        open_store(newer.path)
    known = len(MIGRATIONS)
    assert str(problem.value) == (
        f"{newer.path}: it was written by a newer rideready (schema {known + 1}; this one knows up to {known}). "
        "Update rideready to open it."
    )
    assert newer.path.read_bytes() == content


OPEN_AT_ONCE = """
import sys, time
from rideready.store.connect import open_store
print("ready", flush=True)
sys.stdin.readline()
open_store(sys.argv[1])
"""


def test_processes_that_make_the_same_store_at_once_all_open_it(place: Path | str) -> None:
    crowd = [
        subprocess.Popen(
            [sys.executable, "-c", OPEN_AT_ONCE, str(place)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(4)
    ]
    for process in crowd:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
    for process in crowd:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [process.communicate(timeout=60) for process in crowd]
    assert [process.returncode for process in crowd] == [0, 0, 0, 0], said
    with open_store(place).reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM schema_version")).scalar() == len(MIGRATIONS)
