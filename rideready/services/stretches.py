"""Stretches without training, away or ill, as the lines of the diary tell them; everybody reads them here."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from rideready.model.condition import IllnessKind
from rideready.store.diary import LogEntry

AWAY: Final = "away"
#: What keeps a rider from training, in the words of the diary.
CAUSES: Final = (AWAY, *(kind.value for kind in IllnessKind))


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
        The lines of the diary that tell of it; one line may end several illnesses.
    """

    cause: str
    first: dt.date
    last: dt.date | None
    numbers: tuple[int, ...]


def stretches(entries: Iterable[LogEntry]) -> tuple[LostDays, ...]:
    """Read the stretches without training off the diary, in the order they were told.

    ``well`` ends every illness that lasts, on its first day at the earliest; ``home`` ends the present days
    away and drops later ones.

    Parameters
    ----------
    entries
        Lines of the diary, oldest first.
    """
    found: list[LostDays] = []
    for entry in entries:
        if entry.kind == AWAY:
            first, last = (dt.date.fromisoformat(tag) for tag in entry.tags)
            found.append(LostDays(AWAY, first, last, (entry.number,)))
        elif entry.kind == "illness":
            cause = IllnessKind.FEVER if IllnessKind.FEVER in entry.tags else IllnessKind.COLD
            found.append(LostDays(cause.value, entry.day, None, (entry.number,)))
        elif entry.kind == "well":
            found = [one if one.last is not None else _over(one, entry) for one in found]
        elif entry.kind == "home":
            found = [_home(one, entry) for one in found if one.cause != AWAY or one.first < entry.day]
    return tuple(found)


def _over(one: LostDays, well: LogEntry) -> LostDays:
    last = max(well.day - dt.timedelta(days=1), one.first)
    return replace(one, last=last, numbers=(*one.numbers, well.number))


def _home(one: LostDays, home: LogEntry) -> LostDays:
    eve = home.day - dt.timedelta(days=1)
    return replace(one, last=eve) if one.cause == AWAY and one.last is not None and one.last > eve else one
