"""What a column heading says: which channel, in which unit."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from rideready.importers.units import Unit, said_alone, unit_of
from rideready.importers.words import CLOCK, DATE, ELAPSED, MEANINGS, OTHER_FIGURES, STAMP, TIME, plain

_BRACKETED: Final = re.compile(r"^(.*?)[\(\[\{<]([^\)\]\}>]*)[\)\]\}>](.*)$")
#: Longest phrase that is looked for inside a heading, in words.
_LONGEST: Final = 4
#: What is longer is text and no heading, characters: taking it apart in every way would take minutes.
_LONGEST_NAME: Final = 200
TIME_ROLES: Final = frozenset({STAMP, DATE, TIME, CLOCK, ELAPSED})


@dataclass(frozen=True, slots=True)
class Heading:
    """A column and what its heading says.

    Parameters
    ----------
    index
        Place of the column, from 0.
    name
        As it stands in the file.
    roles
        What it may mean; empty if the words say nothing. More than one only for words with two meanings.
    unit
        Its unit; None if it names none.
    is_exact
        Whether the whole heading is the name, with nothing beside it.
    """

    index: int
    name: str
    roles: tuple[str, ...] = ()
    unit: Unit | None = None
    is_exact: bool = False

    def may_be(self, role: str) -> bool:
        """Whether the heading may mean this."""
        return role in self.roles

    @property
    def is_time(self) -> bool:
        """Whether the heading may mean any kind of time."""
        return any(role in TIME_ROLES for role in self.roles)


def read_heading(index: int, name: str, unit_text: str = "") -> Heading:
    """Read one heading.

    Parameters
    ----------
    index
        Place of the column.
    name
        The heading.
    unit_text
        What stands for this column in a separate row of units; may be empty.

    Examples
    --------
    >>> read_heading(0, "Geschwindigkeit [km/h]").roles
    ('speed_m_s',)
    """
    if len(name) > _LONGEST_NAME:
        return Heading(index, name)
    bare: Heading | None = None
    for stem, unit_words in _readings(name, unit_text):
        roles, is_exact = _roles(stem)
        if not roles:
            continue
        for role in roles if unit_words else ():
            unit = unit_of(role, unit_words)
            if unit is not None:
                return Heading(index, name, (role,), unit, is_exact)
        # A remark in brackets, or a word behind the name, is part of the name after all.
        if not unit_words and bare is None:
            bare = Heading(index, name, roles, unit_of(roles[0], name), is_exact)
    alone = said_alone(name.strip("[](){} "))
    if alone is not None:
        return Heading(index, name, (alone,), unit_of(alone, name.strip("[](){} ")), is_exact=True)
    return bare or Heading(index, name)


def _readings(name: str, unit_text: str) -> Iterator[tuple[str, str]]:
    """Give the ways to take a heading apart into a name and a unit, the likelier first."""
    if unit_text:
        yield name, unit_text.strip("[](){} ")
    bracketed = _BRACKETED.match(name)
    if bracketed:
        before, inside, behind = bracketed.groups()
        yield f"{before} {behind}", inside
    if "/" in name:
        stem, _, rest = name.partition("/")
        yield stem, rest.strip("() ")
    words = [word for word in re.split(r"[\s_,;:]+", name) if word]
    for n_words in (3, 2, 1):
        if len(words) > n_words:
            tail = words[-n_words:]
            yield " ".join(words[:-n_words]), "_".join(tail)
            yield " ".join(words[:-n_words]), "/".join(tail)
            yield " ".join(words[:-n_words]), "".join(tail)
    yield name, ""


def _roles(stem: str) -> tuple[tuple[str, ...], bool]:
    """Return what a name may mean, and whether it is the whole name."""
    phrase = plain(stem)
    if phrase in MEANINGS:
        return MEANINGS[phrase], True
    words = phrase.split()
    if OTHER_FIGURES.intersection(words) or "%" in phrase:
        return (), False
    for length in range(min(_LONGEST, len(words)), 0, -1):
        for start in range(len(words) - length + 1):
            part = " ".join(words[start : start + length])
            if part in MEANINGS and len(part) > 1:
                return MEANINGS[part], False
    return (), False
