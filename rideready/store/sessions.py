"""Sessions in and out: a summary row to list, a blob of samples to look at."""

import datetime as dt
import json
import statistics
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, and_, insert, or_, select, update

from rideready.errors import NotInStore, StoreProblem
from rideready.model.clean import Flag
from rideready.model.recovery import Grade
from rideready.model.session import Kind, Pause, Session
from rideready.store import schema
from rideready.store.blobs import pack, unpack
from rideready.store.days import moment, moment_text, within_days
from rideready.store.held_pulses import held_text
from rideready.store.recoveries import replace_recoveries
from rideready.store.values import Analysis, SessionRow, local_time

#: Grades whose figures count in a session's summary.
TRUSTED = (Grade.GOOD, Grade.FAIR)


def add_session(
    connection: Connection, rider_id: int, session: Session, *, fingerprint: str, analysis: Analysis
) -> int:
    """Store a session with its samples and analysis; return its number.

    Parameters
    ----------
    connection
        Inside a writing transaction.
    rider_id
        Whose it is.
    session
        As read.
    fingerprint
        Key under which the same session in another file would be looked for.
    analysis
        What was worked out of it.
    """
    values = {
        "rider_id": rider_id,
        "kind": str(session.kind),
        "notes": "",
        **recorded_columns(session, fingerprint),
        **analysis_columns(analysis),
    }
    added = connection.execute(insert(schema.session).values(values).returning(schema.session.c.id))
    session_id = int(added.scalar_one())
    data = pack({"t_s": session.t_s, **session.channels})
    connection.execute(insert(schema.samples).values(session_id=session_id, data=data))
    replace_recoveries(connection, session_id, analysis.recoveries)
    return session_id


def replace_session(
    connection: Connection, session_id: int, session: Session, *, fingerprint: str, analysis: Analysis
) -> None:
    """Put a fuller recording of a stored session in the place of the one that is there.

    Its number stays, as does what the rider told about it; a kind that was not known is filled in.
    """
    table = schema.session
    changed = table.c.id == session_id
    values = {**recorded_columns(session, fingerprint), **analysis_columns(analysis)}
    connection.execute(update(table).where(changed).values(values))
    is_unknown = table.c.kind == str(Kind.OTHER)
    connection.execute(update(table).where(changed, is_unknown).values(kind=str(session.kind)))
    data = pack({"t_s": session.t_s, **session.channels})
    samples = schema.samples
    connection.execute(update(samples).where(samples.c.session_id == session_id).values(data=data))
    replace_recoveries(connection, session_id, analysis.recoveries)


def replace_analysis(connection: Connection, session_id: int, analysis: Analysis) -> None:
    """Put a new analysis of a stored session in the place of the old one."""
    connection.execute(
        update(schema.session).where(schema.session.c.id == session_id).values(analysis_columns(analysis))
    )
    replace_recoveries(connection, session_id, analysis.recoveries)


def describe(connection: Connection, session_id: int, changes: Mapping[str, Any]) -> None:
    """Set what the rider tells about a session: any of kind, posture, rpe and notes."""
    if changes:
        connection.execute(
            update(schema.session).where(schema.session.c.id == session_id).values(dict(changes))
        )


def load_session(connection: Connection, session_id: int) -> Session:
    """Read a whole session; raises `NotInStore` if there is none with this number."""
    query = (
        select(schema.session, schema.samples.c.data)
        .join(schema.samples, schema.samples.c.session_id == schema.session.c.id)
        .where(schema.session.c.id == session_id)
    )
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        raise NotInStore(f"there is no session {session_id}", what_to_do="List them with: rideready sessions")
    try:
        columns = unpack(row["data"])
    except StoreProblem as problem:
        raise StoreProblem(problem.what, f"session {session_id}", problem.what_to_do) from problem
    return Session(
        columns.pop("t_s"),
        columns,
        start_utc=moment(row["start_utc"]),
        zone=row["zone"],
        kind=Kind(row["kind"]),
        device=row["device"],
        pauses=tuple(Pause(*ends) for ends in json.loads(row["pauses"])),
        warnings=tuple(json.loads(row["warnings"])),
    )


def session_rows(
    connection: Connection,
    rider_id: int,
    *,
    since: dt.date | None = None,
    until: dt.date | None = None,
    kind: Kind | None = None,
) -> list[SessionRow]:
    """Read a rider's summaries, newest first; sessions without a clock come last."""
    session = schema.session.c
    query = (
        select(schema.session)
        .where(session.rider_id == rider_id, session.deleted_utc.is_(None))
        .where(*within_days(session.local_day, since, until))
        .order_by(session.start_utc.is_(None), session.start_utc.desc(), session.id.desc())
    )
    return _rows(connection, query if kind is None else query.where(session.kind == str(kind)))


def session_numbers(connection: Connection, rider_id: int) -> list[int]:
    """Return the numbers of a rider's sessions in the order of `session_rows`, and nothing else of them."""
    session = schema.session.c
    query = (
        select(session.id)
        .where(session.rider_id == rider_id, session.deleted_utc.is_(None))
        .order_by(session.start_utc.is_(None), session.start_utc.desc(), session.id.desc())
    )
    return list(connection.execute(query).scalars())


def session_row(connection: Connection, rider_id: int, session_id: int) -> SessionRow:
    """Read one summary; raises `NotInStore` if the rider has no session with this number."""
    session = schema.session.c
    query = select(schema.session).where(
        session.rider_id == rider_id, session.id == session_id, session.deleted_utc.is_(None)
    )
    found = _rows(connection, query)
    if not found:
        raise NotInStore(f"there is no session {session_id}", what_to_do="List them with: rideready sessions")
    return found[0]


