"""Recordings packed in zip or gzip files, unpacked within bounds."""

import gzip
import os
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO, Final, Protocol

from rideready.errors import UnreadableFile

#: Bounds on what one archive may unpack to; a packed file says nothing true about its size, so bytes are
#: counted as they come. Ten years of daily recordings stay far below.
LARGEST_FILE: Final = 200 << 20
LARGEST_ARCHIVE: Final = 2 << 30
MOST_FILES: Final = 20_000
#: Above `RATIO_FROM` bytes, no recording packs better than this (text of a table reaches some 20).
HIGHEST_RATIO: Final = 200
RATIO_FROM: Final = 16 << 20

_GZIP: Final = b"\x1f\x8b"
_ZIP: Final = b"PK\x03\x04"
_BLOCK: Final = 1 << 20
#: What may be a recording by its name; other files in an archive (pictures, say) are passed over.
_SUFFIXES: Final = frozenset({".fit", ".csv", ".tsv", ".txt", ".zip"})


class _Readable(Protocol):
    def read(self, size: int, /) -> bytes: ...


@dataclass(frozen=True, slots=True)
class Unpacked:
    """A recording out of an archive.

    Parameters
    ----------
    path
        Where its bytes lie now.
    name
        Where it lay: the archive, then its name in there.
    """

    path: Path
    name: Path


def is_archive(path: Path) -> bool:
    """Tell by its first bytes whether a file is a zip or gzip file; a spreadsheet, a zip too, is none."""
    try:
        with path.open("rb") as stream:
            head = stream.read(4)
        if head[:2] == _GZIP:
            return True
        if head != _ZIP:
            return False
        with zipfile.ZipFile(path) as archive:
            return "[Content_Types].xml" not in archive.namelist()
    except (OSError, zipfile.BadZipFile, ValueError):
        return head == _ZIP if path.is_file() else False


def archives_in(folder: Path) -> list[Path]:
    """List the zip and gzip files in a folder and below, sorted; hidden ones are passed over."""
    found = []
    for root, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".")]
        found += [
            Path(root, name)
            for name in names
            if not name.startswith(".") and Path(name).suffix.lower() in {".zip", ".gz"}
        ]
    return sorted(path for path in found if is_archive(path))


def unpack(archive: Path, into: Path) -> list[Unpacked]:
    """Unpack the recordings of an archive.

    Parameters
    ----------
    archive
        A zip or gzip file; recordings in a zip file may be packed with gzip themselves.
    into
        An empty folder, which the caller removes. No name from the archive is used for a file.

    Raises
    ------
    UnreadableFile
        If it is damaged, locked with a password, holds no recording, or unpacks to more than the bounds.
    """
    try:
        with archive.open("rb") as stream:
            is_gzip = stream.read(2) == _GZIP
        found = list(_one(archive, into) if is_gzip else _many(archive, into))
    except UnreadableFile:
        raise
    except OSError as error:
        if isinstance(error, gzip.BadGzipFile):
            raise _damaged(archive) from error
        raise UnreadableFile(
            str(archive), f"it cannot be unpacked ({error.strerror or error})", "Unpack it first"
        ) from error
    except (EOFError, zlib.error, zipfile.BadZipFile, ValueError, NotImplementedError, RuntimeError) as error:
        raise _damaged(archive) from error
    if not found:
        raise UnreadableFile(
            str(archive), "there is no recording in it", "Name an archive of FIT or CSV files"
        )
    return found


def _one(archive: Path, into: Path) -> Iterator[Unpacked]:
    name = archive.name.removesuffix(".gz")
    place = into / f"0{Path(name).suffix}"
    with gzip.open(archive) as stream:
        _copy(stream, place, archive, archive.stat().st_size, LARGEST_ARCHIVE)
    yield Unpacked(place, archive / name)


def _many(archive: Path, into: Path) -> Iterator[Unpacked]:
    left = LARGEST_ARCHIVE
    with zipfile.ZipFile(archive) as packed:
        entries = [entry for entry in packed.infolist() if _may_be_recording(entry)]
        if len(entries) > MOST_FILES:
            raise _too_much(archive, f"{len(entries)} files")
        for number, entry in enumerate(entries):
            if entry.flag_bits & 1:
                raise UnreadableFile(str(archive), "it is locked with a password", "Unpack it first")
            name = "".join(sign for sign in "/".join(_parts(entry)) if sign.isprintable())
            place = into / f"{number}{PurePosixPath(name.removesuffix('.gz')).suffix}"
            with packed.open(entry) as stream:
                left -= _copy(_opened(stream), place, archive, entry.compress_size, left)
            yield Unpacked(place, archive / name.removesuffix(".gz"))


def _opened(stream: IO[bytes]) -> _Readable:
    """Unpack once more what is packed with gzip inside a zip file."""
    head = stream.read(2)
    stream.seek(0)
    return gzip.GzipFile(fileobj=stream) if head == _GZIP else stream


def _may_be_recording(entry: zipfile.ZipInfo) -> bool:
    parts = _parts(entry)
    is_hidden = any(part.startswith((".", "__MACOSX")) for part in parts)
    suffix = PurePosixPath(parts[-1].lower().removesuffix(".gz")).suffix if parts else ""
    return not entry.is_dir() and not is_hidden and suffix in _SUFFIXES


def _parts(entry: zipfile.ZipInfo) -> list[str]:
    """Return folders and name of an entry, without those that lead out of where it is."""
    parts = PurePosixPath(entry.filename.replace("\\", "/")).parts
    return [part for part in parts if part not in {"..", "/", "."}]


def _copy(stream: _Readable, place: Path, archive: Path, packed_size: int, left: int) -> int:
    """Write a stream to a file, never more than the bounds allow, and return its length."""
    size = 0
    with place.open("wb") as out:
        for block in _blocks(stream):
            size += len(block)
            if size > min(LARGEST_FILE, left):
                raise _too_much(archive, f"more than {min(LARGEST_FILE, left) >> 20} MB")
            if size > RATIO_FROM and size > HIGHEST_RATIO * max(packed_size, 1):
                raise _too_much(archive, f"more than {HIGHEST_RATIO} times its size")
            out.write(block)
    return size


def _blocks(stream: _Readable) -> Iterable[bytes]:
    while block := stream.read(_BLOCK):
        yield block


def _too_much(archive: Path, how_much: str) -> UnreadableFile:
    return UnreadableFile(
        str(archive), f"it unpacks to {how_much}, which no recording does", "Unpack it first"
    )


def _damaged(archive: Path) -> UnreadableFile:
    return UnreadableFile(str(archive), "the archive is damaged", "Download it again, or unpack it first")
