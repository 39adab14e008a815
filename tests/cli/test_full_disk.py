"""On a disk that is really full every command says so and leaves what was there whole and nothing half.

Once there is room it does its work.
"""

import contextlib
import io
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from rideready.cli.main import main
from rideready.services.checking import check_structure
from rideready.services.context import open_context
from rideready.services.importing import import_paths
from rideready.services.keeping import back_up_store
from rideready.services.sessions import list_sessions
from rideready.services.whole_store import export_whole
from rideready.store.connect import open_store
from rideready.store.migrations import MIGRATIONS
from tests.support.small_disk import SmallDisk, on_small_disk
from tests.support.stores import write_ride

#: Fewer than an import spreads over processes, which take seconds to start.
N_RIDES = 5
DISK_BYTES = 3 << 20
KIB = 1024
FULL = ("the disk is full", "No space left on device")


@dataclass(frozen=True, slots=True)
class Shelf:
    """What the disks are laid out from: recordings, a store of all of them, one of the first, and an export."""

    rides: Path
    many: Path
    one: Path
    exported: Path


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    folder = tmp_path_factory.mktemp("shelf")
    shelf = Shelf(folder / "rides", folder / "many.sqlite", folder / "one.sqlite", folder / "all.zip")
    shelf.rides.mkdir()
    first = write_ride(shelf.rides)
    context = open_context(folder / "store.sqlite")
    import_paths(context, [first])
    back_up_store(context.store_path, out=shelf.one)
    for days in range(1, N_RIDES):
        write_ride(shelf.rides, days=days)
    import_paths(context, [shelf.rides])
    back_up_store(context.store_path, out=shelf.many)
    export_whole(context, shelf.exported)
    context.store.close()
    return shelf


