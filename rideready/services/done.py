"""What was really done: recordings and the diary, as the plan counts them."""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence

from sqlalchemy import Connection

from rideready.intensity import IntensityClass
from rideready.model.condition import Away, Illness, IllnessKind, Injury
from rideready.model.exercise import Joint
from rideready.model.season import WeekDone
from rideready.model.session import Kind
from rideready.model.week import WHOLE_BODY, DoneSession, MuscleGroup, SessionKind
from rideready.plan.history import week_done_from
from rideready.services.context import Context
from rideready.services.pairing import LoggedCircuit, pair_lines
from rideready.services.remembered import remembered
from rideready.services.stretches import AWAY, stretches
from rideready.store.circuits import circuits_done
from rideready.store.diary import LogEntry, log_entries
from rideready.store.prescriptions import circuits_written
from rideready.store.sessions import session_rows
from rideready.store.values import SessionRow

#: A steady piece at least this long is a long one, min (ours).
LONG_PIECE_MIN = 50.0
#: Ratings from which a session without a recording counts as moderate and as vigorous: 3 is
#: "moderate" and 5 "hard" on the CR10 scale (Foster et al. 2001, J Strength Cond Res 15:109-15).
MODERATE_RPE, VIGOROUS_RPE = 3.0, 5.0
#: Vigorous minutes from which a day counts as hard (ours).
HARD_DAY_MIN = 10.0

#: Minutes of a circuit that was logged for a day of which no prescription is kept; ours.
USUAL_CIRCUIT_MIN = 20.0

#: Diary words for sessions, as the plan knows them.
DIARY_KINDS = {
    "strength": SessionKind.STRENGTH,
    "stretching": SessionKind.MOBILITY,
    "circuit": SessionKind.CIRCUIT,
    "cardio": SessionKind.EASY,
    "bursts": SessionKind.BURSTS,
}


def done_sessions(ctx: Context) -> tuple[DoneSession, ...]:
    """Return every session the plan counts, oldest first, each once.

    A circuit that was logged and recorded on the same day takes its minutes from the recording, and so
    does a line of the diary of which there is a recording (`rideready.services.pairing`).
    """
    return remembered(ctx, "done sessions", lambda: _done_sessions(ctx))


def _done_sessions(ctx: Context) -> tuple[DoneSession, ...]:
    with ctx.store.reading() as connection:
        rows = session_rows(connection, ctx.rider_id)
        entries = log_entries(connection, ctx.rider_id)
        circuit_days = {log.date for log in circuits_done(connection, ctx.rider_id)}
        pairs = pairs_among(connection, ctx.rider_id, rows, entries, circuit_days=circuit_days)
    circuits = circuit_recordings(rows, circuit_days)
    lines = {pairs[entry.number]: entry for entry in entries if entry.number in pairs}
    done = [
        _recorded(row, day, is_circuit=row.session_id in circuits, line=lines.get(row.session_id))
        for row in rows
        if (day := local_day(row)) is not None
    ]
    recorded_days = {session.day for session in done if session.kind is SessionKind.CIRCUIT}
    done += [
        DoneSession(
            day, SessionKind.CIRCUIT, USUAL_CIRCUIT_MIN, USUAL_CIRCUIT_MIN, 0, WHOLE_BODY, is_hard=True
        )
        for day in sorted(circuit_days - recorded_days)
    ]
    done += [_written(entry) for entry in entries if entry.kind in DIARY_KINDS and entry.number not in pairs]
    return tuple(sorted(done, key=lambda session: session.day))


