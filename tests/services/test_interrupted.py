"""Whatever an import is cut off by, the store holds whole sessions and the next import completes it."""

import multiprocessing
import random
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from rideready.services import importing
from rideready.services.context import open_context
from rideready.services.importing import import_paths
from rideready.store import sessions as session_store
from rideready.store.connect import Store, open_store
from rideready.store.recoveries import recovery_rows
from rideready.store.sessions import load_session, session_rows
from tests.support.csv_writer import english_csv
from tests.support.stores import a_ride, write_ride

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import ForkProcess

N_FILES = 4
#: When the import is killed: so many files in, and so much later, s; about a file takes 0.1 s or more.
MOMENTS = [(n % (N_FILES + 1), random.Random(n).uniform(0, 0.15)) for n in range(10)]  # noqa: S311 - no secrets
#: Children share what this process has loaded, so that the import itself is what is interrupted.
FORK = multiprocessing.get_context("fork")


def run_import(store: Path, folder: Path, told: "Connection") -> None:
    context = open_context(store)
    told.send("open")
    report = import_paths(context, [folder], progress=lambda _: told.send("a file"))
    told.send((report.stored, report.duplicates, len(report.unreadable)))


def start(store: Path, folder: Path) -> tuple["ForkProcess", "Connection"]:
    here, there = FORK.Pipe()
    process = FORK.Process(target=run_import, args=(store, folder, there))
    process.start()
    there.close()
    assert here.poll(60)
    assert here.recv() == "open"
    return process, here


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("exports")
    for days in range(N_FILES):
        write_ride(folder, days=days)
    return folder


@pytest.fixture(scope="module")
def uninterrupted(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[object, ...]]:
    path = tmp_path_factory.mktemp("store") / "store.sqlite"
    import_paths(open_context(path), [folder])
    return contents(open_store(path))


def contents(store: Store) -> dict[str, tuple[object, ...]]:
    """Read everything of every session, by file; fails if one is not whole."""
    found: dict[str, tuple[object, ...]] = {}
    with store.reading() as connection:
        assert connection.execute(text("PRAGMA integrity_check")).scalar() == "ok"
        assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        for row in session_rows(connection, 1):
            session = load_session(connection, row.session_id)
            recoveries = recovery_rows(connection, 1, session_id=row.session_id)
            assert session.t_s.size == row.n_samples
            assert len(recoveries) == row.n_recoveries
            (name,) = row.files
            assert name not in found
            found[name] = (
                session.hr_bpm.tobytes(),
                row.trimp,
                row.mean_hr_bpm,
                tuple(found.recovery for found in recoveries),
            )
    return found


@pytest.mark.parametrize(("n_files", "later_s"), MOMENTS)
def test_a_killed_import_leaves_whole_sessions_and_the_next_one_completes_it(
    n_files: int, later_s: float, folder: Path, uninterrupted: dict[str, tuple[object, ...]], tmp_path: Path
) -> None:
    path = tmp_path / "store.sqlite"
    process, told = start(path, folder)
    for _ in range(n_files):
        told.recv()
    time.sleep(later_s)
    process.kill()
    process.join()
    told.close()
    left = contents(open_store(path))
    assert left.items() <= uninterrupted.items()
    assert len(left) >= n_files  # what was reported is there
    report = import_paths(open_context(path), [folder])
    assert (report.stored, report.duplicates) == (N_FILES - len(left), len(left))
    assert contents(open_store(path)) == uninterrupted


def test_two_imports_at_once_store_every_session_once(
    folder: Path, uninterrupted: dict[str, tuple[object, ...]], tmp_path: Path
) -> None:
    path = tmp_path / "store.sqlite"
    both = [start(path, folder), start(path, folder)]
    counts = [[told.recv() for _ in range(N_FILES + 1)][-1] for _, told in both]
    for process, told in both:
        process.join()
        told.close()
    assert [process.exitcode for process, _ in both] == [0, 0]
    assert sum(stored for stored, _, _ in counts) == N_FILES
    assert all(stored + duplicates == N_FILES for stored, duplicates, _ in counts)
    assert contents_by_any_file(open_store(path)) == set(uninterrupted)


def contents_by_any_file(store: Store) -> set[str]:
    with store.reading() as connection:
        return {name for row in session_rows(connection, 1) for name in row.files}


def test_a_session_that_cannot_be_stored_whole_is_not_stored_at_all(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError

    context = open_context(tmp_path / "store.sqlite")
    with monkeypatch.context() as patched:
        patched.setattr(session_store, "replace_recoveries", fail)
        with pytest.raises(ZeroDivisionError):
            import_paths(context, [folder / "ride-00.csv"])
    assert contents(context.store) == {}
    assert import_paths(context, [folder / "ride-00.csv"]).stored == 1


def test_a_file_of_two_sessions_cut_off_after_the_first_is_completed_by_the_next_import(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = (english_csv(a_ride(days=days)).decode().splitlines() for days in (0, 1))
    headings = next(index for index, line in enumerate(second) if line.startswith("time,"))
    path = tmp_path / "two.csv"
    path.write_text("\n".join([*first, *second[headings + 1 :]]) + "\n")
    context = open_context(tmp_path / "store.sqlite")
    add, calls = session_store.add_session, iter((True, False))

    def add_once(*arguments: object, **named: object) -> int:
        if next(calls):
            return add(*arguments, **named)  # type: ignore[arg-type]
        raise ZeroDivisionError

    with monkeypatch.context() as patched:
        patched.setattr(importing, "add_session", add_once)
        with pytest.raises(ZeroDivisionError):
            import_paths(context, [path])
    with context.store.reading() as connection:
        assert len(session_rows(connection, 1)) == 1
    report = import_paths(context, [path])
    assert (report.stored, report.duplicates) == (1, 1)
    assert import_paths(context, [path]).unchanged == 1
