"""Which sessions are there, and what was done in one of them."""

import datetime as dt
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from rideready.errors import BadInput
from rideready.intensity import IntensityClass, class_bounds_bpm
from rideready.load import session_rpe_load
from rideready.model.clean import CleanSignal
from rideready.model.session import Kind, Session
from rideready.services.context import Context
from rideready.services.twice import Twice, line_of, with_line
from rideready.signal.clean import clean
from rideready.signal.summary import left_out
from rideready.store.changes import change_counter
from rideready.store.connect import Store
from rideready.store.place import Address
from rideready.store.recoveries import recovery_rows
from rideready.store.riders import current_rider
from rideready.store.sessions import describe, load_session, session_numbers, session_row, session_rows
from rideready.store.sources import find_source, sessions_from
from rideready.store.values import RecoveryRow, SessionRow

__all__ = [
    "POSTURES",
    "RecoveryRow",
    "SessionRow",
    "SessionView",
    "describe_session",
    "get_session_row",
    "list_sessions",
    "neighbours_of",
    "session_view",
    "sessions_of_file",
    "usual_posture",
]

#: Postures that are told apart: the fall after the same effort is fastest lying and slowest moving on
#: (Barak et al. 2011, J Sports Sci Med 10:369-375).
POSTURES = ("standing", "seated", "lying")


#: Lists as they were read last, with when the store was written; making 3,000 rows takes 0.1 s, looking 20 µs.
_KEPT: dict[tuple[object, ...], tuple[tuple[int | str, ...], list[SessionRow]]] = {}
_MOST_KEPT: Final = 8
_SETTLED_NS: Final = 100_000_000


@dataclass(frozen=True, slots=True, eq=False)
class SessionView:
    """One session in full.

    Parameters
    ----------
    row
        Its summary.
    session, signal
        The raw samples, and the cleaned signal on its 1 s grid.
    recoveries
        In order of time.
    minutes_by_class
        Minutes by intensity class, lightest first; empty while the rider's maximum is unknown.
    class_bounds_bpm
        Intensity class, its lower and its upper heart rate, bpm; empty likewise.
    trimp
        Training impulse; None if it cannot be had.
    flagged
        One sentence for each kind of second that was left out, the most frequent first.
    session_rpe_load
        Session RPE times minutes; None while no RPE is logged.
    posture
        Posture in the recoveries: as logged, else as usual for the kind.
    twice
        The line of the diary that is of the same session; None if there is none. Where the summary has
        no rating or notes of its own, it has the line's.
    """

    row: SessionRow
    session: Session
    signal: CleanSignal
    recoveries: list[RecoveryRow]
    minutes_by_class: dict[IntensityClass, float]
    class_bounds_bpm: list[tuple[IntensityClass, float, float]]
    trimp: float | None
    flagged: tuple[str, ...]
    session_rpe_load: float | None
    posture: str
    twice: Twice | None = None


def list_sessions(
    ctx: Context, *, since: dt.date | None = None, until: dt.date | None = None, kind: Kind | None = None
) -> list[SessionRow]:
    """List sessions, newest first; those without a clock come last.

    Parameters
    ----------
    ctx
        Store and rider.
    since, until
        First and last local day; None leaves the side open.
    kind
        Only sessions of this kind.
    """
    asked = (ctx.store.place, ctx.rider_id, since, until, kind)
    stamp = written_at(ctx.store)
    kept = _KEPT.get(asked)
    if kept is not None and kept[0] == stamp:
        return list(kept[1])
    with ctx.store.reading() as connection:
        rows = session_rows(connection, ctx.rider_id, since=since, until=until, kind=kind)
    # A file system's clock ticks in steps of some ms: what was written just now may change unseen.
    if not isinstance(stamp[0], int) or time.time_ns() - stamp[0] > _SETTLED_NS:
        if len(_KEPT) >= _MOST_KEPT:
            _KEPT.clear()
        _KEPT[asked] = (stamp, rows)
    return list(rows)


