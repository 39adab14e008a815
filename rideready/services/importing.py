"""Bring files in: read, recognise, analyse, store, and say what happened to each."""

import datetime as dt
import hashlib
import tempfile
from collections.abc import Callable, Iterable, Mapping
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path

from sqlalchemy import Connection

from rideready.errors import BadInput
from rideready.importers.fingerprint import could_match, more_complete, same_session
from rideready.importers.mapping import ColumnMapping
from rideready.importers.registry import READER_VERSION
from rideready.services.clashes import lies_ahead, set_one_aside
from rideready.services.context import Context
from rideready.services.finding import Found, Sealed, find_files
from rideready.services.import_report import FileNote, ImportProgress, ImportReport
from rideready.services.keeping import keep_recent_copy
from rideready.services.preparing import Prepared, Ready, Refused, Task, prepare, reason_of, refuse
from rideready.services.reading_back import is_whole_store, read_back
from rideready.services.workers import spread
from rideready.store.deletion import deleted_sessions
from rideready.store.riders import current_rider
from rideready.store.sessions import add_session, fingerprints_near, load_session, replace_session
from rideready.store.sources import (
    SourceFile,
    all_mappings,
    known_sources,
    remember_mapping,
    remember_source,
)
from rideready.store.values import local_time

__all__ = ["FileNote", "ImportProgress", "ImportReport", "import_paths"]


@dataclass(slots=True)
class _Outcome:
    """What became of one file, gathered while it is dealt with."""

    source: SourceFile | None = None  # unless it is known from an earlier import
    original: "_Outcome | None" = None  # of the first file of these bytes in this import
    stored: list[int] = field(default_factory=list)
    known: list[int] = field(default_factory=list)
    set_aside: set[int] = field(default_factory=set)  # for another recording of the same workout
    is_unchanged: bool = False
    unreadable: str | None = None
    warnings: list[str] = field(default_factory=list)

    @property
    def word(self) -> str:
        if self.unreadable is not None:
            return "unreadable"
        if self.is_unchanged:
            return "unchanged"
        return "stored" if self.stored else "duplicate"


def import_paths(
    ctx: Context,
    paths: Iterable[Path],
    *,
    progress: Callable[[ImportProgress], None] | None = None,
    mapping: ColumnMapping | None = None,
) -> ImportReport:
    """Import files and folders.

    Each session is stored in a transaction of its own: a break at any moment leaves only whole
    sessions, and the next import goes on where this one stopped.

    Parameters
    ----------
    ctx
        Store and rider.
    paths
        Files, taken as they are, and folders, searched through for recordings; those in zip and gzip
        files are unpacked within bounds.
    progress
        Called after each file.
    mapping
        What the rider has said about the columns of tables that can be read in more than one way;
        remembered for files of the same shape.

    A whole store, as ``export everything`` writes it, is read into an empty store (`read_back`).

    Returns
    -------
    ImportReport
        What became of each file.
    """
    paths = list(paths)
    if (whole := _whole_store_in(paths)) is not None:
        return read_back(ctx, whole)
    with tempfile.TemporaryDirectory(prefix="rideready-") as folder:
        return _import(ctx, find_files(paths, Path(folder)), mapping or ColumnMapping(), progress)


def _import(
    ctx: Context,
    files: list[Found | Sealed],
    said: ColumnMapping,
    progress: Callable[[ImportProgress], None] | None,
) -> ImportReport:
    outcomes: dict[Path, _Outcome] = {}
    first_of: dict[str, _Outcome] = {}  # by content, so that a copy is not read beside its original
    with ctx.store.reading() as connection:
        known = known_sources(connection, ctx.rider_id)
    for file in files:
        outcomes[file.name] = outcome = _look_at(known, file, said)
        if outcome.source is not None:
            outcome.original = first_of.setdefault(outcome.source.sha256, outcome)
    to_read = [file.path for file in files if isinstance(file, Found) and _is_original(outcomes[file.name])]
    with closing(spread(prepare, _tasks(ctx, to_read, said), if_killed=refuse)) as results:
        for done, (name, outcome) in enumerate(outcomes.items(), start=1):
            if _is_original(outcome):
                _store(ctx, next(results), outcome)
            elif outcome.original is not None:
                outcome.unreadable = outcome.original.unreadable
                outcome.known = [*outcome.original.known, *outcome.original.stored]
            if progress is not None:
                progress(ImportProgress(done, len(outcomes), str(name), outcome.word))
    report = _report(outcomes, _deleted(ctx, outcomes))
    if report.stored:
        keep_recent_copy(ctx)
    return report


def _is_original(outcome: _Outcome) -> bool:
    return outcome.original is outcome


def _whole_store_in(paths: list[Path]) -> Path | None:
    """Return the whole store that is to be read back; raises `BadInput` if other things are named beside it."""
    whole = next((path for path in paths if is_whole_store(path)), None)
    if whole is not None and len(paths) > 1:
        raise BadInput("this is a whole store", str(whole), "Import it alone, into an empty store")
    return whole


