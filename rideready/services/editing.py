"""Correct what is known about a session."""

from dataclasses import replace

from rideready.model.session import Kind
from rideready.services.context import Context
from rideready.services.sessions import describe_session
from rideready.services.twice import forget_rating, line_of
from rideready.store.sessions import describe, session_row
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


def clear_rpe(ctx: Context, session_id: int) -> SessionRow:
    """Forget how hard a session felt, in the line of the diary that is of the same session as well.

    Raises
    ------
    NotInStore
        If there is no such session.
    """
    with ctx.store.writing() as connection:
        row = session_row(connection, ctx.rider_id, session_id)
        describe(connection, session_id, {"rpe": None})
    twice = line_of(ctx, row)
    if twice is not None and not twice.is_apart and twice.line.rpe is not None:
        forget_rating(ctx, twice.line.number)
    return replace(row, rpe=None)
