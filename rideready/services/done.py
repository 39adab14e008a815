"""What was really done: recordings and the diary, as the plan counts them."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence

from rideready.intensity import IntensityClass
from rideready.model.condition import Away, Illness, IllnessKind, Injury
from rideready.model.exercise import Joint
from rideready.model.season import WeekDone
from rideready.model.session import Kind
from rideready.model.week import WHOLE_BODY, DoneSession, MuscleGroup, SessionKind
from rideready.plan.history import week_done_from
from rideready.services.context import Context
from rideready.services.remembered import remembered
from rideready.store.circuits import circuits_done
from rideready.store.diary import LogEntry, log_entries
from rideready.store.sessions import session_rows
from rideready.store.values import SessionRow

#: A steady piece at least this long is a long one, min (ours).
LONG_PIECE_MIN = 50.0
#: Ratings from which a session without a recording counts as moderate and as vigorous: 3 is
#: "moderate" and 5 "hard" on the CR10 scale (Foster et al. 2001, J Strength Cond Res 15:109-15).
MODERATE_RPE, VIGOROUS_RPE = 3.0, 5.0
#: Vigorous minutes from which a day counts as hard (ours).
HARD_DAY_MIN = 10.0

#: Diary words for sessions, as the plan knows them.
DIARY_KINDS = {
    "strength": SessionKind.STRENGTH,
    "stretching": SessionKind.MOBILITY,
    "circuit": SessionKind.CIRCUIT,
    "cardio": SessionKind.EASY,
    "bursts": SessionKind.BURSTS,
}


def done_sessions(ctx: Context) -> tuple[DoneSession, ...]:
    """Return every session the plan counts, oldest first.

    A circuit in the diary with a recording of the same day takes its minutes from the recording.
    """
    return remembered(ctx, "done sessions", lambda: _done_sessions(ctx))


def _done_sessions(ctx: Context) -> tuple[DoneSession, ...]:
    with ctx.store.reading() as connection:
        rows = session_rows(connection, ctx.rider_id)
        entries = log_entries(connection, ctx.rider_id)
        circuit_days = {log.date for log in circuits_done(connection, ctx.rider_id)}
    circuits = circuit_recordings(rows, circuit_days)
    done = [
        _recorded(row, day, is_circuit=row.session_id in circuits)
        for row in rows
        if (day := local_day(row)) is not None
    ]
    recorded_days = {session.day for session in done if session.kind is SessionKind.CIRCUIT}
    done += [
        DoneSession(day, SessionKind.CIRCUIT, 20, 20, 0, WHOLE_BODY, is_hard=True)
        for day in sorted(circuit_days - recorded_days)
    ]
    done += [_written(entry) for entry in entries if entry.kind in DIARY_KINDS]
    return tuple(sorted(done, key=lambda session: session.day))


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
    illnesses: list[Illness] = []
    injuries: dict[Joint, Injury] = {}
    for entry in entries:
        if entry.kind == "illness":
            kind = IllnessKind.FEVER if "fever" in entry.tags else IllnessKind.COLD
            illnesses.append(Illness(kind, entry.day))
        elif entry.kind == "well" and illnesses and illnesses[-1].last_day is None:
            ended = max(entry.day - dt.timedelta(days=1), illnesses[-1].first_day)
            illnesses[-1] = Illness(illnesses[-1].kind, illnesses[-1].first_day, ended)
        elif entry.kind == "sore":
            joints = [Joint(tag) for tag in entry.tags if tag in set(Joint)]
            injuries |= {joint: Injury(joint, entry.day) for joint in joints}
        elif entry.kind == "healed":
            for tag in entry.tags:
                if tag in set(Joint):
                    injuries.pop(Joint(tag), None)
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
    away: list[Away] = []
    for entry in entries:
        if entry.kind == "away":
            first, last = (dt.date.fromisoformat(day) for day in entry.tags)
            away.append(Away(first, last))
        elif entry.kind == "home":
            eve = entry.day - dt.timedelta(days=1)
            away = [Away(one.first, min(one.last, eve)) for one in away if one.first <= eve]
    return tuple(away)


def _recorded(row: SessionRow, day: dt.date, *, is_circuit: bool) -> DoneSession:
    minutes = row.duration_s / 60.0
    moderate, vigorous = _minutes_by_class(row, minutes)
    is_lifting = is_circuit or row.kind is Kind.STRENGTH
    kind = SessionKind.LONG if minutes >= LONG_PIECE_MIN else SessionKind.EASY
    if is_lifting:
        kind = SessionKind.CIRCUIT if is_circuit else SessionKind.STRENGTH
    return DoneSession(
        day,
        kind,
        minutes,
        moderate + 2.0 * vigorous,
        vigorous,
        WHOLE_BODY if is_lifting else frozenset(),
        is_hard=vigorous >= HARD_DAY_MIN,
    )


def _minutes_by_class(row: SessionRow, minutes: float) -> tuple[float, float]:
    """Return moderate and vigorous minutes, from heart rate or, without it, from the rating."""
    if row.class_minutes is not None and row.has_heart_rate:
        vigorous = sum(row.class_minutes[IntensityClass.VIGOROUS :])
        return row.class_minutes[IntensityClass.MODERATE], vigorous
    return _minutes_by_rating(minutes, row.rpe)


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
