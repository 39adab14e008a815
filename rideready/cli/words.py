"""Lists of words as typed, such as ``kettlebell,box``."""

from collections.abc import Iterable
from enum import StrEnum
from typing import TypeVar

from rideready.errors import BadInput

Word = TypeVar("Word", bound=StrEnum)

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def words_of(text: str, known: type[Word], option: str) -> tuple[Word, ...]:
    """Read a comma-separated list; ``none`` and an empty text are an empty list.

    Raises
    ------
    BadInput
        If a word is not known; the sentence lists those that are.
    """
    typed = [word.strip().lower() for word in text.split(",")]
    found: list[Word] = []
    for word in typed:
        if word in {"", "none"}:
            continue
        if word not in {one.value for one in known}:
            raise BadInput(f"{word!r} is unknown", option, f"Known are {_list(one.value for one in known)}")
        found.append(known(word))
    return tuple(found)


def minutes_of(text: str, option: str) -> tuple[int, ...]:
    """Read seven minutes, Monday first, such as ``45,0,45,0,45,60,60``; raises `BadInput`."""
    typed = text.split(",")
    if len(typed) != len(WEEKDAYS) or not all(one.strip().isdigit() for one in typed):
        raise BadInput(
            f"{text!r} is not seven numbers", option, "Give minutes from Monday on: 45,0,45,0,45,60,60"
        )
    return tuple(int(one) for one in typed)


def weekday_of(text: str, option: str) -> int | None:
    """Read a weekday, Monday 0; ``any`` gives None; raises `BadInput`."""
    if text.lower() == "any":
        return None
    if text.lower() not in WEEKDAYS:
        raise BadInput(f"{text!r} is no weekday", option, f"Known are {_list(WEEKDAYS)} and any")
    return WEEKDAYS.index(text.lower())


def _list(words: Iterable[str]) -> str:
    return ", ".join(words)
