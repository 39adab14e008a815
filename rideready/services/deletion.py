"""Delete sessions, bring them back, or forget them for good."""

import datetime as dt

from rideready.services.context import Context
from rideready.store.deletion import DeletedSession, deleted_sessions, erase, mark_deleted, mark_restored
from rideready.store.sessions import session_row
from rideready.store.values import SessionRow

__all__ = ["DeletedSession", "delete_session", "erase_session", "list_deleted", "restore_session"]


def delete_session(ctx: Context, session_id: int) -> None:
    """Take a session out of every list, trend and total; `restore_session` brings it back as it was.

    An import of the same recording does not bring it back; its report says how to.

    Parameters
    ----------
    ctx
        Store and rider.
    session_id
        Which session.

    Raises
    ------
    NotInStore
        If the rider has no such session, or it is deleted already.
    """
    with ctx.store.writing() as connection:
        mark_deleted(connection, ctx.rider_id, session_id, dt.datetime.now(dt.UTC))


def restore_session(ctx: Context, session_id: int) -> SessionRow:
    """Bring a deleted session back and return its summary; raises `NotInStore` if it is not among the deleted."""
    with ctx.store.writing() as connection:
        mark_restored(connection, ctx.rider_id, session_id)
        return session_row(connection, ctx.rider_id, session_id)


def erase_session(ctx: Context, session_id: int) -> None:
    """Delete a session, deleted before or not, for good; raises `NotInStore` if there is none.

    What was prepared from it (a field test's figures, a circuit's log) stays, without its samples.
    """
    with ctx.store.writing() as connection:
        erase(connection, ctx.rider_id, session_id)


def list_deleted(ctx: Context) -> list[DeletedSession]:
    """List the sessions that can be brought back, the one deleted last first."""
    with ctx.store.reading() as connection:
        return deleted_sessions(connection, ctx.rider_id)
