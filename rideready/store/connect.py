"""Open a store, and read from it or write to it in real transactions.

SQLAlchemy's usual way with SQLite leaves the start of a transaction to Python's driver, and there
a CREATE TABLE survives a rollback. Here the driver is told to keep out (``isolation_level=None``)
and every transaction is begun by hand: BEGIN for reading, BEGIN IMMEDIATE for writing, so that a
writer waits for its turn at the start and never in the middle.
"""

import os
import sqlite3
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from platformdirs import user_data_path
from sqlalchemy import Connection, Engine, QueuePool, create_engine, event
from sqlalchemy.engine.interfaces import DBAPICursor
from sqlalchemy.exc import DBAPIError

from rideready.errors import StoreProblem
from rideready.store.backups import DamagedCopy, back_up_unasked, folder_of, last_good_backup
from rideready.store.migrations import MIGRATIONS, Migration, found_version, migrate, needs_migration

#: How long a reader or writer waits for another process, s.
PATIENCE_S = 5.0
FILE_NAME = "store.sqlite"


@dataclass(frozen=True, slots=True, eq=False)
class Store:
    """An open store.

    Parameters
    ----------
    path
        The file.
    engine
        Connections to it.
    """

    path: Path
    engine: Engine

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Yield a connection that sees one moment of the store, whatever others write meanwhile."""
        with translated(self.path), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Yield a connection whose changes are all kept at the end, or none of them on an error."""
        writer = self.engine.execution_options(begin_with="BEGIN IMMEDIATE")
        with translated(self.path), writer.begin() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()


def default_path() -> Path:
    """Where the store lies: ``RIDEREADY_STORE``, else the user's data folder."""
    named = os.environ.get("RIDEREADY_STORE")
    return Path(named) if named else user_data_path("rideready") / FILE_NAME


def place_of(path: Path | None) -> Path:
    """Say which file a name means: itself, ``store.sqlite`` in a folder, or `default_path` for None."""
    path = default_path() if path is None else path
    return path / FILE_NAME if path.is_dir() else path


