"""Copies are whole, come back whole, and a damaged store names the last good one."""

import datetime as dt
import shutil
import sqlite3
import threading
from pathlib import Path

import pytest
from sqlalchemy import Connection

from rideready.errors import BadInput, NotInStore, StoreProblem
from rideready.services import keeping
from rideready.services.checking import check_structure
from rideready.services.context import Context, open_context
from rideready.services.deletion import erase_session
from rideready.services.importing import import_paths
from rideready.services.keeping import (
    back_up_store,
    delete_everything,
    list_backups,
    restore_store,
)
from rideready.services.sessions import list_sessions
from rideready.store import backups
from rideready.store.connect import open_store
from rideready.store.migrations import MIGRATIONS, Migration
from rideready.store.settings import get_setting, set_setting
from tests.support.stores import write_ride


@pytest.fixture
def ctx(tmp_path: Path) -> Context:
    context = open_context(tmp_path / "store" / "store.sqlite")
    (tmp_path / "rides").mkdir()
    for days in (0, 1):
        write_ride(tmp_path / "rides", days=days)
    import_paths(context, [tmp_path / "rides"])
    return context


def add_a_table(connection: Connection) -> None:
    connection.exec_driver_sql("CREATE TABLE x (y INTEGER)")


def damage(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xa5" * (len(content) - 4096)
    path.write_bytes(content)


def test_an_import_leaves_a_copy_that_is_not_made_again_within_the_week(ctx: Context, tmp_path: Path) -> None:
    (made,) = list_backups(ctx.store_path)
    write_ride(tmp_path / "rides", days=2)
    import_paths(ctx, [tmp_path / "rides"])
    assert list_backups(ctx.store_path) == [made]


def test_a_backup_holds_what_the_store_held(ctx: Context, tmp_path: Path) -> None:
    copy = back_up_store(ctx.store_path, out=tmp_path / "copy.sqlite")
    assert list_sessions(open_context(copy)) == list_sessions(ctx)
    assert check_structure(copy).problems == ()


def test_a_backup_made_while_somebody_writes_holds_one_moment(ctx: Context, tmp_path: Path) -> None:
    stop = threading.Event()

    def write_pairs() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            with ctx.store.writing() as connection:
                set_setting(connection, "one", str(number))
                set_setting(connection, "other", str(number))

    writer = threading.Thread(target=write_pairs)
    writer.start()
    try:
        copies = [back_up_store(ctx.store_path, out=tmp_path / f"{n}.sqlite") for n in range(10)]
    finally:
        stop.set()
        writer.join()
    pairs = []
    for copy in copies:
        with open_store(copy).reading() as connection:
            pairs.append((get_setting(connection, "one"), get_setting(connection, "other")))
    assert all(one == other for one, other in pairs)
    assert len(set(pairs)) > 1  # somebody did write meanwhile


def test_a_backup_never_takes_the_place_of_a_file(ctx: Context, tmp_path: Path) -> None:
    (tmp_path / "letter").write_text("Dear neighbour")
    with pytest.raises(BadInput, match="there is something here already"):
        back_up_store(ctx.store_path, out=tmp_path / "letter")
    assert (tmp_path / "letter").read_text() == "Dear neighbour"


def test_a_damaged_store_gives_no_backup_and_keeps_the_older_ones(ctx: Context) -> None:
    ctx.store.close()
    before = list_backups(ctx.store_path)
    damage(ctx.store_path)
    with pytest.raises(StoreProblem, match="damaged"):
        back_up_store(ctx.store_path)
    assert list_backups(ctx.store_path) == before


def test_restoring_brings_back_what_was_and_keeps_what_is(ctx: Context) -> None:
    before = list_sessions(ctx)
    copy = back_up_store(ctx.store_path)
    erase_session(ctx, 1)
    put_back, kept = restore_store(None, ctx.store_path)
    assert put_back == copy
    assert list_sessions(ctx) == before  # this context was open all the while
    assert kept is not None
    assert [row.session_id for row in list_sessions(open_context(kept))] == [2]


def test_a_damaged_store_offers_the_last_good_backup_and_is_kept_aside(ctx: Context) -> None:
    before = list_sessions(ctx)
    good = back_up_store(ctx.store_path)
    worse = good.with_name(good.name.replace("store-2", "store-3"))  # newer by its name, but damaged
    shutil.copyfile(good, worse)
    damage(worse)
    ctx.store.close()
    damage(ctx.store_path)
    with pytest.raises(StoreProblem) as problem:
        list_sessions(open_context(ctx.store_path))
    assert f"with: rideready restore {good}." in str(problem.value)
    assert "\n" not in str(problem.value)
    _, kept = restore_store(None, ctx.store_path)
    assert kept is not None
    assert kept.name.startswith("store-damaged-")
    assert list_sessions(open_context(ctx.store_path)) == before


def test_a_store_without_its_head_offers_the_last_good_backup_too(ctx: Context) -> None:
    good = back_up_store(ctx.store_path)
    ctx.store.close()
    ctx.store_path.write_bytes(b"\0" * 8192)
    with pytest.raises(StoreProblem) as problem:
        open_context(ctx.store_path)
    assert str(good) in str(problem.value)


def test_what_is_no_backup_is_not_put_back(ctx: Context, tmp_path: Path) -> None:
    before = list_sessions(ctx)
    letter = tmp_path / "letter.sqlite"
    letter.write_text("Dear neighbour, the snow machine is yours.\n" * 100)
    with pytest.raises(StoreProblem, match="this backup cannot be put back"):
        restore_store(letter, ctx.store_path)
    with sqlite3.connect(tmp_path / "other.sqlite") as other:
        other.execute("CREATE TABLE recipe (name TEXT)")
    other.close()
    with pytest.raises(StoreProblem, match="it holds no rideready store"):
        restore_store(tmp_path / "other.sqlite", ctx.store_path)
    with pytest.raises(NotInStore, match="there is no such file"):
        restore_store(tmp_path / "nothing.sqlite", ctx.store_path)
    assert list_sessions(ctx) == before


def test_a_backup_of_a_newer_version_is_not_put_back(ctx: Context, tmp_path: Path) -> None:
    newer = tmp_path / "newer.sqlite"
    step = Migration("newer", add_a_table)
    open_store(newer, migrations=(*MIGRATIONS, step)).close()
    with pytest.raises(StoreProblem, match="written by a newer rideready"):
        restore_store(newer, ctx.store_path)


def test_a_migration_keeps_what_was_before_it(ctx: Context) -> None:
    ctx.store.close()
    step = Migration("newer", add_a_table)
    open_store(ctx.store_path, migrations=(*MIGRATIONS, step)).close()
    newest = list_backups(ctx.store_path)[0]
    assert newest.path.name.endswith(f"-automatic-schema-{len(MIGRATIONS)}.sqlite")
    assert len(list_sessions(open_context(newest.path))) == 2


def test_without_room_for_the_copy_no_migration_begins(ctx: Context, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    ctx.store.close()
    monkeypatch.setattr("rideready.store.sqlite_file.back_up_unasked", fail)
    step = Migration("newer", add_a_table)
    with pytest.raises(StoreProblem, match="no backup of it can be made"):
        open_store(ctx.store_path, migrations=(*MIGRATIONS, step))
    assert len(list_sessions(open_context(ctx.store_path))) == 2


def test_only_the_newest_copies_made_unasked_are_kept(ctx: Context) -> None:
    asked = back_up_store(ctx.store_path)
    made = [backups.back_up_unasked(ctx.store_path, "test") for _ in range(backups.AUTOMATIC_KEPT + 2)]
    there = [found.path for found in list_backups(ctx.store_path)]
    assert there == [*reversed(made[2:]), asked]


def test_copies_made_while_the_clock_was_wrong_stand_in_nobodys_way(ctx: Context, tmp_path: Path) -> None:
    for old in list_backups(ctx.store_path):
        old.path.unlink()
    for year in range(2090, 2090 + backups.AUTOMATIC_KEPT + 1):  # as many as are kept, and one more
        made = backups.back_up(ctx.store_path, why="automatic-weekly")
        stamp = made.name.split("-")[1]
        made.rename(made.with_name(made.name.replace(stamp, f"{year}{stamp[4:]}")))
    write_ride(tmp_path / "rides", days=2)
    import_paths(ctx, [tmp_path / "rides"])
    there = list_backups(ctx.store_path)
    assert there[0].made_utc < dt.datetime.now(dt.UTC)  # one was made, stayed, and is the first to be offered
    assert backups.last_good_backup(ctx.store_path) == there[0]
    assert len(list_sessions(open_context(there[0].path))) == 3
    assert len(there) == backups.AUTOMATIC_KEPT


def test_an_import_whose_copy_is_a_week_old_makes_another(
    ctx: Context, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keeping, "COPY_EVERY", dt.timedelta(0))
    write_ride(tmp_path / "rides", days=2)
    import_paths(ctx, [tmp_path / "rides"])
    assert len(list_backups(ctx.store_path)) == 2


def test_deleting_everything_leaves_no_trace_in_the_files(ctx: Context) -> None:
    with ctx.store.writing() as connection:
        set_setting(connection, "secret", "heart of glass")
    assert delete_everything(ctx.store_path) == 1
    for left in ctx.store_path.parent.iterdir():
        assert b"heart of glass" not in left.read_bytes()
        assert b"ride-00.csv" not in left.read_bytes()
    assert list_backups(ctx.store_path) == []
    assert list_sessions(open_context(ctx.store_path)) == []
