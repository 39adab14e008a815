"""Kill a process with -9 somewhere in an import, a migration or a restore, and look at what is left."""

import multiprocessing
import os
import random
import shutil
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import text

from rideready.errors import StoreProblem
from rideready.services.checking import check_structure
from rideready.services.context import open_context
from rideready.services.deletion import erase_session
from rideready.services.import_report import ImportProgress
from rideready.services.importing import import_paths
from rideready.services.keeping import back_up_store, restore_store
from rideready.store.connect import open_store
from rideready.store.dump import rows_of, same_contents
from rideready.store.migrations import MIGRATIONS
from tests.support.stores import write_ride

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

#: Children share what this process has loaded, so that the work itself is what is interrupted.
FORK = multiprocessing.get_context("fork")
N_FILES = 3


class Work(StrEnum):
    """What is killed."""

    IMPORT = "import"
    MIGRATION = "migration"
    RESTORE = "restore"
    REPAIR = "repair"


@dataclass(frozen=True, slots=True)
class Bench:
    """What the killings start from, made once: recordings, and stores of them."""

    rides: Path
    new: Path
    old: Path
    copy: Path
    other: Path


def prepare(folder: Path) -> Bench:
    """Make recordings, a store of them, one of the first version, and one with a session less and its backup."""
    rides = folder / "rides"
    rides.mkdir(parents=True)
    for days in range(N_FILES):
        write_ride(rides, days=days)
    new, old, other = (folder / f"{name}.sqlite" for name in ("new", "old", "other"))
    context = open_context(new)
    import_paths(context, [rides])
    copy = back_up_store(new, out=folder / "copy.sqlite")
    first = open_store(old, migrations=MIGRATIONS[:1])
    with context.store.reading() as source, first.writing() as target:
        for name in ("rider", "session", "samples", "recovery"):
            known = [column.name for column in target.execute(text(f"PRAGMA table_info({name})"))]
            for whole in rows_of(source, name):
                row = {column: value for column, value in whole.items() if column in known}
                names = ", ".join(row)
                marks = ", ".join(f":{column}" for column in row)
                target.execute(text(f"INSERT INTO {name} ({names}) VALUES ({marks})"), row)  # noqa: S608
    context.store.close()
    first.close()
    shutil.copy(copy, other)
    less = open_context(other)
    erase_session(less, 1)
    less.store.close()
    return Bench(rides, new, old, copy, other)


def kill_once(bench: Bench, work: Work, folder: Path, rng: random.Random, *, longest_s: float) -> str:
    """Do the work in a process, kill it within ``longest_s``, check what is left, and let it be done again.

    Returns
    -------
    str
        ``before`` or ``after`` by what was left, ``between`` for part of an import.

    Raises
    ------
    AssertionError
        If something is lost or broken.
    """
    folder.mkdir()
    act, settle = _WORKS[work]
    path = folder / "store.sqlite"
    _lay_out(bench, work, path)
    here, there = FORK.Pipe(duplex=False)
    process = FORK.Process(target=act, args=(bench, path, there))
    process.start()
    there.close()
    time.sleep(rng.uniform(0, longest_s))
    if process.pid is not None and process.is_alive():
        os.kill(process.pid, signal.SIGKILL)
    process.join()
    told = []
    try:
        while here.poll():
            told.append(here.recv())
    except EOFError:
        pass
    here.close()
    left = settle(bench, path, told)
    assert check_structure(path).problems == ()
    shutil.rmtree(folder)
    return left


def _lay_out(bench: Bench, work: Work, path: Path) -> None:
    if work is Work.MIGRATION:
        shutil.copy(bench.old, path)
    elif work is not Work.IMPORT:
        shutil.copy(bench.other, path)
    if work is Work.REPAIR:
        content = path.read_bytes()
        path.write_bytes(content[:4096] + b"\xa5" * (len(content) - 4096))


def _import(bench: Bench, path: Path, told: "Connection") -> None:
    def tell(step: ImportProgress) -> None:
        told.send((step.file, step.outcome))

    import_paths(open_context(path), [bench.rides], progress=tell)


