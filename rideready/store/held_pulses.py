"""The highest and the lowest pulse each session held, in and out of its summary."""

import datetime as dt
import json
from dataclasses import astuple, dataclass

from sqlalchemy import Connection, select, update

from rideready.model.maximum import HeldPulse, SustainedPulse
from rideready.store import schema


@dataclass(frozen=True, slots=True)
class HeldRow:
    """What one session with heart rate held.

    Parameters
    ----------
    session_id, day
        The session and its local day; None without a clock.
    held
        None if it was not looked for yet.
    """

    session_id: int
    day: dt.date | None
    held: HeldPulse | None


def held_rows(connection: Connection, rider_id: int) -> list[HeldRow]:
    """Read what a rider's sessions with heart rate held, newest first; those without a clock come last."""
    session = schema.session.c
    query = (
        select(session.id, session.local_day, session.held_pulse)
        .where(session.rider_id == rider_id, session.deleted_utc.is_(None), session.has_heart_rate != 0)
        .order_by(session.start_utc.is_(None), session.start_utc.desc(), session.id.desc())
    )
    return [
        HeldRow(
            row.id, dt.date.fromisoformat(row.local_day) if row.local_day else None, _held(row.held_pulse)
        )
        for row in connection.execute(query)
    ]


def keep_held(connection: Connection, session_id: int, held: HeldPulse) -> None:
    """Write down what a session held."""
    session = schema.session
    connection.execute(update(session).where(session.c.id == session_id).values(held_pulse=held_text(held)))


def held_text(held: HeldPulse | None) -> str | None:
    """Lay out what a session held as JSON: highest, lowest, each as bpm, its standard error and its second."""
    if held is None:
        return None
    return json.dumps([None if one is None else astuple(one) for one in (held.highest, held.lowest)])


def _held(text: str | None) -> HeldPulse | None:
    if text is None:
        return None
    return HeldPulse(*(None if one is None else SustainedPulse(*one) for one in json.loads(text)))
