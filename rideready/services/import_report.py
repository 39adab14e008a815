"""What became of the files of an import."""

from dataclasses import dataclass


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
