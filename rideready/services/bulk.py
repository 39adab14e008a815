"""Many riders' archives analysed at once into one table, over the cores of this machine or over several machines.

A folder is a rider. Nothing is stored. Every file goes through the same reader and analysis as an import, wherever it
is worked on, so that the table does not depend on who did the work. Machines are Dask's (``pip install
'.[bulk]'``): its scheduler already hands out work, notices machines that are gone and does their work again.
"""

from collections import deque
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from rideready.errors import BadInput
from rideready.importers.mapping import ColumnMapping
from rideready.importers.registry import READER_VERSION
from rideready.model.rider import Rider
from rideready.services.analysis import ANALYSIS_VERSION
from rideready.services.exporting import FIGURES, Row, sentences_of, write_csv_file
from rideready.services.finding import Found, find_files
from rideready.services.preparing import Prepared, Ready, Refused, Task, prepare, reason_of, refuse
from rideready.services.workers import spread
from rideready.store.connect import open_store
from rideready.store.place import Named, is_there, place_of
from rideready.store.riders import current_rider, rider_names
from rideready.store.values import MeasuredRecovery

#: What a row says of a file and its session; what it says of a recovery stands behind it.
_OF_SESSION: Final = (
    *("rider", "file", "problem", "start_utc", "zone", "kind", "device", "duration_s"),
    *("mean_hr_bpm", "highest_hr_bpm", "session_clean_share", "trimp"),
)
_OF_RECOVERY: Final = (
    "order",
    *FIGURES,
    *("altitude_m", "temperature_c", "reasons"),
)
#: Files under way on other machines at once: enough to keep some dozen cores busy, few enough for the memory here.
_UNDER_WAY: Final = 64
#: How long other machines are waited for at the start, s.
_PATIENCE_S: Final = 10


@dataclass(frozen=True, slots=True)
class Archives:
    """What became of a bulk analysis.

    Parameters
    ----------
    riders, files, sessions, recoveries
        How many of each went into the table.
    problems
        Files that gave nothing; their rows say why.
    """

    riders: int
    files: int
    sessions: int
    recoveries: int
    problems: int


