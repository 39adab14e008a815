"""Recordings come out of archives within bounds; no name in there leads anywhere."""

import gzip
import io
import zipfile
from pathlib import Path

import pytest

from rideready.errors import UnreadableFile
from rideready.importers import archives
from rideready.importers.archives import archives_in, is_archive, unpack


@pytest.fixture
def into(tmp_path: Path) -> Path:
    (tmp_path / "into").mkdir()
    return tmp_path / "into"


def a_zip(path: Path, **files: bytes) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def test_recordings_are_unpacked_under_the_names_they_had(tmp_path: Path, into: Path) -> None:
    files = {
        "a/one.csv": b"one",
        "b/one.csv": b"another",
        "two.fit.gz": gzip.compress(b"two"),
        "photo.jpg": b"x",
        "__MACOSX/._one.csv": b"x",
    }
    path = a_zip(tmp_path / "x.zip", **files)
    found = unpack(path, into)
    assert [(entry.name, entry.path.read_bytes(), entry.path.suffix) for entry in found] == [
        (path / "a/one.csv", b"one", ".csv"),
        (path / "b/one.csv", b"another", ".csv"),
        (path / "two.fit", b"two", ".fit"),
    ]


def test_a_single_packed_file_loses_its_suffix(tmp_path: Path, into: Path) -> None:
    path = tmp_path / "ride.csv.gz"
    path.write_bytes(gzip.compress(b"time"))
    (found,) = unpack(path, into)
    assert (found.name, found.path.read_bytes()) == (path / "ride.csv", b"time")


@pytest.mark.parametrize("name", ["../../up.csv", "/etc/up.csv", "..\\up.csv", "a/../../../up.csv"])
def test_a_name_that_leads_out_stays_inside(tmp_path: Path, into: Path, name: str) -> None:
    (found,) = unpack(a_zip(tmp_path / "x.zip", **{name: b"one"}), into)
    assert found.path.parent == into
    assert found.name.is_relative_to(tmp_path / "x.zip")
    assert ".." not in found.name.parts
    assert sorted(path.name for path in tmp_path.iterdir()) == ["into", "x.zip"]


@pytest.mark.parametrize("bound", ["LARGEST_FILE", "LARGEST_ARCHIVE", "RATIO_FROM", "MOST_FILES"])
def test_more_than_the_bounds_is_refused_before_it_is_written(
    tmp_path: Path, into: Path, bound: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = a_zip(tmp_path / "x.zip", **{f"{n}.csv": b"0" * 3_000_000 for n in range(3)})
    assert len(unpack(path, into)) == 3
    for old in into.iterdir():
        old.unlink()
    monkeypatch.setattr(archives, bound, 2 if bound == "MOST_FILES" else 2_000_000)
    with pytest.raises(UnreadableFile, match="which no recording does"):
        unpack(path, into)
    assert sum(file.stat().st_size for file in into.iterdir()) <= 2_000_000


def test_a_file_that_unpacks_a_thousandfold_is_refused(tmp_path: Path, into: Path) -> None:
    path = tmp_path / "bomb.csv.gz"
    path.write_bytes(gzip.compress(bytes(64 << 20)))
    with pytest.raises(UnreadableFile, match="more than 200 times its size"):
        unpack(path, into)
    assert (into / "0.csv").stat().st_size <= archives.RATIO_FROM


def test_a_size_that_lies_does_not_help(tmp_path: Path, into: Path) -> None:
    content = bytearray(a_zip(tmp_path / "x.zip", **{"one.csv": b"0" * 100_000}).read_bytes())
    entry = content.index(b"PK\x01\x02")
    content[entry + 24 : entry + 28] = (10).to_bytes(4, "little")
    (tmp_path / "x.zip").write_bytes(content)
    with pytest.raises(UnreadableFile, match="damaged"):
        unpack(tmp_path / "x.zip", into)


def damaged_archives() -> dict[str, bytes]:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("one.csv", bytes(range(256)) * 50)
    whole, packed = stream.getvalue(), gzip.compress(bytes(range(256)) * 50)
    flipped = bytearray(whole)
    flipped[60] ^= 0xFF
    return {
        "cut zip": whole[:-30],
        "flipped zip": bytes(flipped),
        "cut gzip": packed[:-20],
        "gzip of nothing": b"\x1f\x8b",
        "gzip of noise": b"\x1f\x8b" + bytes(40),
        "zip of noise": b"PK\x03\x04" + bytes(200),
    }


@pytest.mark.parametrize("which", damaged_archives())
def test_a_damaged_archive_is_one_sentence(tmp_path: Path, into: Path, which: str) -> None:
    path = tmp_path / "x.zip"
    path.write_bytes(damaged_archives()[which])
    assert is_archive(path)
    with pytest.raises(UnreadableFile) as problem:
        unpack(path, into)
    assert str(problem.value).startswith(f"{path}: the archive is damaged.")


def test_a_locked_archive_says_so(tmp_path: Path, into: Path) -> None:
    content = bytearray(a_zip(tmp_path / "x.zip", **{"one.csv": b"one"}).read_bytes())
    content[6] |= 1
    content[content.index(b"PK\x01\x02") + 8] |= 1
    (tmp_path / "x.zip").write_bytes(content)
    with pytest.raises(UnreadableFile, match="locked with a password"):
        unpack(tmp_path / "x.zip", into)


def test_an_archive_without_recordings_says_so(tmp_path: Path, into: Path) -> None:
    with pytest.raises(UnreadableFile, match="there is no recording in it"):
        unpack(a_zip(tmp_path / "x.zip", **{"photo.jpg": b"x"}), into)


def test_archives_are_found_in_folders_and_a_spreadsheet_is_none(tmp_path: Path) -> None:
    (tmp_path / "below").mkdir()
    found = a_zip(tmp_path / "below" / "x.zip", **{"one.csv": b"one"})
    a_zip(tmp_path / "sheet.zip", **{"[Content_Types].xml": b"<x/>"})
    a_zip(tmp_path / ".hidden.zip", **{"one.csv": b"one"})
    (tmp_path / "letter.gz").write_text("Dear neighbour")
    assert archives_in(tmp_path) == [found]
