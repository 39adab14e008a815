"""The address of a circuit: what was chosen and swapped, read from it and written to it.

/circuit                                     the day's best circuit for what the rider keeps
/circuit?top=8&exercises=6&minutes=30&with=band,box&spare=knee&start=from-cardio&rest=clock
/circuit?next=1                              the next best
/circuit?swap=Push-up,Bear%20crawl           with these swapped out, one after the other
/circuit/follow?...&day=2026-11-25           followed along; the day keeps it the same past midnight
"""

import datetime as dt
from dataclasses import dataclass, replace
from typing import Any, TypeVar
from urllib.parse import parse_qs, quote, urlencode

from dashboards.urls import CIRCUIT
from rideready.model.circuit import RestBy, RestChoice, Start
from rideready.model.exercise import Equipment, Joint

FOLLOW = f"{CIRCUIT}/follow"
#: In place of a list that is empty on purpose.
_NONE = "none"
_SWAPS = 24

_Choice = TypeVar("_Choice", Equipment, Joint, Start, RestBy)


@dataclass(frozen=True, slots=True)
class CircuitChoice:
    """What a circuit is asked to be.

    Parameters
    ----------
    top, exercises, minutes
        Reps of the first round (None: by the log), how many exercises, time at hand (None: no limit), min.
    equipment
        What is at hand today; None for what the rider keeps.
    spare
        Joints to spare besides those always spared.
    start, rest
        How the rider comes to it, and what ends a rest.
    alternative
        0 for the best, 1 for the next best, to 5.
    swapped
        Names of exercises swapped out, first to last.
    day
        The day it was written for; None for today.
    ignored
        Parts of the address that name nothing we know.
    """

    top: int | None = None
    exercises: int = 5
    minutes: float | None = None
    equipment: tuple[Equipment, ...] | None = None
    spare: tuple[Joint, ...] = ()
    start: Start = Start.COLD
    rest: RestBy = RestBy.PULSE
    alternative: int = 0
    swapped: tuple[str, ...] = ()
    day: dt.date | None = None
    ignored: tuple[str, ...] = ()

    def wishes(self, always_spared: frozenset[Joint]) -> dict[str, Any]:
        """Return the fields of a ``CircuitRequest`` in which it differs from what is kept."""
        wishes: dict[str, Any] = {
            "top_count": self.top,
            "exercises": self.exercises,
            "minutes": self.minutes,
            "avoid_joints": always_spared | set(self.spare),
            "start": self.start,
            "rest": RestChoice(by=self.rest),
            "alternative": self.alternative,
        }
        return wishes if self.equipment is None else wishes | {"equipment": frozenset(self.equipment)}

    def without(self, name: str) -> "CircuitChoice":
        """Return the choice with one exercise more swapped out."""
        return replace(self, swapped=(*self.swapped, name))

    @property
    def unswapped(self) -> "CircuitChoice":
        """The choice before anything was swapped out."""
        return replace(self, swapped=())


def read_choice(search: str | None) -> CircuitChoice:
    """Read the query part of an address; what cannot be understood is kept in ``ignored``."""
    asked = {name: values[-1] for name, values in parse_qs((search or "").lstrip("?")).items()}
    ignored: list[str] = []

    def number(name: str, low: int, high: int) -> int | None:
        text = asked.pop(name, "")
        if text.isdecimal() and low <= int(text[:6]) <= high:
            return int(text[:6])
        if text:
            ignored.append(f"{name}={text}")
        return None

    top, exercises, minutes = number("top", 2, 20), number("exercises", 4, 8), number("minutes", 1, 600)
    alternative = number("next", 0, 5)
    pieces = asked.pop("with", None)
    choice = CircuitChoice(
        top=top,
        exercises=exercises or 5,
        minutes=minutes,
        equipment=None if pieces is None else _all(pieces, Equipment, ignored),
        spare=_all(asked.pop("spare", ""), Joint, ignored),
        start=next(iter(_all(asked.pop("start", ""), Start, ignored)), Start.COLD),
        rest=next(iter(_all(asked.pop("rest", ""), RestBy, ignored)), RestBy.PULSE),
        alternative=alternative or 0,
        swapped=tuple(name for name in asked.pop("swap", "").split(",") if name)[:_SWAPS],
        day=_day(asked.pop("day", ""), ignored),
    )
    return replace(choice, ignored=(*ignored, *(f"{name}={value}" for name, value in asked.items())))


def write_choice(choice: CircuitChoice) -> str:
    """Write a choice as the query part of an address; empty if nothing was chosen."""
    pieces = None if choice.equipment is None else ",".join(map(_word, choice.equipment)) or _NONE
    asked = {
        "top": str(choice.top or ""),
        "exercises": str(choice.exercises) if choice.exercises != 5 else "",
        "minutes": f"{choice.minutes:g}" if choice.minutes else "",
        "with": pieces or "",
        "spare": ",".join(map(_word, choice.spare)),
        "start": _word(choice.start) if choice.start is not Start.COLD else "",
        "rest": _word(choice.rest) if choice.rest is not RestBy.PULSE else "",
        "next": str(choice.alternative or ""),
        "swap": ",".join(choice.swapped),
        "day": choice.day.isoformat() if choice.day else "",
    }
    said = {name: value for name, value in asked.items() if value}
    return f"?{urlencode(said, safe=',', quote_via=quote)}" if said else ""


def circuit_address(choice: CircuitChoice) -> str:
    """Return the address of the page that shows a circuit."""
    return f"{CIRCUIT}{write_choice(replace(choice, day=None))}"


def follow_address(choice: CircuitChoice, day: dt.date) -> str:
    """Return the address at which a circuit of a day is followed along."""
    return f"{FOLLOW}{write_choice(replace(choice, day=day))}"


def _word(value: Equipment | Joint | Start | RestBy) -> str:
    return value.value.replace(" ", "-")


def _all(text: str, kind: type[_Choice], ignored: list[str]) -> tuple[_Choice, ...]:
    known = {_word(value): value for value in kind}
    asked = [word for word in text.split(",") if word and word != _NONE]
    ignored.extend(word for word in asked if word not in known)
    return tuple(value for word, value in known.items() if word in asked)


def _day(text: str, ignored: list[str]) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError:
        ignored.append(text)
        return None
