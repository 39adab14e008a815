"""Read any workout file, whatever its name says it is."""

import os
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from rideready.errors import UnreadableFile
from rideready.importers.chain import SIGNATURE
from rideready.importers.content import Content, content_of
from rideready.importers.mapping import ColumnMapping
from rideready.model.session import Session

#: Rises when the same bytes would give another session, so that stored ones can be read again.
READER_VERSION: Final = 2

#: Larger files are no workouts, bytes: a day of records at 1 s is some 5 MB of FIT or 10 MB of text.
LARGEST_FIT: Final = 64 << 20
LARGEST_TABLE: Final = 200 << 20

#: Times further apart belong to no session but to a wrong row, s. Own choice, no source: a ride across a
#: country is recorded day by day, and every second in between would have to be kept.
LONGEST_S: Final = 7 * 86_400.0

#: Names under which tables of samples go.
_TABLE_SUFFIXES: Final = frozenset({".csv", ".tsv", ".txt"})
_HEAD_BYTES: Final = 4096

Said = ColumnMapping | Mapping[str, Any] | None


def read_session(path: str | os.PathLike[str], *, mapping: Said = None, choices: Said = None) -> Session:
    """Read the session in a workout file.

    Parameters
    ----------
    path
        A FIT file, or a table in text.
    mapping
        What is remembered about tables of this shape (`shape_of`).
    choices
        What the rider says now; counts where both say something.

    Returns
    -------
    Session
        The longest one, with a warning, if the file holds several (`read_sessions` gives all).

    Raises
    ------
    UnreadableFile
        If the file gives no session; its sentence says why and what to do.
    ChoiceNeeded
        If the file can be read in more than one way; it names the options to type.
    """
    sessions = read_sessions(path, mapping=mapping, choices=choices)
    longest = max(sessions, key=lambda session: session.duration_s)
    if len(sessions) == 1:
        return longest
    sentence = f"The file holds {len(sessions)} sessions; this is the longest (read_sessions gives all)."
    return replace(longest, warnings=(sentence, *longest.warnings))


def read_sessions(
    path: str | os.PathLike[str], *, mapping: Said = None, choices: Said = None
) -> list[Session]:
    """Read every session in a workout file: chained activities, or a table with a column that tells them apart.

    Parameters
    ----------
    path, mapping, choices
        As for `read_session`.

    Returns
    -------
    list of Session
        At least one, in file order.

    Raises
    ------
    UnreadableFile, ChoiceNeeded
        As for `read_session`.
    """
    said = _as_mapping(mapping).overridden_by(_as_mapping(choices))
    name = os.fspath(path)
    try:
        content = _content(name)
        _check_size(name, content)
        if content is Content.FIT:
            from rideready.importers.fit import read_fit  # the decoders are not needed for tables

            return _of_sensible_length(name, read_fit(name, Path(name).read_bytes()))
        from rideready.importers.csv_file import read_table

        return _of_sensible_length(name, read_table(name, mapping=said))
    except OSError as fault:
        raise _not_readable(name, fault) from fault


def shape_of(path: str | os.PathLike[str]) -> str | None:
    """Return a key that tables with the same headings share, under which a mapping can be remembered.

    Parameters
    ----------
    path
        A workout file.

    Returns
    -------
    str or None
        None for a FIT file, whose fields leave nothing open.

    Raises
    ------
    UnreadableFile
        If the file is neither FIT nor a table.
    """
    name = os.fspath(path)
    try:
        if _content(name) is Content.FIT:
            return None
        from rideready.importers.csv_file import layout_of

        return layout_of(name).shape
    except OSError as fault:
        raise _not_readable(name, fault) from fault


def find_workout_files(paths: Iterable[str | os.PathLike[str]]) -> list[Path]:
    """Find the files to import.

    Parameters
    ----------
    paths
        Files, which are taken as they are, and folders, which are searched to the bottom.

    Returns
    -------
    list of Path
        Each once, in the order named, those of a folder sorted: tables by their suffix, FIT files by suffix or
        by their bytes. Hidden files and folders, and everything else, are passed over.
    """
    found: dict[Path, None] = {}
    for path in map(Path, paths):
        candidates = _in_folder(path) if path.is_dir() else [path]
        found.update(dict.fromkeys(candidates))
    return list(found)


def _in_folder(folder: Path) -> list[Path]:
    files = []
    for root, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".")]
        files += [Path(root, name) for name in names if not name.startswith(".")]
    return sorted(file for file in files if _may_be_workout(file))


def _may_be_workout(file: Path) -> bool:
    if file.suffix.lower() in _TABLE_SUFFIXES | {".fit"}:
        return True
    try:
        with file.open("rb") as opened:
            return opened.read(12)[8:] == SIGNATURE
    except OSError:
        return False


def _as_mapping(said: Said) -> ColumnMapping:
    if said is None:
        return ColumnMapping()
    return said if isinstance(said, ColumnMapping) else ColumnMapping.from_dict(said)


def _content(name: str) -> Content:
    with Path(name).open("rb") as file:
        return content_of(name, file.read(_HEAD_BYTES))


def _check_size(name: str, content: Content) -> None:
    size = Path(name).stat().st_size
    largest = LARGEST_FIT if content is Content.FIT else LARGEST_TABLE
    if size > largest:
        raise UnreadableFile(
            name,
            f"the file has {size >> 20} MB; a session has at most {largest >> 20}",
            "Export a single session",
        )


def _of_sensible_length(name: str, sessions: list[Session]) -> list[Session]:
    longest_s = max(session.duration_s for session in sessions)
    if longest_s > LONGEST_S:
        raise UnreadableFile(
            name,
            f"its times span {longest_s / 86_400:.0f} days; a session has at most {LONGEST_S / 86_400:.0f}",
            "Look for a row with a wrong time, and for the unit of the times",
        )
    return sessions


def _not_readable(name: str, fault: OSError) -> UnreadableFile:
    if isinstance(fault, FileNotFoundError):
        return UnreadableFile(name, "there is no such file", "Look at its name")
    if isinstance(fault, IsADirectoryError):
        return UnreadableFile(name, "this is a folder", "Name the files in it")
    reason = fault.strerror or type(fault).__name__
    return UnreadableFile(name, f"the file cannot be read ({reason})", "Look at its permissions")