def session_view(ctx: Context, session_id: int) -> SessionView:
    """Show one session; raises `NotInStore` if it is not there."""
    with ctx.store.reading() as connection:
        row = session_row(connection, ctx.rider_id, session_id)
        session = load_session(connection, session_id)
        recoveries = recovery_rows(connection, ctx.rider_id, session_id=session_id)
        rider = current_rider(connection, ctx.rider_id)
    signal = clean(session)
    twice = line_of(ctx, row)
    row = with_line(row, twice)
    return SessionView(
        row=row,
        session=session,
        signal=signal,
        recoveries=recoveries,
        minutes_by_class=dict(zip(IntensityClass, row.class_minutes or (), strict=False)),
        class_bounds_bpm=class_bounds_bpm(rider),
        trimp=row.trimp,
        flagged=tuple(reason.sentence for reason in left_out(signal)),
        session_rpe_load=None if row.rpe is None else session_rpe_load(row.rpe, row.duration_s / 60),
        posture=row.posture or usual_posture(row.kind),
        twice=twice,
    )


def written_at(store: Store) -> tuple[int | str, ...]:
    """Return when a store was written last, ns since 1970, and what else of its files tells of a change.

    Whatever program writes, the write-ahead log beside the store grows or is renewed. A server is asked.
    """
    path = store.place
    if isinstance(path, Address):
        return (change_counter(store),)
    facts = [place.stat() for place in (path, path.with_name(f"{path.name}-wal")) if place.exists()]
    return max(fact.st_mtime_ns for fact in facts), *(
        n for f in facts for n in (f.st_mtime_ns, f.st_size, f.st_ino)
    )


def get_session_row(ctx: Context, session_id: int) -> SessionRow:
    """Return one session's summary; raises `NotInStore` if the rider has none of this number."""
    with ctx.store.reading() as connection:
        return session_row(connection, ctx.rider_id, session_id)


def neighbours_of(ctx: Context, session_id: int) -> tuple[int | None, int | None]:
    """Return the numbers of the session before and of the one after in time; None beyond the ends."""
    with ctx.store.reading() as connection:
        numbers = session_numbers(connection, ctx.rider_id)
    place = numbers.index(session_id)
    earlier = numbers[place + 1] if place + 1 < len(numbers) else None
    return earlier, numbers[place - 1] if place else None


def sessions_of_file(ctx: Context, sha256: str, *, path: Path) -> tuple[int, ...]:
    """Return the numbers of the sessions a file gave, those that were there already included.

    Parameters
    ----------
    ctx
        Store and rider.
    sha256
        Digest of the file's bytes, in hex.
    path
        Where it lay when it was imported; for an archive, the recordings in it lay below that.
    """
    with ctx.store.reading() as connection:
        source = find_source(connection, ctx.rider_id, sha256)
        if source is not None:
            return source.session_ids
        return sessions_from(connection, ctx.rider_id, path)


def describe_session(
    ctx: Context,
    session_id: int,
    *,
    kind: Kind | None = None,
    posture: str | None = None,
    rpe: float | None = None,
    notes: str | None = None,
) -> SessionRow:
    """Write down what the rider knows about a session; None leaves a thing as it is.

    Parameters
    ----------
    ctx
        Store and rider.
    session_id
        Which session.
    kind
        What was done.
    posture
        How the recoveries were spent, one of `POSTURES`.
    rpe
        How hard the whole session was, 0 to 10 (session RPE).
    notes
        The rider's own words.

    Raises
    ------
    NotInStore
        If there is no such session.
    BadInput
        If the posture or the RPE cannot be.
    """
    if posture is not None and posture not in POSTURES:
        raise BadInput(f"the posture cannot be {posture!r}", what_to_do=f"Say one of {', '.join(POSTURES)}")
    if rpe is not None and not 0 <= rpe <= 10:
        raise BadInput(f"the session RPE cannot be {rpe:g}", what_to_do="Give a number from 0 to 10")
    told = {"kind": None if kind is None else str(kind), "posture": posture, "rpe": rpe, "notes": notes}
    with ctx.store.writing() as connection:
        session_row(connection, ctx.rider_id, session_id)  # is it there, and this rider's?
        describe(connection, session_id, {name: value for name, value in told.items() if value is not None})
        return session_row(connection, ctx.rider_id, session_id)


def usual_posture(kind: Kind) -> str:
    """Say which posture to assume where the rider did not log one: seated on a bike, a machine or in a boat.

    Common practice, no source.
    """
    return "seated" if kind in {Kind.BIKE, Kind.RIDING, Kind.ROW} else "standing"
