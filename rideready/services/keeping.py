"""Keep what is stored: copies, putting one back, deleting everything."""

import datetime as dt
import sqlite3
from pathlib import Path
from typing import Final

from sqlalchemy import delete

from rideready.errors import BadInput, NotInStore, StoreProblem
from rideready.services.context import Context
from rideready.store import schema
from rideready.store.backups import (
    Backup,
    DamagedCopy,
    back_up,
    backups_of,
    last_good_backup,
    put_back,
    remove_backups,
    what_is_wrong,
)
from rideready.store.connect import keep_copy, open_store, place_of, translated

__all__ = [
    "Backup",
    "back_up_store",
    "delete_everything",
    "keep_recent_copy",
    "list_backups",
    "restore_store",
]

#: An import makes a copy of its own if the newest is older than this.
COPY_EVERY: Final = dt.timedelta(days=7)


def back_up_store(store: Path | None = None, *, out: Path | None = None) -> Path:
    """Copy a store while it is in use, check the copy, and return where it lies.

    Parameters
    ----------
    store
        As for `rideready.services.context.open_context`.
    out
        Where the copy goes; None takes the folder of copies beside the store.

    Raises
    ------
    StoreProblem
        If there is no store, it is damaged, or the copy cannot be written.
    BadInput
        If something is at ``out`` already.
    """
    path = _existing(store)
    if out is not None and out.exists():
        raise BadInput("there is something here already", str(out), "Name a new file for the backup")
    try:
        with translated(path):
            return back_up(path, out=out)
    except DamagedCopy as error:
        raise StoreProblem(
            f"the store is damaged, and a copy of it would be too ({error})",
            str(path),
            "Put back an older backup; list them with: rideready restore",
        ) from error
    except OSError as error:
        raise StoreProblem(f"the backup cannot be written ({error.strerror})", str(out or path)) from error


def list_backups(store: Path | None = None) -> list[Backup]:
    """List the copies of a store that lie beside it, newest first."""
    return backups_of(place_of(store))


def restore_store(copy: Path | None, store: Path | None = None) -> tuple[Path, Path | None]:
    """Put a copy in the place of a store.

    Parameters
    ----------
    copy
        The copy; None takes the newest that is whole.
    store
        As for `rideready.services.context.open_context`.

    Returns
    -------
    tuple of Path and (Path or None)
        The copy that was put back, and where what was there before is kept.

    Raises
    ------
    NotInStore
        If there is no copy.
    StoreProblem
        If the copy is damaged or from a newer rideready, or the store cannot be written.
    """
    path = place_of(store)
    if copy is None:
        good = last_good_backup(path)
        if good is None:
            raise NotInStore("there is no good backup beside this store", str(path), "Name one")
        copy = good.path
    if not copy.is_file():
        raise NotInStore("there is no such file", str(copy), "List the backups with: rideready restore")
    if (problem := what_is_wrong(copy)) is not None:
        raise StoreProblem(f"this backup cannot be put back ({problem})", str(copy), "Name another")
    _refuse_newer(copy)
    try:
        with translated(path):
            before = put_back(copy, path)
    except OSError as error:
        raise StoreProblem(f"the store cannot be written ({error.strerror})", str(path)) from error
    open_store(path).close()  # an older one is brought up to date at once
    return copy, before


def delete_everything(store: Path | None = None) -> int:
    """Delete every rider, session, log and plan of a store and every copy beside it, for good.

    The room they took is overwritten. Copies that lie elsewhere, and the recordings themselves, stay.

    Parameters
    ----------
    store
        As for `rideready.services.context.open_context`.

    Returns
    -------
    int
        How many copies were removed.
    """
    path = _existing(store)
    opened = open_store(path)
    try:
        with opened.writing() as connection:
            connection.exec_driver_sql("PRAGMA secure_delete = ON")
            for table in reversed(schema.metadata.sorted_tables):
                if table is not schema.schema_version:
                    connection.execute(delete(table))
    finally:
        opened.close()
    _shrink(path)
    return remove_backups(path)


def keep_recent_copy(ctx: Context) -> Path | None:
    """Copy the store if the newest copy is older than `COPY_EVERY`; an import does so at its end.

    Returns
    -------
    Path or None
        The copy; None if there was no need, or it could not be made: the import itself succeeded.
    """
    copies = backups_of(ctx.store_path)
    if copies and dt.datetime.now(dt.UTC) - copies[0].made_utc < COPY_EVERY:
        return None
    try:
        return keep_copy(ctx.store, "weekly")
    except StoreProblem:
        return None


def _existing(store: Path | None) -> Path:
    path = place_of(store)
    if not path.exists():
        raise StoreProblem("there is no store here", str(path), "Name it with --store")
    return path


def _shrink(path: Path) -> None:
    """Give the room of what was deleted back to the disk, as far as other programs let go of it."""
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        with translated(path):
            connection.execute("PRAGMA secure_delete = ON")
            connection.execute("VACUUM")
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        connection.close()


def _refuse_newer(copy: Path) -> None:
    from rideready.store.migrations import MIGRATIONS

    connection = sqlite3.connect(f"{copy.absolute().as_uri()}?mode=ro", uri=True)
    try:
        (version,) = connection.execute("SELECT max(version) FROM schema_version").fetchone()
    finally:
        connection.close()
    if (version or 0) > len(MIGRATIONS):
        raise StoreProblem(
            f"it was written by a newer rideready (schema {version}; this one knows up to {len(MIGRATIONS)})",
            str(copy),
            "Update rideready to put it back",
        )
