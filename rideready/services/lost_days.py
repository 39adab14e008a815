"""Days on which there is no training: away, or ill; told as a stretch, listed, and taken back."""

import datetime as dt
from typing import Final

from rideready.errors import BadInput, NotInStore
from rideready.model.condition import Illness, IllnessKind
from rideready.services.context import Context
from rideready.services.diary import write_entries, write_entry
from rideready.services.stretches import AWAY, CAUSES, LostDays, stretches
from rideready.store.day_log import Book, remove_line
from rideready.store.diary import LogEntry, log_entries

#: How long a stretch that is over stays listed; older ones change no plan any more (ours).
LISTED_DAYS: Final = 56


def write_lost_days(ctx: Context, cause: str, first: dt.date, last: dt.date | None) -> None:
    """Write a stretch without training into the diary; the plan is made anew from there.

    Parameters
    ----------
    ctx
        Store, rider and today.
    cause
        One of `CAUSES`.
    first, last
        Both ends included. Days away are known beforehand; an illness has begun, and its end is None
        while it lasts.

    Raises
    ------
    BadInput
        If the cause is unknown, the days are the wrong way round, one that is needed is missing, or an
        illness lies ahead; nothing is written then.
    """
    if cause not in CAUSES:
        raise BadInput(f"{cause!r} keeps nobody from training", what_to_do=f"Known are {', '.join(CAUSES)}")
    if cause == AWAY:
        if last is None:
            raise BadInput("days away have two ends", "days away", "Give the last day too")
        write_entry(ctx, AWAY, tags=(first.isoformat(), last.isoformat()))
        return
    Illness(IllnessKind(cause), first, last)
    if max(first, last or first) > ctx.today:
        raise BadInput("an illness cannot be told beforehand", "illness", "Give days up to today")
    lines = [LogEntry(first, "illness", tags=(cause,))]
    # The diary says on which day one is well again; that of tomorrow is not written yet.
    if last is not None and last < ctx.today:
        lines.append(LogEntry(last + dt.timedelta(days=1), "well"))
    write_entries(ctx, lines)


def lost_days(ctx: Context) -> tuple[LostDays, ...]:
    """List stretches without training that still matter to the plan, the latest first."""
    found = _told(ctx)
    since = ctx.today - dt.timedelta(days=LISTED_DAYS)
    lately = [one for one in found if one.last is None or one.last >= since]
    return tuple(sorted(lately, key=lambda one: one.first, reverse=True))


def take_back_lost_days(ctx: Context, number: int) -> None:
    """Take a stretch back, by the number of the line that began it; raises `NotInStore` if it is not there.

    A line that also ends another illness stays.
    """
    told = _told(ctx)
    stretch = next((one for one in told if one.numbers[0] == number), None)
    if stretch is None:
        raise NotInStore("this line is not there any more", what_to_do="Reload the page")
    gone = set(stretch.numbers).difference(*(one.numbers for one in told if one is not stretch))
    with ctx.store.writing() as connection:
        for entry in log_entries(connection, ctx.rider_id):
            if entry.number in gone:
                remove_line(connection, ctx.rider_id, entry.day, book=Book.DIARY, number=entry.number)


def _told(ctx: Context) -> tuple[LostDays, ...]:
    with ctx.store.reading() as connection:
        return stretches(log_entries(connection, ctx.rider_id, until=ctx.today))
