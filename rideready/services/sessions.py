"""Which sessions are there, and what was done in one of them."""

import datetime as dt
from dataclasses import dataclass

from rideready.model.clean import CleanSignal
from rideready.model.session import Kind, Session
from rideready.services.context import Context
from rideready.store.values import RecoveryRow, SessionRow

__all__ = ["RecoveryRow", "SessionRow", "SessionView", "describe_session", "list_sessions", "session_view"]


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
    """

    row: SessionRow
    session: Session
    signal: CleanSignal
    recoveries: list[RecoveryRow]
    minutes_by_class: dict[int, float]
    class_bounds_bpm: list[tuple[int, float, float]]
    trimp: float | None
    flagged: tuple[str, ...]


def list_sessions(
    ctx: Context, *, since: dt.date | None = None, until: dt.date | None = None, kind: Kind | None = None
) -> list[SessionRow]:
    """List sessions, newest first; those without a clock come last.

    Parameters
    ----------
    since, until
        First and last local day; None leaves the side open.
    kind
        Only sessions of this kind.
    """
    raise NotImplementedError


def session_view(ctx: Context, session_id: int) -> SessionView:
    """Show one session; raises `NotInStore` if it is not there."""
    raise NotImplementedError


def describe_session(
    ctx: Context,
    session_id: int,
    *,
    kind: Kind | None = None,
    posture: str | None = None,
    rpe: float | None = None,
    notes: str | None = None,
) -> SessionRow:
    """Write down what the rider knows about a session; None leaves a thing as it is."""
    raise NotImplementedError
