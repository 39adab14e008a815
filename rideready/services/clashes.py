"""What cannot be: one rider in two workouts at once, or a workout still to come."""

import datetime as dt
from typing import Final

import numpy as np
from sqlalchemy import Connection

from rideready.model.session import FloatArray, Session
from rideready.store.deletion import mark_deleted
from rideready.store.sessions import load_session, session_rows
from rideready.store.values import SessionRow, local_time

#: Two recordings with this share of the shorter one in common are of one workout. Ours: a recorder stopped late
#: runs into the next workout by minutes.
_IN_COMMON: Final = 0.5
#: By how much longer the new recording has to be to count in the place of the one that is there.
_LONGER: Final = 1.1
#: Two sensors on one heart differ by less than this in the middle, bpm (ours: a wrist against a strap, while two
#: riders side by side may differ by anything).
_NEAR_BPM: Final = 10.0
#: Without a zone a clock may be hours off: then the pulses have to rise and fall together as well (correlation).
_TOGETHER: Final = 0.8
#: Sensors lag and clocks differ by up to this, s; pulses are compared where they agree best.
_SLACK_S: Final = 30
_FEWEST_S: Final = 60
#: Local days differ by one at most.
_TOMORROW: Final = dt.timedelta(days=1)


def set_one_aside(
    connection: Connection, rider_id: int, number: int, session: Session
) -> tuple[int, str] | None:
    """Look for another device's recording of the same workout, and let only one of both count.

    Parameters
    ----------
    connection
        To the store, in the transaction that stored the session.
    rider_id
        Whose.
    number, session
        The session just stored.

    Returns
    -------
    tuple of int and str, or None
        Which of both was set aside, as if it were deleted, and a sentence that says how to have it back. None if
        there is no other, or none that can be known to be one.
    """
    if session.start_utc is None or session.duration_s < _FEWEST_S:
        return None
    start = local_time(session.start_utc, session.zone) or session.start_utc
    near = session_rows(connection, rider_id, since=start.date() - _TOMORROW, until=start.date() + _TOMORROW)
    other = next(
        (row for row in near if row.session_id != number and _is_same(connection, row, session)), None
    )
    if other is None:
        return None
    gone = other.session_id if _counts_more(session, other) else number
    kept = number if gone == other.session_id else other.session_id
    mark_deleted(connection, rider_id, gone, dt.datetime.now(dt.UTC))
    return gone, (
        f"It is a second recording of the workout of session {other.session_id}: session {kept} counts, "
        f"and session {gone} was set aside (rideready delete {gone} --undo brings it back)."
    )


def lies_ahead(session: Session, today: dt.date) -> str | None:
    """Say that a session is still to come, so that a clock is wrong; None if it is not.

    Parameters
    ----------
    session
        As read.
    today
        The rider's day.
    """
    start = local_time(session.start_utc, session.zone)
    if start is None or start.date() <= today + _TOMORROW:
        return None
    day = start.date().isoformat()
    return (
        f"It begins on {day}, which is still to come: look at the clock of the recorder and of this computer."
    )


def _is_same(connection: Connection, row: SessionRow, session: Session) -> bool:
    if row.start_utc is None or session.start_utc is None or row.duration_s < _FEWEST_S:
        return False
    later_s = (session.start_utc - row.start_utc).total_seconds()
    common_s = min(later_s + session.duration_s, row.duration_s) - max(later_s, 0.0)
    if common_s < _IN_COMMON * min(row.duration_s, session.duration_s):
        return False
    clocks_are_known = row.zone is not None and session.zone is not None
    if not (row.has_heart_rate and session.has_heart_rate):
        return clocks_are_known
    return _is_one_pulse(
        load_session(connection, row.session_id), session, later_s, needs_shape=not clocks_are_known
    )


def _is_one_pulse(there: Session, here: Session, later_s: float, *, needs_shape: bool) -> bool:
    """Whether two pulses are of one heart: near each other and, if asked, rising and falling together."""
    pulses = []
    for session, begin_s in ((there, 0.0), (here, later_s)):
        known = np.isfinite(session.hr_bpm)
        pulses.append((session.t_s[known] + begin_s, session.hr_bpm[known]))
    (one_s, one), (other_s, other) = pulses
    grid = np.arange(max(one_s[0], other_s[0]) + _SLACK_S, min(one_s[-1], other_s[-1]) - _SLACK_S)
    if grid.size < _FEWEST_S:
        return False
    fixed = np.interp(grid, one_s, one)
    moved = [np.interp(grid + slack, other_s, other) for slack in range(-_SLACK_S, _SLACK_S + 1, 2)]
    if min(float(np.median(np.abs(fixed - run))) for run in moved) > _NEAR_BPM:
        return False
    return not needs_shape or max(_alike(fixed, run) for run in moved) >= _TOGETHER


def _alike(one: FloatArray, other: FloatArray) -> float:
    """Correlation of two runs; 0 where one of them is even and proves nothing."""
    return float(np.corrcoef(one, other)[0, 1]) if np.ptp(one) and np.ptp(other) else 0.0


def _counts_more(session: Session, row: SessionRow) -> bool:
    if session.has_heart_rate != row.has_heart_rate:
        return session.has_heart_rate
    return session.duration_s > _LONGER * row.duration_s