def fingerprints_near(connection: Connection, rider_id: int, day: dt.date | None) -> list[tuple[int, str]]:
    """Numbers and fingerprints of a rider's sessions that may be the same as one of a certain day.

    Parameters
    ----------
    connection
        To the store.
    rider_id
        Whose.
    day
        Local day of the session looked for; None takes all sessions. Those without a clock are always
        among them, as are those of three days before and after: clocks may be of other zones, and one
        of two recordings may be the end of a longer one. Deleted sessions are among them, so that an
        import does not bring them back unasked.
    """
    session = schema.session.c
    query = select(session.id, session.fingerprint).where(session.rider_id == rider_id).order_by(session.id)
    if day is not None:
        near = within_days(session.local_day, day - dt.timedelta(days=3), day + dt.timedelta(days=3))
        query = query.where(or_(session.local_day.is_(None), and_(*near)))
    return [(row.id, row.fingerprint) for row in connection.execute(query)]


def stale_sessions(connection: Connection, rider_id: int, *, version: int, made_for: str) -> list[int]:
    """Numbers of a rider's sessions whose analysis is of another version or for other numbers."""
    session = schema.session.c
    query = (
        select(session.id)
        .where(
            session.rider_id == rider_id,
            or_(session.analysis_version != version, session.analysed_for != made_for),
        )
        .order_by(session.id)
    )
    return list(connection.execute(query).scalars())


def recorded_columns(session: Session, fingerprint: str) -> dict[str, Any]:
    """Lay out what a session's summary keeps of the recording."""
    local = local_time(session.start_utc, session.zone)
    return {
        "start_utc": moment_text(session.start_utc),
        "zone": session.zone,
        "local_day": None if local is None else local.date().isoformat(),
        "device": session.device,
        "duration_s": session.duration_s,
        "n_samples": session.t_s.size,
        "has_heart_rate": session.has_heart_rate,
        "pauses": json.dumps([[pause.start_s, pause.end_s] for pause in session.pauses]),
        "warnings": json.dumps(session.warnings, ensure_ascii=False),
        "fingerprint": fingerprint,
    }


def analysis_columns(analysis: Analysis) -> dict[str, Any]:
    """Lay out what a session's summary keeps of its analysis."""
    trusted = [m.recovery for m in analysis.recoveries if m.recovery.grade in TRUSTED]
    drops = [recovery.hrr60_bpm for recovery in trusted if recovery.hrr60_bpm is not None]
    flagged = {int(flag): seconds for flag, seconds in analysis.flagged_s.items()}
    minutes = analysis.class_minutes
    return {
        "analysis_version": analysis.version,
        "analysed_for": analysis.made_for,
        "mean_hr_bpm": analysis.mean_hr_bpm,
        "peak_hr_bpm": analysis.peak_hr_bpm,
        "clean_share": analysis.clean_share,
        "flagged_s": json.dumps(flagged),
        "class_minutes": None if minutes is None else json.dumps(minutes),
        "maximum_is_predicted": analysis.maximum_is_predicted,
        "trimp": analysis.trimp,
        "n_recoveries": len(analysis.recoveries),
        "n_trusted": len(trusted),
        "median_hrr60_bpm": statistics.median(drops) if drops else None,
        "held_pulse": held_text(analysis.held),
    }


def _rows(connection: Connection, query: Select[Any]) -> list[SessionRow]:
    rows = connection.execute(query).mappings().all()
    files = _files_by_session(connection, [row["id"] for row in rows])
    return [_to_row(row, files.get(row["id"], ())) for row in rows]


def _files_by_session(connection: Connection, session_ids: list[int]) -> dict[int, tuple[str, ...]]:
    """Names of the files each session came from, in the order they were imported."""
    link, source = schema.source_session.c, schema.source_file.c
    query = select(link.session_id, source.path).join(schema.source_file, source.id == link.source_id)
    if len(session_ids) == 1:
        query = query.where(link.session_id == session_ids[0])
    names: dict[int, tuple[str, ...]] = {}
    for session_id, path in connection.execute(query.order_by(source.id)):
        names[session_id] = (*names.get(session_id, ()), PurePath(path).name)
    return names


def _to_row(row: RowMapping, files: tuple[str, ...]) -> SessionRow:
    flagged = json.loads(row["flagged_s"])
    minutes = row["class_minutes"]
    return SessionRow(
        session_id=row["id"],
        start_utc=moment(row["start_utc"]),
        zone=row["zone"],
        kind=Kind(row["kind"]),
        device=row["device"],
        duration_s=row["duration_s"],
        n_samples=row["n_samples"],
        has_heart_rate=bool(row["has_heart_rate"]),
        posture=row["posture"],
        rpe=row["rpe"],
        notes=row["notes"],
        mean_hr_bpm=row["mean_hr_bpm"],
        peak_hr_bpm=row["peak_hr_bpm"],
        clean_share=row["clean_share"],
        flagged_s={Flag(int(flag)): seconds for flag, seconds in flagged.items()},
        class_minutes=None if minutes is None else tuple(json.loads(minutes)),
        maximum_is_predicted=bool(row["maximum_is_predicted"]),
        trimp=row["trimp"],
        n_recoveries=row["n_recoveries"],
        n_trusted=row["n_trusted"],
        median_hrr60_bpm=row["median_hrr60_bpm"],
        warnings=tuple(json.loads(row["warnings"])),
        files=files,
    )