def pairs_among(
    connection: Connection,
    rider_id: int,
    rows: Sequence[SessionRow],
    entries: Sequence[LogEntry],
    *,
    circuit_days: Collection[dt.date],
) -> dict[int, int]:
    """Say which of some recordings count in the place of which of some lines of the diary.

    Parameters
    ----------
    connection, rider_id
        Where the circuits that were prescribed are kept, and whose.
    rows, entries
        Recordings, and lines of the diary.
    circuit_days
        Days on which a circuit was logged.

    Returns
    -------
    dict
        As of `rideready.services.pairing.pair_lines`.
    """
    recorded = circuit_recordings(rows, set(circuit_days))
    of_day = {local_day(row): row.session_id for row in rows if row.session_id in recorded}
    written = circuits_written(connection, rider_id) if circuit_days else {}
    circuits = [
        LoggedCircuit(day, written[day].minutes if day in written else USUAL_CIRCUIT_MIN, of_day.get(day))
        for day in circuit_days
    ]
    return pair_lines(entries, rows, circuits=circuits)


def circuit_recordings(rows: Iterable[SessionRow], logged: set[dt.date]) -> frozenset[int]:
    """Say which recordings are circuits: by their kind, else the longest of a day whose circuit was logged.

    A recording of strength training or of a field test is none of the latter.
    """
    found: set[int] = set()
    of_day: dict[dt.date, list[SessionRow]] = {}
    for row in rows:
        if row.kind is Kind.CIRCUIT:
            found.add(row.session_id)
        if (day := local_day(row)) in logged and day is not None:
            of_day.setdefault(day, []).append(row)
    for here in of_day.values():
        others = [row for row in here if row.kind not in {Kind.STRENGTH, Kind.TEST}]
        if others and not any(row.kind is Kind.CIRCUIT for row in here):
            found.add(max(others, key=lambda row: (row.duration_s, -row.session_id)).session_id)
    return frozenset(found)


def weeks_done(sessions: Sequence[DoneSession], *, before: dt.date) -> tuple[WeekDone, ...]:
    """Add sessions up to complete weeks before the week of a day, oldest first."""
    monday = monday_of(before)
    of_week: defaultdict[dt.date, list[DoneSession]] = defaultdict(list)
    for session in sessions:
        of_week[monday_of(session.day)].append(session)
    return tuple(week_done_from(start, of_week[start]) for start in sorted(of_week) if start < monday)


def monday_of(day: dt.date) -> dt.date:
    """Return the Monday of a day's week."""
    return day - dt.timedelta(days=day.weekday())


def local_day(row: SessionRow) -> dt.date | None:
    """Return the day of a session where it was recorded; None without a clock."""
    return None if row.start_local is None else row.start_local.date()


def conditions(ctx: Context) -> tuple[tuple[Illness, ...], tuple[Injury, ...]]:
    """Return illnesses and injuries from the diary; ``well`` and ``healed`` end them."""
    with ctx.store.reading() as connection:
        entries = log_entries(connection, ctx.rider_id, until=ctx.today)
    injuries: dict[Joint, Injury] = {}
    for entry in entries:
        joints = [Joint(tag) for tag in entry.tags if tag in set(Joint)]
        if entry.kind == "sore":
            injuries |= {joint: Injury(joint, entry.day) for joint in joints}
        elif entry.kind == "healed":
            injuries = {joint: injury for joint, injury in injuries.items() if joint not in joints}
    illnesses = (
        Illness(IllnessKind(one.cause), one.first, one.last)
        for one in stretches(entries)
        if one.cause != AWAY
    )
    return tuple(illnesses), tuple(injuries.values())


def soreness(ctx: Context) -> dict[MuscleGroup, dt.date]:
    """Return the muscle groups that are sore, each with the day that was last said; ``healed`` ends it."""
    with ctx.store.reading() as connection:
        entries = log_entries(connection, ctx.rider_id, until=ctx.today)
    sore: dict[MuscleGroup, dt.date] = {}
    for entry in entries:
        groups = [MuscleGroup(tag) for tag in entry.tags if tag in set(MuscleGroup)]
        if entry.kind == "sore":
            sore |= dict.fromkeys(groups, entry.day)
        elif entry.kind == "healed":
            sore = {group: told for group, told in sore.items() if group not in groups}
    return sore