def told(*arguments: object) -> tuple[int, str]:
    """Run a command and return its exit code and what it said on stderr."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([str(argument) for argument in arguments])
    return code, err.getvalue()


def n_sessions(store: Path) -> int:
    context = open_context(store)
    try:
        return len(list_sessions(context))
    finally:
        context.store.close()


def contents(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def is_one_sentence_about_room(code: int, said: str) -> bool:
    return (
        code == 2
        and said.count("\n") == 1
        and said.startswith("rideready: ")
        and any(w in said for w in FULL)
    )


@pytest.mark.parametrize("leave", [0, 64 * KIB])
@pytest.mark.parametrize(
    "command",
    [
        ("backup",),
        ("backup", "--out", "copy.sqlite"),
        ("restore", "many"),
        ("export", "everything", "--out", "all"),
        ("export", "everything", "--out", "all.zip"),
        ("export", "samples", "--out", "samples.csv"),
    ],
    ids=" ".join,
)
def test_without_room_nothing_half_is_left_and_with_room_it_is_done(
    command: tuple[str, ...], leave: int, shelf: Shelf, tmp_path: Path
) -> None:
    if command[-1] == "all.zip":
        leave = min(leave, 16 * KIB)  # the store packs well

    def work(disk: SmallDisk) -> None:
        store = disk.root / "store.sqlite"
        shutil.copyfile(shelf.many, store)
        assert n_sessions(store) == N_RIDES
        *words, last = command
        place = {"many": shelf.many, "backup": last}.get(last, disk.root / last)
        disk.fill(leave=leave)
        before = contents(disk.root)
        code, said = told(*words, place, "--store", store)
        assert is_one_sentence_about_room(code, said), said
        if "--out" in words:
            assert said.startswith(f"rideready: {place}: ")  # that disk is meant, not the store's
        assert contents(disk.root) == before
        disk.make_room()
        assert told(*words, place, "--store", store)[0] == 0
        assert check_structure(store).problems == ()
        assert n_sessions(store) == N_RIDES

    on_small_disk(tmp_path, DISK_BYTES, work)


def test_a_restore_that_runs_out_of_room_half_way_leaves_the_store_as_it_was(
    shelf: Shelf, tmp_path: Path
) -> None:
    def work(disk: SmallDisk) -> None:
        store = disk.root / "store.sqlite"
        shutil.copyfile(shelf.one, store)
        assert n_sessions(store) == 1
        disk.fill(leave=shelf.one.stat().st_size + 90 * KIB)  # for the copy of what is there, and no more
        code, said = told("restore", shelf.many, "--store", store)
        assert is_one_sentence_about_room(code, said), said
        assert n_sessions(store) == 1
        disk.make_room()
        assert told("restore", shelf.many, "--store", store)[0] == 0
        assert n_sessions(store) == N_RIDES
        assert check_structure(store).problems == ()

    on_small_disk(tmp_path, DISK_BYTES, work)


def test_a_damaged_store_without_room_for_the_other_stays_and_leaves_no_scraps(
    shelf: Shelf, tmp_path: Path
) -> None:
    def work(disk: SmallDisk) -> None:
        store = disk.root / "store.sqlite"
        damaged = shelf.many.read_bytes()[:4096] + b"\xa5" * (shelf.many.stat().st_size - 4096)
        store.write_bytes(damaged)
        for leave in (16 * KIB, len(damaged) + 16 * KIB):  # none for keeping it aside, none for the copy
            disk.fill(leave=leave)
            code, said = told("restore", shelf.many, "--store", store)
            assert is_one_sentence_about_room(code, said), said
            disk.make_room()
            assert contents(disk.root) == {store: damaged}
        assert told("restore", shelf.many, "--store", store)[0] == 0
        assert n_sessions(store) == N_RIDES

    on_small_disk(tmp_path, DISK_BYTES, work)


@pytest.mark.parametrize("leave", [0, 40 * KIB])
def test_an_import_keeps_what_it_stored_and_the_next_one_completes_it(
    leave: int, shelf: Shelf, tmp_path: Path
) -> None:
    def work(disk: SmallDisk) -> None:
        store = disk.root / "store.sqlite"
        shutil.copyfile(shelf.one, store)
        assert n_sessions(store) == 1
        disk.fill(leave=leave)
        code, said = told("import", shelf.rides, "--store", store)
        assert is_one_sentence_about_room(code, said), said
        left = n_sessions(store)
        assert (1 <= left < N_RIDES) if leave else left == 1
        assert check_structure(store).problems == ()
        disk.make_room()
        assert told("import", shelf.rides, "--store", store)[0] == 0
        assert n_sessions(store) == N_RIDES
        assert check_structure(store).problems == ()

    on_small_disk(tmp_path, DISK_BYTES, work)


def test_an_export_that_does_not_fit_leaves_the_store_empty(shelf: Shelf, tmp_path: Path) -> None:
    def work(disk: SmallDisk) -> None:
        store = disk.root / "store.sqlite"
        assert n_sessions(store) == 0
        empty = contents(disk.root)
        for leave in (0, 100 * KIB, shelf.many.stat().st_size + 100 * KIB):
            disk.fill(leave=leave)
            code, said = told("import", shelf.exported, "--store", store)
            assert is_one_sentence_about_room(code, said), said
            disk.make_room()
            left = {path for path in contents(disk.root) if not path.parent.name.endswith("-backups")}
            assert left <= {*empty, Path(f"{store}-wal"), Path(f"{store}-shm")}
            assert n_sessions(store) == 0
        assert told("import", shelf.exported, "--store", store)[0] == 0
        assert n_sessions(store) == N_RIDES

    on_small_disk(tmp_path, DISK_BYTES, work)


def test_no_migration_begins_without_room_for_the_copy(tmp_path: Path) -> None:
    def work(disk: SmallDisk) -> None:
        store = disk.root / "store.sqlite"
        open_store(store, migrations=MIGRATIONS[:3]).close()
        before = contents(disk.root)
        disk.fill(leave=40 * KIB)
        code, said = told("sessions", "--store", store)
        assert is_one_sentence_about_room(code, said), said
        disk.make_room()
        assert contents(disk.root) == before
        assert n_sessions(store) == 0

    on_small_disk(tmp_path, DISK_BYTES, work)


def test_an_archive_that_cannot_be_unpacked_for_want_of_room_is_named(
    shelf: Shelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = tmp_path / "rides.zip"
    shutil.make_archive(str(archive.with_suffix("")), "zip", shelf.rides)
    room = tmp_path / "disk"
    room.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(room))

    def work(disk: SmallDisk) -> tuple[int, str]:
        disk.fill(leave=32 * KIB)
        outcome = told("import", archive, "--store", tmp_path / "store.sqlite")
        assert [path.name for path in disk.root.iterdir()] == ["filler"]
        return outcome

    code, said = on_small_disk(room, DISK_BYTES, work)
    assert code == 2
    assert "rides.zip: It cannot be unpacked (No space left on device). Unpack it first." in said
