"""Which files an import is about, those in archives included."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rideready.errors import UnreadableFile
from rideready.importers.archives import archives_in, is_archive, unpack
from rideready.importers.registry import find_workout_files


@dataclass(frozen=True, slots=True)
class Found:
    """A file to be imported.

    Parameters
    ----------
    path
        Where its bytes lie.
    name
        Where it lies to the rider's mind: itself, or the archive with its name in there.
    """

    path: Path
    name: Path


@dataclass(frozen=True, slots=True, eq=False)
class Sealed:
    """An archive nothing could be had from.

    Parameters
    ----------
    name
        Where it lies.
    problem
        Why.
    """

    name: Path
    problem: UnreadableFile


def find_files(paths: list[Path], into: Path) -> list[Found | Sealed]:
    """Find the files to import, recordings before archives.

    Parameters
    ----------
    paths
        Files, taken as they are, and folders, searched through.
    into
        An empty folder for what is unpacked; the caller removes it after the import.
    """
    files = find_workout_files(paths)
    archives = dict.fromkeys(path for path in files if is_archive(path))
    for path in paths:
        if path.is_dir():
            archives.update(dict.fromkeys(archives_in(path)))
    found: list[Found | Sealed] = [Found(path, path) for path in files if path not in archives]
    for number, archive in enumerate(archives):
        found += _in_archive(archive, into / str(number))
    return found


def _in_archive(archive: Path, into: Path) -> Iterator[Found | Sealed]:
    into.mkdir()
    try:
        for unpacked in unpack(archive, into):
            yield Found(unpacked.path, unpacked.name)
    except UnreadableFile as problem:
        yield Sealed(archive, problem)
