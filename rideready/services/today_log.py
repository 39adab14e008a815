"""Write down that today's session was done as planned, see what was written today, take it back."""

from rideready.errors import BadInput, NotInStore
from rideready.model.week import PlannedSession, SessionKind
from rideready.services.circuits import log_circuit
from rideready.services.context import Context
from rideready.services.diary import write_entry
from rideready.services.today import Today, today_with_circuit
from rideready.store.day_log import Book, DayLine, day_lines, remove_line

#: Planned sessions in the diary's words.
DIARY_WORDS = {
    SessionKind.CIRCUIT: "circuit",
    SessionKind.BURSTS: "bursts",
    SessionKind.LONG: "cardio",
    SessionKind.EASY: "cardio",
    SessionKind.STRENGTH: "strength",
    SessionKind.MOBILITY: "stretching",
}


def log_as_planned(ctx: Context, *, rpe: float) -> list[DayLine]:
    """Write down that everything planned for today was done as planned.

    The rating is the hard part's: stretching and the steady lead-in of a circuit get none.

    Parameters
    ----------
    ctx
        Store, rider and today.
    rpe
        How hard it felt, 0 (rest) to 10 (maximal).

    Returns
    -------
    list of DayLine
        Everything that is written down today now.

    Raises
    ------
    BadInput
        If nothing is planned today, or the rating lies outside its range.
    """
    planned = today_with_circuit(ctx)
    if not planned.answer.sessions:
        raise BadInput("nothing is planned for today", what_to_do="Write down what you did by its name")
    for session in planned.answer.sessions:
        _log(ctx, planned, session, rpe)
    return written_today(ctx)


def written_today(ctx: Context) -> list[DayLine]:
    """Return what was written down by hand today."""
    with ctx.store.reading() as connection:
        return day_lines(connection, ctx.rider_id, ctx.today)


def take_back(ctx: Context, *, book: str, number: int) -> None:
    """Take back a line of today.

    Raises
    ------
    NotInStore
        If there is no such line, perhaps because another window took it back already.
    """
    with ctx.store.writing() as connection:
        is_taken = remove_line(connection, ctx.rider_id, ctx.today, book=Book(book), number=number)
    if not is_taken:
        raise NotInStore("this line is not there any more", what_to_do="Reload the page")


def _log(ctx: Context, planned: Today, session: PlannedSession, rpe: float) -> None:
    is_circuit = session.kind is SessionKind.CIRCUIT
    if is_circuit and planned.circuit is not None and planned.answer.circuit is not None:
        log_circuit(ctx, planned.circuit, rounds_done=None, rpe=rpe)
        if lead_in_min := planned.answer.circuit.lead_in_min:
            write_entry(ctx, "cardio", minutes=lead_in_min)
        return
    rating = None if session.kind is SessionKind.MOBILITY else rpe
    write_entry(ctx, DIARY_WORDS[session.kind], minutes=session.minutes, rpe=rating)