def open_store(path: Path | None = None, *, migrations: Sequence[Migration] = MIGRATIONS) -> Store:
    """Open a store, making it if it is not there and bringing it up to date if it is old.

    Parameters
    ----------
    path
        The file, or an existing folder that holds or shall hold ``store.sqlite``; None takes
        `default_path`.
    migrations
        The steps to be applied; tests give others.

    Raises
    ------
    StoreProblem
        If the file is no store, from a newer rideready, locked, or cannot be opened or written.
    """
    path = place_of(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreProblem(
            f"its folder cannot be made ({error.strerror})", str(path), "Name another file with --store"
        ) from error
    store = Store(path, _engine(path))
    try:
        _bring_up_to_date(store, migrations)
    except BaseException:
        store.close()
        raise
    return store


def _bring_up_to_date(store: Store, migrations: Sequence[Migration]) -> None:
    """Check what the file is, and apply the steps it lacks."""
    try:
        with store.reading() as connection:
            is_behind = needs_migration(connection, migrations)
        if is_behind:
            _keep_a_write_ahead_log(store)
            _keep_what_was(store)
            with store.writing() as connection:
                migrate(connection, migrations)
    except StoreProblem as problem:
        if problem.where:
            raise
        raise StoreProblem(problem.what, str(store.path), problem.what_to_do) from problem


def _keep_what_was(store: Store) -> None:
    """Copy a store before steps are applied to it; a new one needs no copy."""
    with store.reading() as connection:
        found = found_version(connection)
    if found:
        keep_copy(store, f"schema-{found}")


def keep_copy(store: Store, why: str) -> Path:
    """Make a copy nobody asked for; raises `StoreProblem` if it cannot be made."""
    try:
        with translated(store.path):
            return back_up_unasked(store.path, why)
    except DamagedCopy as error:
        raise _damaged(store.path) from error
    except OSError as error:
        raise StoreProblem(
            f"no backup of it can be made ({error.strerror})",
            str(store.path),
            f"Make room and allow writing in {folder_of(store.path)}, then try again",
        ) from error


def _keep_a_write_ahead_log(store: Store) -> None:
    """Let readers go on reading while somebody writes; the setting stays in the file.

    SQLite answers "locked" at once, without waiting, when two processes ask for this together.
    """
    deadline = time.monotonic() + PATIENCE_S
    with translated(store.path):
        raw = store.engine.raw_connection()
        try:
            while not _keeps_a_log(raw.cursor()):
                if time.monotonic() > deadline:
                    raise StoreProblem(_SENTENCES["SQLITE_BUSY"][0], str(store.path))
                time.sleep(0.02)
        finally:
            raw.close()


def _keeps_a_log(cursor: DBAPICursor) -> bool:
    """Ask for a write-ahead log; False if somebody else is just asking too."""
    try:
        cursor.execute("PRAGMA journal_mode = WAL")
    except sqlite3.OperationalError as error:
        if _name_of(error) != "SQLITE_BUSY":
            raise
        return False
    return True


def _engine(path: Path) -> Engine:
    """Make an engine whose transactions begin when and how this file says."""
    engine = create_engine(
        "sqlite+pysqlite://", creator=lambda: sqlite3.connect(**_address(path)), poolclass=QueuePool
    )

    @event.listens_for(engine, "connect")
    def _set_up(raw: sqlite3.Connection, _record: object) -> None:
        raw.execute("PRAGMA foreign_keys = ON")
        # With a write-ahead log, NORMAL can lose the last transactions in a power cut, never tear one.
        raw.execute("PRAGMA synchronous = NORMAL")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(connection.get_execution_options().get("begin_with", "BEGIN"))

    return engine


def _address(path: Path) -> dict[str, Any]:
    """Arguments for the driver; a file that may not be written is opened for reading only."""
    place = path.absolute()
    mode = "mode=rwc"
    if place.exists() and not os.access(place, os.W_OK):
        mode = "mode=ro"
        log_exists = place.with_name(place.name + "-wal").exists()
        if not os.access(place.parent, os.W_OK) and not log_exists:
            mode += "&immutable=1"  # no log can be made beside it, and nobody else can change it
    return {
        "database": f"{place.as_uri()}?{mode}",
        "uri": True,
        "timeout": PATIENCE_S,
        "isolation_level": None,
        "check_same_thread": False,
    }


@contextmanager
def translated(path: Path) -> Iterator[None]:
    """Say in one sentence what the database had to complain about."""
    try:
        yield
    except (sqlite3.Error, DBAPIError) as error:
        original = error.orig if isinstance(error, DBAPIError) else error
        if isinstance(original, sqlite3.IntegrityError):
            raise  # a mistake in this program, which checks before it writes
        raise _explained(original, path) from error


def _explained(error: BaseException | None, path: Path) -> StoreProblem:
    """Return the problem behind a database error."""
    name = _name_of(error)
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) and last_good_backup(path) is not None:
        return _damaged(path)
    for beginning, (what, what_to_do) in _SENTENCES.items():
        if name.startswith(beginning):
            return StoreProblem(what, str(path), what_to_do)
    return StoreProblem(f"the store cannot be used ({error})", str(path))


def _damaged(path: Path) -> StoreProblem:
    """Return the problem of a damaged store, with the last good copy if there is one."""
    what, otherwise = _SENTENCES["SQLITE_CORRUPT"]
    good = last_good_backup(path)
    if good is None:
        return StoreProblem(what, str(path), otherwise)
    made = good.made_utc.astimezone().strftime("%Y-%m-%d %H:%M")
    return StoreProblem(
        what, str(path), f"Put back the last good backup, of {made}, with: rideready restore {good.path}"
    )


def _name_of(error: BaseException | None) -> str:
    """Return SQLite's own name for an error."""
    return str(getattr(error, "sqlite_errorname", ""))


#: Beginning of SQLite's name for an error (https://www.sqlite.org/rescode.html) to what it means here.
_SENTENCES = {
    "SQLITE_BUSY": (
        f"another program has kept the store locked for {PATIENCE_S:.0f} s",
        "Wait until it has finished, then try again",
    ),
    "SQLITE_NOTADB": ("this is not a rideready store", "Name another file with --store"),
    "SQLITE_READONLY": ("the store may be read but not written", "Allow writing to the file and its folder"),
    "SQLITE_CORRUPT": (
        "the store is damaged",
        "Put back a copy of it, or import the recordings into a new one",
    ),
    "SQLITE_FULL": ("the disk is full; nothing of this step was stored", "Make room, then try again"),
    "SQLITE_CANTOPEN": ("the store cannot be opened", "Check that the file and its folder may be written"),
    "SQLITE_PERM": ("the store may not be opened", "Check the rights of the file and its folder"),
    "SQLITE_IOERR": ("the disk failed while the store was in use", "Check the disk, then try again"),
}