def analyse_archives(
    folders: Sequence[Path],
    out: Path,
    *,
    riders: Mapping[str, Rider] | None = None,
    scheduler: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Archives:
    """Analyse the recordings in folders, one rider's in each, and write one table.

    A row is a recovery; a session without any has one row without it, and so has a file that gave nothing, with
    the reason as its ``problem``. Figures are as in an export.

    Parameters
    ----------
    folders
        Named like their riders, no two alike.
    out
        File for the table, as CSV.
    riders
        Numbers of the riders by name; who is not in it is analysed without any.
    scheduler
        Address of a Dask scheduler such as ``tcp://10.0.0.5:8786``; None works on all cores of this machine.
    progress
        Called with the number of files done and in all.

    Raises
    ------
    BadInput
        If a folder is none or two have one name, nobody answers at the address, workers there have another
        version, Dask is not installed, or the table cannot be written.
    """
    _check(folders)
    found: list[_Outcome] = []
    with TemporaryDirectory(prefix="rideready-") as scratch:
        recordings = _recordings(folders, riders or {}, Path(scratch))

        def rows() -> Iterator[Row]:
            with closing(_spread(recordings, scheduler)) as outcomes:
                for outcome in outcomes:
                    found.append(replace(outcome, rows=()))
                    yield from outcome.rows
                    if progress is not None:
                        progress(len(found), len(recordings))

        write_csv_file(rows(), out)
    return Archives(
        riders=len(folders),
        files=len(found),
        sessions=sum(outcome.n_sessions for outcome in found),
        recoveries=sum(outcome.n_recoveries for outcome in found),
        problems=sum(outcome.is_problem for outcome in found),
    )


def numbers_in_store(store: Named | None) -> dict[str, Rider]:
    """Return the numbers of all riders in a store by name; of none if it is not there yet."""
    if not is_there(place_of(store)):
        return {}
    opened = open_store(store)
    try:
        with opened.reading() as connection:
            return {
                name: current_rider(connection, number) for number, name in rider_names(connection).items()
            }
    finally:
        opened.close()


@dataclass(frozen=True, slots=True)
class _Recording:
    """One file of one rider; ``problem`` if there is nothing to read, ``data`` if it is sent to another machine."""

    rider_name: str
    file: str
    rider: Rider
    path: Path | None = None
    data: bytes | None = None
    problem: str | None = None


@dataclass(frozen=True, slots=True)
class _Outcome:
    """Rows of one file, and what they count for."""

    rows: tuple[Row, ...]
    n_sessions: int = 0
    n_recoveries: int = 0
    is_problem: bool = False


def _check(folders: Sequence[Path]) -> None:
    names: set[str] = set()
    for folder in folders:
        if not folder.is_dir():
            raise BadInput("this is no folder", str(folder), "Name folders, one for each rider")
        name = folder.resolve().name
        if name in names:
            raise BadInput(
                f"two folders are called {name!r}", str(folder), "Give each rider a name of its own"
            )
        names.add(name)


def _recordings(folders: Sequence[Path], riders: Mapping[str, Rider], scratch: Path) -> list[_Recording]:
    """Find every file; those in archives are unpacked into the scratch folder."""
    recordings = []
    for number, folder in enumerate(folders):
        name = folder.resolve().name
        rider, into = riders.get(name, Rider()), scratch / str(number)
        into.mkdir()
        found = sorted(find_files([folder], into), key=lambda file: str(file.name))
        if not found:
            recordings.append(_Recording(name, "", rider, problem="No recordings are in this folder."))
        for file in found:
            shown = file.name.relative_to(folder).as_posix()
            if isinstance(file, Found):
                recordings.append(_Recording(name, shown, rider, path=file.path))
            else:
                recordings.append(_Recording(name, shown, rider, problem=reason_of(file.problem)))
    return recordings


def _spread(recordings: Sequence[_Recording], scheduler: str | None) -> Generator[_Outcome, None, None]:
    if scheduler is None:
        return spread(_analyse, recordings, if_killed=_given_up)
    return _over_machines(recordings, scheduler)


def _analyse(recording: _Recording) -> _Outcome:
    """Read and analyse one file, wherever this runs."""
    if recording.problem is not None:
        return _problem(recording, recording.problem)
    with _at_hand(recording) as path:
        result = prepare(Task(path, recording.rider, ColumnMapping(), {}))
    if isinstance(result, Refused):
        return _problem(recording, result.reason)
    return _outcome(recording, result)


def _given_up(recording: _Recording) -> _Outcome:
    return _problem(recording, refuse(Task(Path(), recording.rider, ColumnMapping(), {})).reason)


@contextmanager
def _at_hand(recording: _Recording) -> Iterator[Path]:
    """Give a path to read from; what was sent as bytes is put into a folder of its own first."""
    if recording.data is None:
        yield recording.path or Path()
        return
    with TemporaryDirectory(prefix="rideready-") as folder:
        path = Path(folder, Path(recording.file).name)
        path.write_bytes(recording.data)
        yield path


def _problem(recording: _Recording, reason: str) -> _Outcome:
    row = {**dict.fromkeys((*_OF_SESSION, *_OF_RECOVERY)), **_of_file(recording), "problem": reason}
    return _Outcome((row,), is_problem=True)


def _outcome(recording: _Recording, prepared: Prepared) -> _Outcome:
    rows = tuple(row for ready in prepared.sessions for row in _rows_of(recording, ready))
    n_recoveries = sum(len(ready.analysis.recoveries) for ready in prepared.sessions)
    return _Outcome(rows, len(prepared.sessions), n_recoveries)


def _of_file(recording: _Recording) -> Row:
    return {"rider": recording.rider_name, "file": recording.file, "problem": None}


def _rows_of(recording: _Recording, ready: Ready) -> Iterator[Row]:
    session, analysis = ready.session, ready.analysis
    of_session = {
        **_of_file(recording),
        "start_utc": None if session.start_utc is None else session.start_utc.isoformat(),
        "zone": session.zone,
        "kind": str(session.kind),
        "device": session.device,
        "duration_s": session.duration_s,
        "mean_hr_bpm": analysis.mean_hr_bpm,
        "highest_hr_bpm": analysis.peak_hr_bpm,
        "session_clean_share": analysis.clean_share,
        "trimp": analysis.trimp,
    }
    if not analysis.recoveries:
        yield {**of_session, **dict.fromkeys(_OF_RECOVERY)}
    for measured in analysis.recoveries:
        yield {**of_session, **_of_recovery(measured)}


def _of_recovery(measured: MeasuredRecovery) -> Row:
    recovery = measured.recovery
    return {
        "order": recovery.order,
        **{name: getattr(recovery, name) for name in FIGURES},
        "altitude_m": measured.altitude_m,
        "temperature_c": measured.temperature_c,
        "reasons": sentences_of(recovery),
    }


def _over_machines(recordings: Sequence[_Recording], scheduler: str) -> Generator[_Outcome, None, None]:
    """Have Dask's workers analyse the files; they are sent along, so that no folder need be shared."""
    try:
        from distributed import Client, KilledWorker
    except ImportError as error:
        raise BadInput(
            "Dask is not installed", "--scheduler", "Install it with: pip install '.[bulk]'"
        ) from error
    try:
        connect: Any = Client  # it says nothing of its types
        client = connect(scheduler, timeout=_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise BadInput(
            "no scheduler answers there", scheduler, "Start one with: dask scheduler, and say its address"
        ) from error
    with client:
        _check_workers(client, scheduler)
        under_way: deque[tuple[_Recording, Any]] = deque()

        def next_done() -> _Outcome:
            recording, future = under_way.popleft()
            try:
                done: _Outcome = future.result()
            except KilledWorker:
                return _given_up(recording)
            return done

        for recording in recordings:
            under_way.append((recording, client.submit(_analyse, _packed(recording), pure=False)))
            if len(under_way) >= _UNDER_WAY:
                yield next_done()
        while under_way:
            yield next_done()


def _packed(recording: _Recording) -> _Recording:
    if recording.path is None:
        return recording
    try:
        return replace(recording, path=None, data=recording.path.read_bytes())
    except OSError as error:
        return replace(recording, path=None, problem=reason_of(error))


def _versions() -> tuple[int, int]:
    return READER_VERSION, ANALYSIS_VERSION


def _check_workers(client: Any, scheduler: str) -> None:
    """Refuse workers that would give other figures, or none."""
    try:
        client.wait_for_workers(1, timeout=_PATIENCE_S)
        found: dict[str, Any] = client.run(_versions)
    except TimeoutError as error:
        raise BadInput(
            "no worker has come there", scheduler, "Start some with: dask worker ADDRESS --nthreads 1"
        ) from error
    except ImportError as error:
        raise BadInput(
            "a worker there has no rideready", scheduler, "Install this version on every machine"
        ) from error
    others = [worker for worker, version in found.items() if tuple(version) != _versions()]
    if others:
        raise BadInput(
            f"another version of rideready works at {others[0]}",
            scheduler,
            "Install this version on every machine",
        )
