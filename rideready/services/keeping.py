"""Keep what is stored: copies, putting one back, deleting everything."""

import datetime as dt
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Final

from rideready.errors import BadInput, NotInStore, StoreProblem
from rideready.services.context import Context
from rideready.services.reading_back import built, is_whole_store
from rideready.services.whole_store import write_whole
from rideready.store.backups import (
    Backup,
    DamagedCopy,
    back_up,
    backups_of,
    last_good_backup,
    put_back,
    what_is_wrong,
)
from rideready.store.connect import Store, open_store
from rideready.store.dump import is_empty, pour
from rideready.store.migrations import MIGRATIONS
from rideready.store.place import Address, Named, Place, file_of, is_there, place_of
from rideready.store.sqlite_file import keep_copy, translated

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
_WHERE_COPIES_ARE: Final = "Its copies lie where you put them; name one of them"


def back_up_store(store: Named | None = None, *, out: Path | None = None) -> Path:
    """Copy a store while it is in use, check the copy, and return where it lies.

    Parameters
    ----------
    store
        As for `rideready.services.context.open_context`.
    out
        Where the copy goes; None takes the folder of copies beside the store. A store on a server is
        written out in open formats, and its copy has to be named, ending in ``.zip``.

    Raises
    ------
    StoreProblem
        If there is no store, it is damaged, or the copy cannot be written.
    BadInput
        If something is at ``out`` already, or the copy of a store on a server is not named.
    """
    path = _existing(store)
    if out is not None and out.exists():
        raise BadInput("there is something here already", str(out), "Name a new file for the backup")
    if isinstance(path, Address):
        return _copy_of_server(path, out)
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


def list_backups(store: Named | None = None) -> list[Backup]:
    """List the copies of a store that lie beside it, newest first."""
    return backups_of(file_of(place_of(store), _WHERE_COPIES_ARE))


def restore_store(copy: Path | None, store: Named | None = None) -> tuple[Path, Path | None]:
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
        The copy that was put back, and where what was there before is kept: for a store on a server
        beside the copy.

    Raises
    ------
    NotInStore
        If there is no copy.
    StoreProblem
        If the copy is damaged or from a newer rideready, or the store cannot be written.
    """
    place = place_of(store)
    if isinstance(place, Address) and copy is not None:
        return copy, _restore_server(copy, place)
    path = file_of(place, _WHERE_COPIES_ARE)
    if copy is None:
        good = last_good_backup(path)
        if good is None:
            raise NotInStore("there is no good backup beside this store", str(path), "Name one")
        copy = good.path
    _refuse_bad(copy)
    try:
        with translated(path):
            before = put_back(copy, path)
    except OSError as error:
        raise StoreProblem(f"the store cannot be written ({error.strerror})", str(path)) from error
    open_store(path).close()  # an older one is brought up to date at once
    return copy, before


def delete_everything(store: Named | None = None) -> int:
    """Delete every rider, session, log and plan of a store and every copy beside it, for good.

    The room they took in a file is overwritten. Copies that lie elsewhere, those a server makes of its
    databases among them, and the recordings themselves, stay.

    Parameters
    ----------
    store
        As for `rideready.services.context.open_context`.

    Returns
    -------
    int
        How many copies were removed.
    """
    opened = open_store(_existing(store))
    try:
        return opened.database.erase()
    finally:
        opened.close()


def keep_recent_copy(ctx: Context) -> Path | None:
    """Copy the store if the newest copy is older than `COPY_EVERY`; an import does so at its end.

    Returns
    -------
    Path or None
        The copy; None if there was no need, or it could not be made: the import itself succeeded. A store
        on a server gets none: whoever keeps the server copies its databases.
    """
    if isinstance(ctx.store.place, Address):
        return None
    copies = backups_of(ctx.store_path)
    if copies and abs(dt.datetime.now(dt.UTC) - copies[0].made_utc) < COPY_EVERY:
        return None
    try:
        return keep_copy(ctx.store_path, "weekly")
    except StoreProblem:
        return None


def _existing(store: Named | None) -> Place:
    place = place_of(store)
    if not is_there(place):
        raise StoreProblem("there is no store here", str(place), "Name it with --store")
    return place


def _copy_of_server(address: Address, out: Path | None) -> Path:
    if out is None or out.suffix.lower() != ".zip":
        raise BadInput(
            "a store on a server has no folder for its copies",
            str(out or address),
            "Name a file for the copy, with: --out FILE.zip",
        )
    opened = open_store(address)
    try:
        write_whole(opened, out)
    finally:
        opened.close()
    return out


def _restore_server(copy: Path, address: Address) -> Path | None:
    """Put a copy in the place of all a server holds, in one transaction; return where that is kept."""
    if not is_whole_store(copy):
        _refuse_bad(copy)
        raise StoreProblem(
            "this is the backup of a store in a file",
            str(copy),
            f"Write it out first, with: rideready export everything --store {copy} --out FILE.zip",
        )
    opened = open_store(address)
    try:
        before = _kept_before(opened, copy)
        with built(copy, near=address) as rebuilt, rebuilt.reading() as source, opened.writing() as target:
            pour(source, target)
    finally:
        opened.close()
    return before


def _kept_before(store: Store, copy: Path) -> Path | None:
    with store.reading() as connection:
        if is_empty(connection):
            return None
    stamp = dt.datetime.now(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    before = copy.with_name(f"{copy.stem}-before-restore-{stamp}.zip")
    write_whole(store, before)
    return before


def _refuse_bad(copy: Path) -> None:
    """Refuse a copy that is not there, damaged, or from a newer rideready."""
    if not copy.is_file():
        raise NotInStore("there is no such file", str(copy), "List the backups with: rideready restore")
    if (problem := what_is_wrong(copy)) is not None:
        raise StoreProblem(f"this backup cannot be put back ({problem})", str(copy), "Name another")
    with closing(sqlite3.connect(f"{copy.absolute().as_uri()}?mode=ro", uri=True)) as connection:
        (version,) = connection.execute("SELECT max(version) FROM schema_version").fetchone()
    if (version or 0) > len(MIGRATIONS):
        raise StoreProblem(
            f"it was written by a newer rideready (schema {version}; this one knows up to {len(MIGRATIONS)})",
            str(copy),
            "Update rideready to put it back",
        )
