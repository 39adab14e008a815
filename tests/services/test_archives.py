"""Recordings in archives are imported like others, once, and remembered with their archive."""

import gzip
import zipfile
from pathlib import Path

import pytest

from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.sessions import list_sessions
from rideready.store.sources import sessions_from
from tests.support.stores import write_ride


@pytest.fixture
def ctx(tmp_path: Path) -> Context:
    return open_context(tmp_path / "store" / "store.sqlite")


@pytest.fixture
def rides(tmp_path: Path) -> Path:
    """Make a folder of a plain ride, a packed one, an archive with a third and a copy, and a damaged archive."""
    folder = tmp_path / "rides"
    folder.mkdir()
    write_ride(folder, days=0)
    second, third = write_ride(tmp_path, days=1), write_ride(tmp_path, days=2)
    (folder / "second.csv.gz").write_bytes(gzip.compress(second.read_bytes()))
    with zipfile.ZipFile(folder / "all.zip", "w") as archive:
        archive.write(third, "deep/third.csv")
        archive.write(folder / "ride-00.csv", "copy.csv")
        archive.writestr("letter.csv", "Dear neighbour,\nthe snow machine is yours.\n")
    (folder / "damaged.zip").write_bytes((folder / "all.zip").read_bytes()[:-40])
    return folder


def test_recordings_in_archives_are_imported_once(ctx: Context, rides: Path) -> None:
    report = import_paths(ctx, [rides])
    assert (report.stored, report.duplicates) == (3, 1)
    assert {Path(note.file).relative_to(rides) for note in report.unreadable} == {
        Path("all.zip/letter.csv"),
        Path("damaged.zip"),
    }
    assert [row.files for row in list_sessions(ctx)] == [("third.csv",), ("second.csv",), ("ride-00.csv",)]
    again = import_paths(ctx, [rides])
    assert (again.stored, again.duplicates, again.unchanged) == (0, 4, 4)


def test_sessions_are_known_by_the_archive_they_came_in(ctx: Context, rides: Path) -> None:
    import_paths(ctx, [rides / "all.zip"])
    with ctx.store.reading() as connection:
        assert sessions_from(connection, ctx.rider_id, rides / "all.zip") == (1, 2)


def test_nothing_unpacked_is_left_behind(
    ctx: Context, rides: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "scratch").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "scratch"))
    import_paths(ctx, [rides])
    assert list((tmp_path / "scratch").iterdir()) == []
