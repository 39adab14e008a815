"""Where files wait that were sent to the dashboard, and the thread that imports them one lot after another.

The pages stay quick meanwhile: requests only look at the lines kept here. A lot is imported as the
command line does it, spread over processes where it is large; whoever stops the dashboard in the middle
finds only whole sessions in the store.
"""

import datetime as dt
import re
import shlex
import shutil
import tempfile
import threading
import weakref
from collections import defaultdict
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath
from typing import Any, Final

from dashboards import formats
from dashboards.components.upload import MOST_FILES
from dashboards.urls import session_address
from dashboards.words import say
from rideready.errors import RidereadyError
from rideready.importers.mapping import ColumnMapping
from rideready.services.context import Context
from rideready.services.import_report import ImportProgress, ImportReport
from rideready.services.importing import import_paths
from rideready.services.sessions import list_sessions, sessions_of_file

#: How an importer names the options between which the rider must choose.
_CHOICE: Final = re.compile(r"Say which with (?P<options>--.+)\.$")
#: Options that one press can answer with; others want a word of the rider's own.
_WHOLE: Final = re.compile(r"--(?P<name>column|unit|dates|decimal|times|zone) (?P<value>.+)", re.DOTALL)
#: Notes told of one file or archive, so that no line grows without bound.
_MOST_NOTES: Final = 20
_LONGEST_NAME: Final = 120


@dataclass(frozen=True, slots=True)
class Line:
    """One file that was sent, and how far it is.

    Parameters
    ----------
    number
        In order of arrival, from 1.
    store
        Store and rider it is for.
    path, sha256
        Where it lies meanwhile, and the digest of its bytes in hex.
    revision
        Rises with every change of any line.
    n_read
        Recordings read so far, for archives.
    outcome
        ``stored``, ``duplicate``, ``unreadable`` or ``choice``; None until it is settled.
    said
        Sentences about it.
    sessions
        Number and local start of each session it gave.
    choices
        Options as typed, one for each reading of a file that has several.
    mapping
        What the rider has answered.
    """

    number: int
    store: Context
    path: Path
    sha256: str
    revision: int = 0
    n_read: int = 0
    is_waiting: bool = True
    outcome: str | None = None
    said: tuple[str, ...] = ()
    sessions: tuple[tuple[int, dt.datetime | None], ...] = ()
    choices: tuple[str, ...] = ()
    mapping: ColumnMapping = field(default_factory=ColumnMapping)

    def told(self) -> dict[str, Any]:
        """Return the line as the browser reads it."""
        return {
            "number": self.number,
            "state": self._state(),
            "is_done": self.outcome is not None,
            "outcome": self.outcome,
            "said": list(self.said),
            "links": [
                {"href": session_address(number), "text": formats.day_and_time(start)}
                for number, start in self.sessions
            ],
            "choices": [
                {"option": option, "text": say("upload.answer", option=_plainly(option))}
                for option in self.choices
            ],
        }

    def _state(self) -> str:
        if self.outcome is not None:
            return say(f"upload.{self.outcome}")
        if self.is_waiting:
            return say("upload.waiting")
        return say("upload.reading.of", done=self.n_read) if self.n_read > 1 else say("upload.reading")


class ImportDesk:
    """Takes files in and imports them in a thread of its own, in the order they came."""

    def __init__(self) -> None:
        self._folder: Path | None = None  # made with the first file
        self._lines: dict[int, Line] = {}
        self._revision = 0
        self._next_number = 1
        self._lock = threading.Lock()
        self._is_running = False

    def new_place(self, name: str) -> tuple[int, Path]:
        """Return a number and a place on disk for a file that is about to arrive under this name."""
        with self._lock:
            number, self._next_number = self._next_number, self._next_number + 1
            if self._folder is None:
                self._folder = Path(tempfile.mkdtemp(prefix="rideready-import-"))
                # What is still waiting for an answer goes with the dashboard.
                weakref.finalize(self, shutil.rmtree, self._folder, ignore_errors=True)
            folder = self._folder / str(number)
        folder.mkdir()
        return number, folder / plain_name(name)

    def is_full(self) -> bool:
        """Say whether so many files wait that no more are taken."""
        with self._lock:
            return sum(line.outcome is None for line in self._lines.values()) >= MOST_FILES

    def put(self, number: int, store: Context, path: Path, sha256: str) -> None:
        """Put a file that has arrived in the queue."""
        self._set(Line(number, store, path, sha256))
        self._run()

    def answer(self, number: int, option: str) -> None:
        """Read a file again, with the reading the rider chose; anything else is let be."""
        with self._lock:
            line = self._lines.get(number)
        if line is None or option not in line.choices:
            return
        mapping = line.mapping.overridden_by(_mapping_of(option))
        self._set(replace(line, mapping=mapping, outcome=None, is_waiting=True, said=(), choices=()))
        self._run()

    def since(self, revision: int) -> tuple[int, list[Line]]:
        """Return the newest revision, and the lines that changed since one."""
        with self._lock:
            changed = [line for line in self._lines.values() if line.revision > revision]
            return self._revision, changed

    def _set(self, line: Line) -> None:
        with self._lock:
            self._revision += 1
            self._lines[line.number] = replace(line, revision=self._revision)

    def _run(self) -> None:
        with self._lock:
            if self._is_running:
                return
            self._is_running = True
        threading.Thread(target=self._work, name="import", daemon=True).start()

    def _work(self) -> None:
        try:
            while lots := self._next_lots():
                for lot in lots:
                    self._import(lot)
        finally:
            with self._lock:
                self._is_running = False

    def _next_lots(self) -> list[list[Line]]:
        """Take what waits off the queue, those of one rider and one mapping together."""
        lots: dict[tuple[int, str], list[Line]] = defaultdict(list)
        with self._lock:
            for line in self._lines.values():
                if line.is_waiting:
                    lots[line.store.rider_id, str(line.mapping.to_dict())].append(line)
        return list(lots.values())

    def _import(self, lot: list[Line]) -> None:
        """Import one lot; whatever happens, no line of it is left open."""
        now = {line.path: replace(line, is_waiting=False) for line in lot}
        for line in now.values():
            self._set(line)
        report: ImportReport | None = None
        why = say("problem.unforeseen")
        try:
            report = import_paths(
                lot[0].store, list(now), progress=lambda done: self._note(now, done), mapping=lot[0].mapping
            )
        except RidereadyError as error:
            why = str(error)
        finally:
            starts = _starts_of_sessions(lot[0].store) if report else {}
            for line in now.values():
                told_line = (
                    settled(line, report, starts)
                    if report
                    else replace(line, outcome="unreadable", said=(why,))
                )
                self._set(told_line)
                if not told_line.choices:
                    shutil.rmtree(line.path.parent, ignore_errors=True)

    def _note(self, now: dict[Path, Line], progress: ImportProgress) -> None:
        for path, line in now.items():
            if belongs(progress.file, path):
                now[path] = moved = replace(line, n_read=line.n_read + 1)
                self._set(moved)
                return


