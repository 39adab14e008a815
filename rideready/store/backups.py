"""Copies of a store beside it, made whole while it is in use, and put back when it is damaged.

This module knows files only and none of what is in them, so that opening a store can use it.
"""

import contextlib
import datetime as dt
import errno
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Final

#: Copies made without being asked for are kept up to this many; those the rider asks for are never removed.
AUTOMATIC_KEPT: Final = 5
_AUTOMATIC: Final = "automatic"
_STAMP: Final = "%Y%m%dT%H%M%S%fZ"
#: Clocks are set right by minutes and shown in other zones without being wrong.
_CLOCK_SLACK: Final = dt.timedelta(days=1)
#: How long to wait for other programs that hold a store, s.
_PATIENCE_S: Final = 5.0


class DamagedCopy(Exception):
    """A copy that is no whole store."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy of a store.

    Parameters
    ----------
    path
        Where it lies.
    made_utc
        When it was made.
    size
        Bytes.
    """

    path: Path
    made_utc: dt.datetime
    size: int


def folder_of(store: Path) -> Path:
    """Say where the copies of a store lie."""
    return store.with_name(f"{store.name}-backups")


def back_up(store: Path, *, out: Path | None = None, why: str = "asked-for") -> Path:
    """Copy a store as it is at one moment, whatever others write meanwhile, and return where the copy lies.

    Parameters
    ----------
    store
        File of the store.
    out
        Where the copy goes; None takes `folder_of`. It appears whole or not at all.
    why
        Part of the copy's name.

    Raises
    ------
    OSError, sqlite3.Error
        If the store cannot be read or the copy not be written.
    DamagedCopy
        If the store is damaged; no copy of it is left, and older ones stay.
    """
    if out is None:
        stamp = dt.datetime.now(dt.UTC).strftime(_STAMP)
        out = folder_of(store) / f"{store.stem}-{stamp}-{why}.sqlite"
    out.parent.mkdir(parents=True, exist_ok=True)
    part = out.with_name(f".{out.name}.{os.getpid()}.part")
    try:
        with _connected(store, "ro") as source, _connected(part, "rwc") as copy:
            with _room_for_the_copy():
                source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # a copy is one file, without a log beside it
        if (problem := what_is_wrong(part)) is not None:
            raise DamagedCopy(problem)
        _settle(part)
        part.replace(out)
    finally:
        for left in (part, part.with_name(f"{part.name}-journal")):
            left.unlink(missing_ok=True)
    return out


def back_up_unasked(store: Path, why: str) -> Path:
    """Make a copy as `back_up` does, and remove the oldest of those made this way beyond `AUTOMATIC_KEPT`."""
    made = back_up(store, why=f"{_AUTOMATIC}-{why}")
    unasked = [found for found in backups_of(store) if f"Z-{_AUTOMATIC}-" in found.path.name]
    for old in unasked[AUTOMATIC_KEPT:]:
        with contextlib.suppress(OSError):
            old.path.unlink()
    return made


def backups_of(store: Path) -> list[Backup]:
    """List the copies of a store that lie beside it, newest first.

    A copy from the future was made while the clock was wrong, nobody knows when: it comes last, or it would be
    offered, and keep others from being made, for years.
    """
    latest = dt.datetime.now(dt.UTC) + _CLOCK_SLACK
    found = []
    for path in folder_of(store).glob(f"{store.stem}-*Z-*.sqlite"):
        stamp = path.name.removeprefix(f"{store.stem}-").split("-")[0]
        with contextlib.suppress(ValueError, OSError):
            made = dt.datetime.strptime(stamp, _STAMP).replace(tzinfo=dt.UTC)
            found.append(Backup(path, made, path.stat().st_size))
    return sorted(found, key=lambda backup: (backup.made_utc <= latest, backup.made_utc), reverse=True)


