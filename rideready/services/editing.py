"""Correct what is known about a session."""

from rideready.model.session import Kind
from rideready.services.context import Context
from rideready.services.sessions import describe_session
from rideready.store.values import SessionRow


def edit_session(
    ctx: Context,
    session_id: int,
    *,
    kind: Kind | None = None,
    rpe: float | None = None,
    notes: str | None = None,
    posture: str | None = None,
) -> SessionRow:
    """Correct what the rider knows about a session; None leaves a thing as it is.

    Parameters
    ----------
    ctx, session_id, kind, rpe, notes, posture
        As for `rideready.services.sessions.describe_session`, which says what raises as well.
    """
    return describe_session(ctx, session_id, kind=kind, rpe=rpe, notes=notes, posture=posture)
