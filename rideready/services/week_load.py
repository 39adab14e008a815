"""Load, monotony and strain of weeks, from how hard each session felt."""

import datetime as dt
from dataclasses import dataclass

from rideready.load import monotony, session_rpe_load, strain
from rideready.model.reason import Reason, because
from rideready.services.context import Context
from rideready.services.done import (
    DIARY_KINDS,
    USUAL_CIRCUIT_MIN,
    circuit_recordings,
    local_day,
    monday_of,
    pairs_among,
    rpe_of,
)
from rideready.services.matching import circuit_log
from rideready.store.circuits import circuits_done
from rideready.store.diary import LogEntry, log_entries
from rideready.store.prescriptions import circuits_written
from rideready.store.sessions import session_rows
from rideready.store.values import SessionRow


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """One week's load.

    Parameters
    ----------
    start
        Its Monday.
    daily_loads
        Load of each of its seven days, Monday first, arbitrary units; 0 for days of rest and to come.
    load
        Their sum; None where sessions have no rating.
    monotony, strain
        None where they cannot be had; ``reasons`` say why.
    n_unrated
        Sessions without a rating.
    reasons
        What is missing, and why.

    References
    ----------
    Foster et al. 2001, J Strength Cond Res 15:109-15 (load). Foster 1998, Med Sci Sports Exerc 30:1164-8.
    """

    start: dt.date
    daily_loads: tuple[float, ...]
    load: float | None
    monotony: float | None
    strain: float | None
    n_unrated: int
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class _Rated:
    """One session as it counts: its load; None without a rating."""

    day: dt.date
    load: float | None


def week_loads(ctx: Context, *, weeks: int = 4) -> tuple[WeekLoad, ...]:
    """Work out the load of the present week and of those before it, oldest first.

    Parameters
    ----------
    ctx
        Store, rider and today.
    weeks
        How many weeks.
    """
    monday = monday_of(ctx.today)
    starts = [monday - dt.timedelta(weeks=n) for n in reversed(range(weeks))]
    rated = _rated(ctx, starts[0])
    return tuple(_week(start, rated, ctx.today) for start in starts)


def _week(start: dt.date, rated: list[_Rated], today: dt.date) -> WeekLoad:
    days = [start + dt.timedelta(days=n) for n in range(7)]
    loads = tuple(sum(one.load or 0.0 for one in rated if one.day == day) for day in days)
    n_unrated = sum(one.load is None for one in rated if one.day in days)
    if n_unrated:
        why = because("season.load_unrated", n=n_unrated)
        return WeekLoad(start, loads, None, None, None, n_unrated, (why,))
    if days[-1] >= today:
        open_week = because("season.load_week_open")
        return WeekLoad(start, loads, sum(loads), None, None, 0, (open_week,))
    evenness = monotony(loads)
    why_none = () if evenness is not None else (because("season.load_even"),)
    return WeekLoad(start, loads, sum(loads), evenness, strain(loads), 0, why_none)


def _rated(ctx: Context, since: dt.date) -> list[_Rated]:
    """Every session since a day with its load, counted once where it was both logged and recorded."""
    circuits = {log.date: log.rpe for log in circuit_log(ctx)}
    with ctx.store.reading() as connection:
        rows = session_rows(connection, ctx.rider_id, since=since, until=ctx.today)
        entries = log_entries(connection, ctx.rider_id, since=since, until=ctx.today)
        written = circuits_written(connection, ctx.rider_id)
        logged = {log.date for log in circuits_done(connection, ctx.rider_id)}
        pairs = pairs_among(connection, ctx.rider_id, rows, entries, circuit_days=logged)
    lines = {pairs[entry.number]: entry for entry in entries if entry.number in pairs}
    of_circuits = circuit_recordings(rows, set(circuits))
    found: list[_Rated] = []
    recorded: set[dt.date] = set()
    for row in rows:
        day = local_day(row)
        if day is None:
            continue
        is_circuit = row.session_id in of_circuits
        recorded |= {day} if is_circuit else set()
        told = rpe_of(row, lines.get(row.session_id))
        rpe = circuits.get(day) if is_circuit and told is None else told
        found.append(_Rated(day, _load(rpe, _minutes(row))))
    for day, rpe in circuits.items():
        if since <= day <= ctx.today and day not in recorded:
            minutes = written[day].minutes if day in written else USUAL_CIRCUIT_MIN
            found.append(_Rated(day, _load(rpe, minutes)))
    alone = [entry for entry in entries if _counts(entry) and entry.number not in pairs]
    return found + [_entry(entry, circuits.get(entry.day)) for entry in alone]


def _minutes(row: SessionRow) -> float:
    return row.duration_s / 60


def _load(rpe: float | None, minutes: float) -> float | None:
    return None if rpe is None else session_rpe_load(rpe, minutes)


def _counts(entry: LogEntry) -> bool:
    """Stretching counts only where it was rated."""
    return entry.kind in DIARY_KINDS and (entry.kind != "stretching" or entry.rpe is not None)


def _entry(entry: LogEntry, of_circuit: float | None) -> _Rated:
    """Rate a line of the diary; a lead-in without a rating was one session with the day's circuit."""
    is_lead_in = entry.kind == "cardio" and entry.rpe is None
    minutes = entry.minutes or USUAL_CIRCUIT_MIN
    return _Rated(entry.day, _load(of_circuit if is_lead_in else entry.rpe, minutes))
