"""Which recording is of a session that was also written down by hand, so that it counts once.

The diary holds days and no times, so that day, kind and length decide: nothing can overlap by the clock.
"""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rideready.model.session import Kind
from rideready.store.diary import LogEntry
from rideready.store.values import SessionRow

#: Written into a line of the diary that the rider wants counted beside every recording.
APART = "counted apart"
#: Lengths of one session, as planned and as recorded, differ by no more than this many min or this
#: share of the longer (ours: a plan of 30 min is ridden in 20 to 45, and hardly in an hour).
NEAR_MIN, NEAR_SHARE = 10.0, 1 / 3

_STEADY = frozenset({Kind.BIKE, Kind.RUN, Kind.WALK, Kind.SKI, Kind.ROW, Kind.RIDING})
#: Kinds under which a recorder may file what the diary calls by a word; a recording of no named kind fits all.
RECORDED_AS: Mapping[str, frozenset[Kind]] = {
    "strength": frozenset({Kind.STRENGTH}),
    "stretching": frozenset(),
    "circuit": frozenset({Kind.CIRCUIT}),
    "cardio": _STEADY,
    "bursts": _STEADY | {Kind.TEST},
}


@dataclass(frozen=True, slots=True)
class LoggedCircuit:
    """A circuit in the book of circuits, beside its recording.

    Parameters
    ----------
    day
        Local day.
    minutes
        How long the circuit alone takes.
    session_id
        Its recording; None if there is none.
    """

    day: dt.date
    minutes: float
    session_id: int | None = None


def pair_lines(
    entries: Sequence[LogEntry], rows: Sequence[SessionRow], *, circuits: Iterable[LoggedCircuit] = ()
) -> dict[int, int]:
    """Say which recording counts in the place of which line of the diary.

    A recording takes the place of a line of the same day whose kind and length are like its own, at most
    one line; lengths that are nearest go together first, and a named kind goes before an unnamed one.
    A lead-in, which is a steady piece without a rating on the day of a circuit, belongs to the circuit's
    recording if that is longer than the circuit by at least half the lead-in.

    Parameters
    ----------
    entries
        Lines of the diary, with their numbers; those marked `APART` stay apart.
    rows
        Recordings; those without a clock pair with nothing.
    circuits
        What the book of circuits holds: a recording named there is taken already.

    Returns
    -------
    dict
        Number of the line to number of the recording.
    """
    logged = {one.day: one for one in circuits}
    taken = {one.session_id for one in logged.values() if one.session_id is not None}
    of_day: dict[dt.date, list[SessionRow]] = {}
    for row in rows:
        if row.start_local is not None and row.session_id not in taken:
            of_day.setdefault(row.start_local.date(), []).append(row)
    asked = [entry for entry in entries if entry.kind in RECORDED_AS and APART not in entry.tags]
    fits = sorted(
        (row.kind is Kind.OTHER, gap, entry.number, row.session_id)
        for entry in asked
        for row in of_day.get(entry.day, ())
        if (gap := _gap(entry, row)) is not None
    )
    pairs: dict[int, int] = {}
    for _, _, number, session_id in fits:
        if number not in pairs and session_id not in taken:
            pairs[number] = session_id
            taken.add(session_id)
    minutes_of = {row.session_id: row.duration_s / 60.0 for row in rows}
    for entry in asked:
        circuit = logged.get(entry.day)
        if entry.number in pairs or circuit is None or circuit.session_id is None:
            continue
        if _leads_into(entry, minutes_of[circuit.session_id] - circuit.minutes):
            pairs[entry.number] = circuit.session_id
    return pairs


def _gap(entry: LogEntry, row: SessionRow) -> float | None:
    """Return by how many minutes line and recording differ; None if they are not one session."""
    if row.kind is not Kind.OTHER and row.kind not in RECORDED_AS[entry.kind]:
        return None
    if entry.minutes is None:
        return 0.0
    recorded_min = row.duration_s / 60.0
    gap = abs(entry.minutes - recorded_min)
    return gap if gap <= max(NEAR_MIN, NEAR_SHARE * max(entry.minutes, recorded_min)) else None


def _leads_into(entry: LogEntry, beyond_min: float) -> bool:
    """Say whether a circuit's recording that is so much longer than the circuit holds this lead-in."""
    is_lead_in = entry.kind == "cardio" and entry.rpe is None and entry.minutes is not None
    return is_lead_in and beyond_min >= (entry.minutes or 0.0) / 2