def _migrate(_bench: Bench, path: Path, told: "Connection") -> None:
    open_store(path)
    told.send("done")


def _restore(bench: Bench, path: Path, told: "Connection") -> None:
    restore_store(bench.copy, path)
    told.send("done")


def _after_import(bench: Bench, path: Path, told: list[Any]) -> str:
    """Check that all that was reported stored is there, and the next import brings the rest."""
    reported = {Path(file).name for file, outcome in told if outcome == "stored"}
    context = open_context(path)
    with context.store.reading() as connection:
        left = {Path(row["path"]).name for row in rows_of(connection, "source_file")}
        n_sessions = len([*rows_of(connection, "session")])
    assert reported <= left
    assert n_sessions == len(left)
    report = import_paths(context, [bench.rides])
    assert (report.stored, report.duplicates, report.unreadable) == (N_FILES - len(left), len(left), ())
    context.store.close()
    return "before" if not left else "after" if len(left) == N_FILES else "between"


def _after_migration(bench: Bench, path: Path, told: list[Any]) -> str:
    """Check that the store is of one version or the other, and comes up to date with all it held."""
    import sqlite3

    with sqlite3.connect(path) as connection:
        (version,) = connection.execute("SELECT max(version) FROM schema_version").fetchone()
    connection.close()
    assert version in {1, len(MIGRATIONS)}
    assert version == len(MIGRATIONS) or told == []
    store, new, old = open_store(path), open_store(bench.new), sqlite3.connect(bench.old)
    with store.reading() as one, new.reading() as other:
        for name in ("session", "samples", "recovery"):
            held = [column[1] for column in old.execute(f"PRAGMA table_info({name})")]
            mine, theirs = (
                [[row[column] for column in held] for row in rows_of(at, name)] for at in (one, other)
            )
            assert mine == theirs
    for opened in (store, new, old):
        opened.close()
    return "before" if version == 1 else "after"


def _after_restore(bench: Bench, path: Path, told: list[Any]) -> str:
    """Check that the store is as it was or as the copy, and can be restored again."""
    is_copy = _is_same(path, bench.copy)
    assert is_copy or (told == [] and _is_same(path, bench.other))
    restore_store(bench.copy, path)
    assert _is_same(path, bench.copy)
    return "after" if is_copy else "before"


def _after_repair(bench: Bench, path: Path, told: list[Any]) -> str:
    """Check that the store is still damaged, and says so, or as the copy, and can be restored again."""
    assert path.exists()
    try:
        is_copy = _is_same(path, bench.copy)
    except StoreProblem:
        is_copy = False
    assert is_copy or told == []
    restore_store(bench.copy, path)
    assert _is_same(path, bench.copy)
    return "after" if is_copy else "before"


def _is_same(path: Path, other: Path) -> bool:
    one, two = open_store(path), open_store(other)
    try:
        with one.reading() as first, two.reading() as second:
            return same_contents(first, second)
    finally:
        one.close()
        two.close()


_WORKS: dict[Work, tuple[Callable[[Bench, Path, Any], None], Callable[[Bench, Path, list[Any]], str]]] = {
    Work.IMPORT: (_import, _after_import),
    Work.MIGRATION: (_migrate, _after_migration),
    Work.RESTORE: (_restore, _after_restore),
    Work.REPAIR: (_restore, _after_repair),
}


def usual_time_s(bench: Bench, work: Work, folder: Path) -> float:
    """Measure how long the work takes when nobody kills it, the start of its process included, s."""
    folder.mkdir()
    _lay_out(bench, work, folder / "store.sqlite")
    here, there = FORK.Pipe(duplex=False)
    began = time.monotonic()
    process = FORK.Process(target=_WORKS[work][0], args=(bench, folder / "store.sqlite", there))
    process.start()
    process.join()
    took = time.monotonic() - began
    here.close()
    there.close()
    shutil.rmtree(folder)
    return took