def settled(line: Line, report: ImportReport, starts: dict[int, dt.datetime | None]) -> Line:
    """Say what became of a file.

    Parameters
    ----------
    line
        The file.
    report
        Of the import it was part of.
    starts
        Session number to its local start.
    """
    refused = [note for note in report.unreadable if belongs(note.file, line.path)]
    warned = [note for note in report.warnings if belongs(note.file, line.path)]
    found = sessions_of_file(line.store, line.sha256, path=line.path)
    sessions = tuple((number, starts[number]) for number in found if number in starts)
    is_archive = line.path.suffix.lower() == ".zip"
    said = [_told_with_place(note.file, line.path, note.reason) for note in (*refused, *warned)]
    choices: tuple[str, ...] = ()
    new = set(report.session_ids)
    if refused and not found:
        choices = _choices_in(refused[0].reason)
        outcome = "choice" if choices else "unreadable"
    else:
        outcome = "stored" if new & set(found) else "duplicate"
    if is_archive and (found or len(refused) > 1):
        counted = {"stored": len(new & set(found)), "known": len(set(found) - new), "refused": len(refused)}
        said.insert(0, say("upload.archive", **counted))
    if len(said) > _MOST_NOTES:
        said = [*said[:_MOST_NOTES], say("upload.more", n=len(said) - _MOST_NOTES)]
    return replace(line, outcome=outcome, said=tuple(said), sessions=sessions[:_MOST_NOTES], choices=choices)


def belongs(file: str, path: Path) -> bool:
    """Say whether a name in a report is a file that was sent, or lies in it."""
    return file == str(path) or file.startswith((f"{path}/", f"{path}:", f"{path} "))


def plain_name(name: str) -> str:
    """Return a name that is safe as a file's, whatever the browser sent: no folder, nothing unprintable."""
    last = PurePosixPath(name.replace("\\", "/")).name
    kept = "".join(character for character in last if character.isprintable() and character not in ':*?"<>|')
    stem = kept.strip(" .")
    if len(stem.encode()) > _LONGEST_NAME:
        suffix = PurePosixPath(stem).suffix[:10]
        stem = stem.encode()[: _LONGEST_NAME - len(suffix.encode())].decode(errors="ignore") + suffix
    return stem or "recording"


def _told_with_place(file: str, path: Path, reason: str) -> str:
    inside = file.removeprefix(str(path)).strip("/: ")
    return f"{inside}: {reason}" if inside else reason


def _choices_in(reason: str) -> tuple[str, ...]:
    """Find the options a sentence asks the rider to choose from; empty if it asks nothing."""
    found = _CHOICE.search(reason)
    if found is None:
        return ()
    options = [option for option in found["options"].split(" or ") if _WHOLE.fullmatch(option)]
    return tuple(options)


def _plainly(option: str) -> str:
    """Write an option for a press: ``--dates day-first`` as "dates day-first"."""
    return " ".join(shlex.split(option)).removeprefix("--").replace("=", ": ", 1)


def _mapping_of(option: str) -> ColumnMapping:
    name, value = shlex.split(option)
    key = name.removeprefix("--")
    told: dict[str, Any] = {key: [value] if key in {"column", "unit"} else value}
    return ColumnMapping.from_options(**told)


def _starts_of_sessions(store: Context) -> dict[int, dt.datetime | None]:
    return {row.session_id: row.start_local for row in list_sessions(store)}
