"""A store in a file: SQLite, with transactions that begin when this program says.

SQLAlchemy's usual way with SQLite leaves the start of a transaction to Python's driver, and there
a CREATE TABLE survives a rollback. Here the driver is told to keep out (``isolation_level=None``)
and every transaction is begun by hand: BEGIN for reading, BEGIN IMMEDIATE for writing, so that a
writer waits for its turn at the start and never in the middle.
"""

import os
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, QueuePool, create_engine, delete, event
from sqlalchemy.engine.interfaces import DBAPICursor
from sqlalchemy.exc import DBAPIError

from rideready.errors import StoreProblem
from rideready.store import schema
from rideready.store.backups import (
    DamagedCopy,
    back_up_unasked,
    folder_of,
    last_good_backup,
    remove_backups,
)
from rideready.store.database import PATIENCE_S

#: With less than this the log and its index cannot grow, bytes.
_LEAST_ROOM = 1 << 16


@dataclass(frozen=True, slots=True, eq=False)
class SqliteFile:
    """A `rideready.store.database.Database` in a file.

    Parameters
    ----------
    place
        The file.
    engine
        Connections to it.
    """

    place: Path
    engine: Engine

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Begin a transaction that sees one moment of the store."""
        with self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Begin the only transaction that writes."""
        with self.engine.execution_options(begin_with="BEGIN IMMEDIATE").begin() as connection:
            yield connection

    def translated(self) -> AbstractContextManager[None]:
        """Say in one sentence what SQLite had to complain about."""
        return translated(self.place)

    def before_steps(self, found: int) -> None:
        """Set up the log, and copy a store before steps are applied to it; a new one needs no copy."""
        self._keep_a_write_ahead_log()
        if found:
            keep_copy(self.place, f"schema-{found}")

    def erase(self) -> int:
        """Delete every row and every copy beside the file; the room they took is overwritten."""
        with self.translated():
            with self.writing() as connection:
                connection.exec_driver_sql("PRAGMA secure_delete = ON")
                for table in reversed(schema.metadata.sorted_tables):
                    if table is not schema.schema_version:
                        connection.execute(delete(table))
            self.engine.dispose()
            # The room goes back to the disk, as far as other programs let go of it.
            with closing(sqlite3.connect(self.place, isolation_level=None)) as alone:
                alone.execute("PRAGMA secure_delete = ON")
                alone.execute("VACUUM")
                alone.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return remove_backups(self.place)

    def _keep_a_write_ahead_log(self) -> None:
        """Let readers go on reading while somebody writes; the setting stays in the file.

        SQLite answers "locked" at once, without waiting, when two processes ask for this together.
        """
        deadline = time.monotonic() + PATIENCE_S
        with self.translated(), closing(self.engine.raw_connection()) as raw:
            while not _keeps_a_log(raw.cursor()):
                if time.monotonic() > deadline:
                    raise StoreProblem(_SENTENCES["SQLITE_BUSY"][0], str(self.place))
                time.sleep(0.02)


def open_file(path: Path) -> SqliteFile:
    """Reach a file, in a folder that is made if need be; raises `StoreProblem` if it cannot be."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreProblem(
            f"its folder cannot be made ({error.strerror})", str(path), "Name another file with --store"
        ) from error
    return SqliteFile(path, _engine(path))


def keep_copy(path: Path, why: str) -> Path:
    """Make a copy nobody asked for; raises `StoreProblem` if it cannot be made."""
    try:
        with translated(path):
            return back_up_unasked(path, why)
    except DamagedCopy as error:
        raise _damaged(path) from error
    except OSError as error:
        raise StoreProblem(
            f"no backup of it can be made ({error.strerror})",
            str(path),
            f"Make room and allow writing in {folder_of(path)}, then try again",
        ) from error


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
    if name.startswith("SQLITE_IOERR") and _has_no_room(path):
        name = "SQLITE_FULL"  # what the shared memory of the log meets on a full disk
    for beginning, (what, what_to_do) in _SENTENCES.items():
        if name.startswith(beginning):
            return StoreProblem(what, str(path), what_to_do)
    return StoreProblem(f"the store cannot be used ({error})", str(path))


def _has_no_room(path: Path) -> bool:
    """Whether the disk under a store is as good as full."""
    try:
        return shutil.disk_usage(path.parent).free < _LEAST_ROOM
    except OSError:
        return False


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
