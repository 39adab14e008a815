"""Days on which there is no training: away, or ill; told as a stretch, listed, and taken back."""

import datetime as dt
from dataclasses import dataclass, replace
from typing import Final

from rideready.errors import BadInput, NotInStore
from rideready.model.condition import Illness, IllnessKind
from rideready.services.context import Context
from rideready.services.diary import write_entry
from rideready.store.day_log import Book, remove_line
from rideready.store.diary import LogEntry, log_entries

AWAY: Final = "away"
#: What keeps a rider from training, in the words of the diary.
CAUSES: Final = (AWAY, *(kind.value for kind in IllnessKind))
#: How long a stretch that is over stays listed; older ones change no plan any more (ours).
LISTED_DAYS: Final = 56


@dataclass(frozen=True, slots=True)
class LostDays:
    """A stretch without training.

    Parameters
    ----------
    cause
        One of `CAUSES`.
    first, last
        Both ends included; ``last`` is None while an illness lasts.
    numbers
        The lines of the diary that tell of it.
    """

    cause: str
    first: dt.date
    last: dt.date | None
    numbers: tuple[int, ...]


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
    write_entry(replace(ctx, today=first), "illness", tags=(cause,))
    # The diary says on which day one is well again; that of tomorrow is not written yet.
    if last is not None and last < ctx.today:
        write_entry(replace(ctx, today=last + dt.timedelta(days=1)), "well")


def lost_days(ctx: Context) -> tuple[LostDays, ...]:
    """List stretches without training that still matter to the plan, the latest first."""
    with ctx.store.reading() as connection:
        entries = log_entries(connection, ctx.rider_id)
    found: list[LostDays] = []
    for entry in entries:
        if entry.kind == AWAY:
            first, last = (dt.date.fromisoformat(tag) for tag in entry.tags)
            found.append(LostDays(AWAY, first, last, (entry.number,)))
        elif entry.kind == "illness":
            cause = IllnessKind.FEVER if IllnessKind.FEVER in entry.tags else IllnessKind.COLD
            found.append(LostDays(cause.value, entry.day, None, (entry.number,)))
        elif entry.kind == "well":
            # As `done.conditions` reads the diary: it ends the illness told last.
            ill = [place for place, one in enumerate(found) if one.cause != AWAY][-1:]
            found = [_over(one, entry) if place in ill else one for place, one in enumerate(found)]
        elif entry.kind == "home":
            found = [_home(one, entry.day) for one in found]
    since = ctx.today - dt.timedelta(days=LISTED_DAYS)
    lately = [one for one in found if one.last is None or one.last >= since]
    return tuple(sorted(lately, key=lambda one: one.first, reverse=True))


def take_back_lost_days(ctx: Context, number: int) -> None:
    """Take a stretch back, by the number of any of its lines; raises `NotInStore` if it is not there."""
    stretch = next((one for one in lost_days(ctx) if number in one.numbers), None)
    if stretch is None:
        raise NotInStore("this line is not there any more", what_to_do="Reload the page")
    with ctx.store.writing() as connection:
        for entry in log_entries(connection, ctx.rider_id):
            if entry.number in stretch.numbers:
                remove_line(connection, ctx.rider_id, entry.day, book=Book.DIARY, number=entry.number)


def _over(one: LostDays, well: LogEntry) -> LostDays:
    if one.last is not None:
        return one
    eve = well.day - dt.timedelta(days=1)
    return replace(one, last=max(eve, one.first), numbers=(*one.numbers, well.number))


def _home(one: LostDays, day: dt.date) -> LostDays:
    eve = day - dt.timedelta(days=1)
    is_cut = one.cause == AWAY and one.last is not None and one.first <= eve < one.last
    return replace(one, last=eve) if is_cut else one
