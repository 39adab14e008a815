"""Recordings of circuits beside the circuits that were prescribed for their days."""

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

from rideready.circuit.match import match_circuit
from rideready.model.circuit import Circuit, CircuitLog
from rideready.model.circuit_match import CircuitMatch
from rideready.model.session import Kind
from rideready.services.analysis import ANALYSIS_VERSION, numbers_text
from rideready.services.context import Context
from rideready.services.done import circuit_recordings, local_day
from rideready.signal.clean import clean
from rideready.store.circuits import circuits_done
from rideready.store.prescriptions import circuits_written, keep_match, kept_match
from rideready.store.riders import current_rider
from rideready.store.sessions import load_session, session_rows
from rideready.store.values import SessionRow

#: Goes up by one whenever the same recording and circuit would match otherwise than before.
MATCH_VERSION = 2
#: A recording of no named kind counts as the circuit if it shows the rounds.
_UNNAMED = frozenset({Kind.OTHER})


@dataclass(frozen=True, slots=True)
class MatchedCircuit:
    """A recording matched to the circuit prescribed for its day.

    Parameters
    ----------
    session_id, day
        Which recording, and its local day.
    rpe
        Session RPE as logged with the recording, 0 to 10; None if not.
    circuit
        What was prescribed.
    match
        What the recording shows of it.
    """

    session_id: int
    day: dt.date
    rpe: float | None
    circuit: Circuit
    match: CircuitMatch


def matched_circuits(ctx: Context) -> dict[dt.date, MatchedCircuit]:
    """Match every recording of a circuit to what was prescribed for its day, and keep what came of it.

    A recording is one of the circuit if it is of that kind, if it is the longest of a day on which the
    circuit was logged, or if it is of no named kind and shows the rounds. Work is done once: again only
    when the circuit, the rounds logged, the rider's numbers or the analysis changed.

    Returns
    -------
    dict
        By local day, oldest first; of two recordings on one day the longer.
    """
    with ctx.store.reading() as connection:
        written = circuits_written(connection, ctx.rider_id)
        if not written:
            return {}
        rows = session_rows(connection, ctx.rider_id, since=min(written), until=max(written))
        logged = {log.date: log.rounds_done for log in circuits_done(connection, ctx.rider_id)}
    known = circuit_recordings(rows, set(logged))
    found: dict[dt.date, MatchedCircuit] = {}
    for row in sorted(rows, key=lambda row: (row.duration_s, row.session_id)):
        day = local_day(row)
        if day is None or day not in written or not row.has_heart_rate:
            continue
        if row.session_id in known or (row.kind in _UNNAMED and day not in logged):
            match = _match(ctx, row, written[day], rounds_done=logged.get(day))
            if row.session_id in known or match.rounds:
                found[day] = MatchedCircuit(row.session_id, day, row.rpe, written[day], match)
    return dict(sorted(found.items()))


def match_of_session(ctx: Context, session_id: int) -> MatchedCircuit | None:
    """Return the match of one session; None if it is no recording of a prescribed circuit."""
    return next((one for one in matched_circuits(ctx).values() if one.session_id == session_id), None)


def circuit_log(ctx: Context) -> tuple[CircuitLog, ...]:
    """Return the circuits done, oldest first, with the recoveries and ratings that recordings add.

    A circuit that was recorded but not logged counts as done in full if its recording shows all rounds.
    """
    with ctx.store.reading() as connection:
        logged = circuits_done(connection, ctx.rider_id)
    matches = matched_circuits(ctx)
    days = {log.date for log in logged}
    unlogged = [_as_log(one) for day, one in matches.items() if day not in days and one.match.rounds]
    told = [_with_recording(log, matches) for log in logged]
    return tuple(sorted([*told, *unlogged], key=lambda log: log.date))


def _match(ctx: Context, row: SessionRow, circuit: Circuit, *, rounds_done: int | None) -> CircuitMatch:
    with ctx.store.reading() as connection:
        rider = current_rider(connection, ctx.rider_id)
        of_circuit = hashlib.sha256(repr(circuit).encode()).hexdigest()
        of_work = f"{row.n_samples} {of_circuit} {rounds_done}"
        made_for = f"{MATCH_VERSION} {ANALYSIS_VERSION} {of_work} {numbers_text(rider)}"
        kept = kept_match(connection, row.session_id, made_for=made_for)
        if kept is not None:
            return kept
        session = load_session(connection, row.session_id)
    match = match_circuit(clean(session), circuit, rider=rider, rounds_done=rounds_done)
    with ctx.store.writing() as connection:
        keep_match(connection, row.session_id, match, made_for=made_for)
    return match


def _with_recording(log: CircuitLog, matches: Mapping[dt.date, MatchedCircuit]) -> CircuitLog:
    found = matches.get(log.date)
    if found is None or set(found.circuit.names) != set(log.exercises):
        return log
    rpe = found.rpe if log.rpe is None else log.rpe
    recoveries = found.match.recoveries if log.recoveries is None else log.recoveries
    return replace(log, rpe=rpe, recoveries=recoveries)


def _as_log(found: MatchedCircuit) -> CircuitLog:
    circuit = found.circuit
    return CircuitLog(
        date=found.day,
        exercises=circuit.names,
        top_count=circuit.top_count,
        rounds_done=circuit.top_count,
        rpe=found.rpe,
        full_top_count=circuit.full_top_count if circuit.full_top_count != circuit.top_count else None,
        weights_kg=weights_of(circuit),
        recoveries=found.match.recoveries,
    )


def weights_of(circuit: Circuit) -> tuple[tuple[str, float], ...]:
    """Return exercise and weight of a circuit's stations that name one, kg."""
    return tuple(
        (station.exercise.name, station.weight_kg)
        for station in circuit.stations
        if station.weight_kg is not None
    )