def last_good_backup(store: Path) -> Backup | None:
    """Return the newest copy that is whole; None without any."""
    return next((found for found in backups_of(store) if what_is_wrong(found.path) is None), None)


def what_is_wrong(path: Path) -> str | None:
    """Say in a clause what is wrong with the file of a store; None if nothing is."""
    try:
        with _connected(path, "ro") as connection:
            said = [row[0] for row in connection.execute("PRAGMA integrity_check(10)")]
            is_store = connection.execute(
                "SELECT count(*) FROM sqlite_master WHERE name = 'schema_version'"
            ).fetchone()[0]
    except sqlite3.Error as error:
        return str(error)
    if said != ["ok"]:
        return "; ".join(str(line) for line in said)
    return None if is_store else "it holds no rideready store"


def put_back(copy: Path, store: Path) -> Path | None:
    """Put a copy in the place of a store; cut off at any moment, the one or the other is there, whole.

    A store that is whole is copied first and then written over inside one transaction, so that programs
    that have it open see the change as any other. A damaged one is kept beside, under another name.

    Parameters
    ----------
    copy
        A whole store (`what_is_wrong` finds nothing).
    store
        Where it goes.

    Returns
    -------
    Path or None
        Where what was there before is kept; None if nothing was there.
    """
    if store.exists() and what_is_wrong(store) is None:
        before = back_up_unasked(store, "before-restore")
        with _connected(copy, "ro") as source, _connected(store, "rw") as target:
            target.execute("PRAGMA synchronous = FULL")
            source.backup(target)
        return before
    store.parent.mkdir(parents=True, exist_ok=True)
    part = store.with_name(f".{store.name}.{os.getpid()}.part")
    try:
        shutil.copyfile(copy, part)
        _settle(part)
        aside = _keep_aside(store)
        for suffix in ("-wal", "-shm"):  # the log of the damaged store must not be read into the other
            store.with_name(store.name + suffix).unlink(missing_ok=True)
        part.replace(store)
    finally:
        part.unlink(missing_ok=True)
    return aside


def remove_backups(store: Path) -> int:
    """Remove every copy beside a store and return how many there were."""
    folder = folder_of(store)
    found = backups_of(store)
    for backup in found:
        backup.path.unlink(missing_ok=True)
    with contextlib.suppress(OSError):
        folder.rmdir()
    return len(found)


def _keep_aside(store: Path) -> Path | None:
    """Copy a damaged store with its log to another name, where somebody may still save something of it.

    Without room for both, neither is left: a few tries would fill what room there is with scraps.
    """
    if not store.exists():
        return None
    stamp = dt.datetime.now(dt.UTC).strftime(_STAMP)
    aside = store.with_name(f"{store.stem}-damaged-{stamp}.sqlite")
    log, log_aside = (path.with_name(f"{path.name}-wal") for path in (store, aside))
    try:
        shutil.copyfile(store, aside)
        if log.exists():
            shutil.copyfile(log, log_aside)
    except OSError:
        for scrap in (aside, log_aside):
            scrap.unlink(missing_ok=True)
        raise
    return aside


@contextlib.contextmanager
def _connected(path: Path, mode: str) -> Iterator[sqlite3.Connection]:
    """Connect to a file, to read (``ro``), to write (``rw``) or to make it (``rwc``)."""
    address = f"{path.absolute().as_uri()}?mode={mode}"
    with closing(sqlite3.connect(address, uri=True, timeout=_PATIENCE_S, isolation_level=None)) as connection:
        yield connection


@contextlib.contextmanager
def _room_for_the_copy() -> Iterator[None]:
    """Say that there is no room as the system says it: the store is only read, so it is the copy that has none."""
    try:
        yield
    except sqlite3.OperationalError as error:
        if error.sqlite_errorname != "SQLITE_FULL":
            raise
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)) from error


def _settle(path: Path) -> None:
    """Make sure that a file is on the disk before its name is."""
    with path.open("rb") as stream:
        os.fsync(stream.fileno())
