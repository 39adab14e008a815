"""Hold a store against itself: whether the file is whole, and everything in it fits together."""

import json
import math
import statistics
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection

from rideready.errors import StoreProblem
from rideready.importers.fingerprint import fingerprint
from rideready.model.session import Session
from rideready.services.analysis import ANALYSIS_VERSION, analyse, numbers_text
from rideready.store.backups import what_is_wrong
from rideready.store.connect import Store, open_store
from rideready.store.kept import KeptSession, all_session_ids, kept_session, orphans
from rideready.store.place import Named, Place, is_there, place_of
from rideready.store.recoveries import recovery_columns
from rideready.store.riders import current_rider
from rideready.store.sessions import TRUSTED, analysis_columns, load_session, recorded_columns

#: Two computations of one figure may differ by rounding, as a share of it; nothing else is let pass.
ROUNDING: Final = 1e-9

_Compare = Callable[[Connection, KeptSession, Session], "list[str] | None"]


@dataclass(frozen=True, slots=True)
class CheckReport:
    """What a check found.

    Parameters
    ----------
    n_sessions, n_recoveries
        How many were looked at, those of deleted sessions included.
    n_worked_out
        Sessions whose figures were worked out again and compared.
    problems
        One sentence for each thing that does not fit; none if all is well.
    """

    n_sessions: int
    n_recoveries: int
    n_worked_out: int
    problems: tuple[str, ...]


def check_structure(
    store: Named | None = None, *, progress: Callable[[int, int], None] | None = None
) -> CheckReport:
    """Check the file, its references, and that all samples can be read and fit their summaries.

    Parameters
    ----------
    store
        As for `rideready.services.context.open_context`.
    progress
        Called with the number of sessions done and in all.

    Raises
    ------
    StoreProblem
        If the store cannot even be opened.
    """
    return _check(place_of(store), _compare_nothing, progress)


def check_figures(
    store: Named | None = None, *, progress: Callable[[int, int], None] | None = None
) -> CheckReport:
    """Check as `check_structure` does, and work every figure out again from the samples to compare it.

    Sessions analysed by another version, or for other numbers of the rider, are passed over: the next
    command that opens the store works them out anyway.
    """
    return _check(place_of(store), _compare_figures, progress)


def _check(place: Place, compare: _Compare, progress: Callable[[int, int], None] | None) -> CheckReport:
    if not is_there(place):
        raise StoreProblem("there is no store here", str(place), "Name it with --store")
    store = open_store(place)
    n_sessions = n_recoveries = n_worked_out = 0
    try:
        problems = _file_problems(store)
        with store.reading() as connection:
            numbers = [] if problems else all_session_ids(connection)
            for n_sessions, number in enumerate(numbers, start=1):
                kept = kept_session(connection, number)
                n_recoveries += len(kept.recoveries)
                said, was_compared = _session_problems(connection, kept, compare)
                n_worked_out += was_compared
                problems += [f"Session {number}: {sentence}" for sentence in said]
                if progress is not None:
                    progress(n_sessions, len(numbers))
    finally:
        store.close()
    return CheckReport(n_sessions, n_recoveries, n_worked_out, tuple(problems))


def _file_problems(store: Store) -> list[str]:
    # A server looks after its own files; what they hold is read through below, there as here.
    if isinstance(store.place, Path) and (damage := what_is_wrong(store.place)) is not None:
        return [f"The file is damaged: {' '.join(damage.split())}."]
    with store.reading() as connection:
        return [
            f"A row of {table} belongs to a row of {owner} that is not there."
            for table, owner in orphans(connection)
        ]


def _session_problems(connection: Connection, kept: KeptSession, compare: _Compare) -> tuple[list[str], bool]:
    """Say what does not fit in a session, and whether its figures were worked out again."""
    try:
        session = load_session(connection, kept.session_id)
    except (StoreProblem, ValueError, KeyError) as error:
        return [f"the recording cannot be read ({error})"], False
    problems = [*_misfits(kept, session)]
    compared = compare(connection, kept, session)
    return problems + (compared or []), compared is not None


def _misfits(kept: KeptSession, session: Session) -> Iterator[str]:
    """Compare what a summary says with the samples and recoveries it stands for."""
    yield from _differences(kept.columns, recorded_columns(session, fingerprint(session)), "the samples give")
    trusted = [row for row in kept.recoveries if row["grade"] in TRUSTED]
    drops = [row["hrr60_bpm"] for row in trusted if row["hrr60_bpm"] is not None]
    found = {
        "n_recoveries": len(kept.recoveries),
        "n_trusted": len(trusted),
        "median_hrr60_bpm": statistics.median(drops) if drops else None,
    }
    yield from _differences(kept.columns, found, "its recoveries give")


def _compare_nothing(_: Connection, _kept: KeptSession, _session: Session) -> None:
    """Leave the figures as they are."""


def _compare_figures(connection: Connection, kept: KeptSession, session: Session) -> list[str] | None:
    """Work a session out again and say which figures differ; None if its analysis is not up to date."""
    rider = current_rider(connection, kept.rider_id)
    up_to_date = (ANALYSIS_VERSION, numbers_text(rider))
    if (kept.columns["analysis_version"], kept.columns["analysed_for"]) != up_to_date:
        return None
    analysis = analyse(session, rider)
    problems = [*_differences(kept.columns, analysis_columns(analysis), "it works out as")]
    for row, measured in zip(kept.recoveries, analysis.recoveries, strict=False):
        differ = _differences(row, recovery_columns(measured), "it works out as")
        problems += [f"recovery {row['position']}: {sentence}" for sentence in differ]
    return problems


def _differences(kept: Mapping[str, Any], expected: Mapping[str, Any], whence: str) -> Iterator[str]:
    for name, value in expected.items():
        if not _agree(_read(kept[name]), _read(value)):
            yield f"{name} is kept as {kept[name]!r}, but {whence} {value!r}."


def _read(value: Any) -> Any:
    """Read a list or an object of figures that is kept as text."""
    if isinstance(value, str) and value[:1] in {"[", "{"}:
        try:
            return json.loads(value)
        except ValueError:
            return value
    return value


def _agree(one: Any, other: Any) -> bool:
    """Tell whether two figures are the same, but for rounding."""
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_agree, one, other))
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_agree(one[name], other[name]) for name in one)
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=ROUNDING) or (math.isnan(one) and math.isnan(other))
    return bool(one == other)