def _look_at(known: Mapping[str, SourceFile], file: Found | Sealed, said: ColumnMapping) -> _Outcome:
    """Say what is known about a file before it is read; with its source if it has to be."""
    if isinstance(file, Sealed):
        return _Outcome(unreadable=reason_of(file.problem))
    try:
        source = _describe(file.path, file.name)
    except OSError as error:
        return _Outcome(unreadable=reason_of(error))
    before = known.get(source.sha256)
    # What could not be read before may be readable with what the rider says now.
    is_settled = before is not None and (before.unreadable_because is None or said == ColumnMapping())
    if before is None or not is_settled or before.reader_version != READER_VERSION:
        return _Outcome(source=source)
    return _Outcome(
        known=list(before.session_ids),
        is_unchanged=before.unreadable_because is None,
        unreadable=before.unreadable_because,
    )


def _tasks(ctx: Context, paths: list[Path], said: ColumnMapping) -> list[Task]:
    with ctx.store.reading() as connection:
        rider, remembered = current_rider(connection, ctx.rider_id), all_mappings(connection)
    return [Task(path, rider, said, remembered) for path in paths]


def _store(ctx: Context, result: Prepared | Refused, outcome: _Outcome) -> None:
    """Store what came of a file: each session in a transaction of its own, the file with the last."""
    source = outcome.source
    if source is None:
        return
    if isinstance(result, Refused):
        outcome.unreadable = result.reason
        if result.is_final:
            with ctx.store.writing() as connection:
                refused = replace(source, unreadable_because=result.reason)
                remember_source(connection, ctx.rider_id, refused)
        return
    for ready in result.sessions:
        with ctx.store.writing() as connection:
            _store_session(connection, ctx, ready, outcome)
            if ready is result.sessions[-1]:
                found = (*outcome.known, *outcome.stored)
                remember_source(connection, ctx.rider_id, replace(source, session_ids=found))
                if result.shape is not None and result.mapping:
                    remember_mapping(connection, result.shape, result.mapping)


def _store_session(connection: Connection, ctx: Context, ready: Ready, outcome: _Outcome) -> None:
    """Store a session unless it is there already; inside one transaction, so that nobody comes between."""
    ahead = None if ctx.is_simulated else lies_ahead(ready.session, ctx.today)
    said = (*ready.session.warnings, *([ahead] if ahead else []))
    outcome.warnings.extend(warning for warning in said if warning not in outcome.warnings)
    twin = _find_twin(connection, ctx.rider_id, ready)
    if twin is None:
        number = add_session(
            connection,
            ctx.rider_id,
            ready.session,
            fingerprint=ready.fingerprint,
            analysis=ready.analysis,
        )
        clash = set_one_aside(connection, ctx.rider_id, number, ready.session)
        if clash is not None:
            outcome.set_aside.add(clash[0])
            outcome.warnings.append(clash[1])
        (outcome.known if number in outcome.set_aside else outcome.stored).append(number)
        return
    outcome.known.append(twin.session_id)
    if twin.is_less:
        replace_session(
            connection,
            twin.session_id,
            ready.session,
            fingerprint=ready.fingerprint,
            analysis=ready.analysis,
        )
        outcome.warnings.append(f"It holds more of session {twin.session_id}, and took its place.")


@dataclass(frozen=True, slots=True)
class _Twin:
    """The same session in the store, and whether that recording holds less."""

    session_id: int
    is_less: bool


def _find_twin(connection: Connection, rider_id: int, ready: Ready) -> _Twin | None:
    """Find the same session in the store, whatever file it came from."""
    start = local_time(ready.session.start_utc, ready.session.zone)
    near = fingerprints_near(connection, rider_id, None if start is None else start.date())
    for number, known in near:
        if could_match(known, ready.fingerprint):
            there = load_session(connection, number)
            if same_session(there, ready.session):
                return _Twin(number, more_complete(there, ready.session) is ready.session)
    return None


def _describe(path: Path, name: Path) -> SourceFile:
    """Read what tells a file from any other."""
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while block := stream.read(1 << 20):
            digest.update(block)
        facts = path.stat()
    return SourceFile(
        sha256=digest.hexdigest(),
        path=str(name.absolute()),
        size=facts.st_size,
        modified_utc=dt.datetime.fromtimestamp(facts.st_mtime, dt.UTC),
        reader_version=READER_VERSION,
    )


def _deleted(ctx: Context, outcomes: dict[Path, _Outcome]) -> list[FileNote]:
    """Say which sessions of these files the rider deleted: an import does not bring them back unasked."""
    with ctx.store.reading() as connection:
        deleted = {found.session_id for found in deleted_sessions(connection, ctx.rider_id)}
    return [
        FileNote(
            str(path),
            f"Session {number} was deleted and stays so; bring it back with: rideready delete {number} --undo",
        )
        for path, outcome in outcomes.items()
        for number in sorted(deleted.intersection(outcome.known) - outcome.set_aside)
    ]


def _report(outcomes: dict[Path, _Outcome], deleted: list[FileNote]) -> ImportReport:
    return ImportReport(
        stored=sum(len(outcome.stored) for outcome in outcomes.values()),
        duplicates=sum(len(outcome.known) for outcome in outcomes.values()),
        unchanged=sum(outcome.is_unchanged for outcome in outcomes.values()),
        unreadable=tuple(
            FileNote(str(path), outcome.unreadable)
            for path, outcome in outcomes.items()
            if outcome.unreadable is not None
        ),
        warnings=(
            *(FileNote(str(path), said) for path, outcome in outcomes.items() for said in outcome.warnings),
            *deleted,
        ),
        session_ids=tuple(number for outcome in outcomes.values() for number in outcome.stored),
    )