def days_away(ctx: Context) -> tuple[Away, ...]:
    """Return the stretches of days away from the diary; ``home`` ends the present one and drops later ones."""
    with ctx.store.reading() as connection:
        entries = log_entries(connection, ctx.rider_id, until=ctx.today)
    return tuple(Away(one.first, one.last) for one in stretches(entries) if one.cause == AWAY and one.last)


def _recorded(row: SessionRow, day: dt.date, *, is_circuit: bool, line: LogEntry | None) -> DoneSession:
    """Count a recording; what only the rider knows of it comes from the line it counts in the place of."""
    minutes = row.duration_s / 60.0
    kind = _kind_of(row, minutes, is_circuit=is_circuit, line=line)
    moderate, vigorous = _minutes_by_class(row, minutes, rpe_of(row, line))
    if line is not None and kind in {SessionKind.STRENGTH, SessionKind.MOBILITY} and not row.has_heart_rate:
        moderate, vigorous = 0.0, 0.0  # as it counted when it stood in the diary alone
    is_lifting = kind in {SessionKind.STRENGTH, SessionKind.CIRCUIT}
    groups = WHOLE_BODY if line is None or is_circuit else _groups(line)
    return DoneSession(
        day,
        kind,
        minutes,
        moderate + 2.0 * vigorous,
        vigorous,
        groups if is_lifting else frozenset(),
        is_hard=vigorous >= HARD_DAY_MIN or kind is SessionKind.BURSTS,
    )


def rpe_of(row: SessionRow, line: LogEntry | None) -> float | None:
    """Return how hard a recorded session was: as told of the recording, else of the line it stands for."""
    return line.rpe if row.rpe is None and line is not None else row.rpe


def _kind_of(row: SessionRow, minutes: float, *, is_circuit: bool, line: LogEntry | None) -> SessionKind:
    if is_circuit:
        return SessionKind.CIRCUIT
    if line is not None and line.kind != "cardio":
        return DIARY_KINDS[line.kind]
    if row.kind is Kind.STRENGTH:
        return SessionKind.STRENGTH
    return SessionKind.LONG if minutes >= LONG_PIECE_MIN else SessionKind.EASY


def _minutes_by_class(row: SessionRow, minutes: float, rpe: float | None) -> tuple[float, float]:
    """Return moderate and vigorous minutes, from heart rate or, without it, from the rating."""
    if row.class_minutes is not None and row.has_heart_rate:
        vigorous = sum(row.class_minutes[IntensityClass.VIGOROUS :])
        return row.class_minutes[IntensityClass.MODERATE], vigorous
    return _minutes_by_rating(minutes, rpe)


def _minutes_by_rating(minutes: float, rpe: float | None) -> tuple[float, float]:
    rated = MODERATE_RPE if rpe is None else rpe
    if rated >= VIGOROUS_RPE:
        return 0.0, minutes
    return (minutes, 0.0) if rated >= MODERATE_RPE else (0.0, 0.0)


def _written(entry: LogEntry) -> DoneSession:
    kind = DIARY_KINDS[entry.kind]
    minutes = entry.minutes or 0.0
    counts = kind not in {SessionKind.STRENGTH, SessionKind.MOBILITY}
    moderate, vigorous = _minutes_by_rating(minutes, entry.rpe) if counts else (0.0, 0.0)
    groups = _groups(entry) if kind in {SessionKind.STRENGTH, SessionKind.CIRCUIT} else frozenset()
    is_hard = vigorous >= HARD_DAY_MIN or kind is SessionKind.BURSTS
    return DoneSession(entry.day, kind, minutes, moderate + 2.0 * vigorous, vigorous, groups, is_hard=is_hard)


def _groups(entry: LogEntry) -> frozenset[MuscleGroup]:
    """Muscle groups a strength session was for; all of them if not said."""
    return frozenset(MuscleGroup(tag) for tag in entry.tags if tag in set(MuscleGroup)) or WHOLE_BODY
