"""Bring files in: read, recognise, analyse, store, and say what happened to each."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rideready.services.context import Context


@dataclass(frozen=True, slots=True)
class FileNote:
    """Something to say about one file.

    Parameters
    ----------
    file
        The file, as the rider named it.
    reason
        One sentence.
    """

    file: str
    reason: str


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What became of the files.

    Parameters
    ----------
    stored
        Sessions that are new in the store.
    duplicates
        Sessions that were there already, those of unchanged files included.
    unchanged
        Files known from an earlier import, which were not read again.
    unreadable
        Files that gave no session, and why.
    warnings
        What the rider should know about files that did.
    session_ids
        Numbers of the new sessions.
    """

    stored: int
    duplicates: int
    unchanged: int
    unreadable: tuple[FileNote, ...]
    warnings: tuple[FileNote, ...]
    session_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ImportProgress:
    """How far an import has come.

    Parameters
    ----------
    done, total
        Files finished and files in all.
    file
        The file just finished.
    outcome
        ``stored``, ``duplicate``, ``unchanged`` or ``unreadable``.
    """

    done: int
    total: int
    file: str
    outcome: str


def import_paths(
    ctx: Context,
    paths: Iterable[Path],
    *,
    progress: Callable[[ImportProgress], None] | None = None,
    mapping: Mapping[str, Any] | None = None,
) -> ImportReport:
    """Import files and folders.

    Parameters
    ----------
    paths
        Files, taken as they are, and folders, searched through for recordings.
    progress
        Called after each file.
    mapping
        Column meaning and other choices for files that can be read in more than one way.
    """
    raise NotImplementedError
