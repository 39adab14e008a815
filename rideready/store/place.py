"""Where a store lies: in a file, or in a database on a server that is named by its address.

Nothing here loads a database's library, so that commands which only name a store stay fast.
"""

import os
import re
from pathlib import Path
from typing import Final
from urllib.parse import urlsplit

from rideready.errors import StoreProblem

FILE_NAME: Final = "store.sqlite"
_SCHEMES: Final = ("postgresql", "postgres", "postgresql+psycopg")
_EXAMPLE: Final = "Write it like postgresql://user@host/database"

#: A password in an address, up to the last @ before a blank: one may hold that mark itself, unescaped.
_PASSWORD: Final = re.compile(r"(postgres(?:ql)?(?:\+\w+)?:/{1,2}[^\s:@/]*):\S*@")
#: The same among the options behind the question mark.
_OPTION: Final = re.compile(r"((?:ssl)?password=)[^&\s'\"]+")


class Address:
    """Address of a PostgreSQL database; whatever prints it prints it without its password.

    Parameters
    ----------
    text
        ``postgresql://user@host:port/database``, with a password behind the user if need be.

    Raises
    ------
    StoreProblem
        If it is none, or names no database.
    """

    __slots__ = ("_text",)

    def __init__(self, text: str) -> None:
        self._text = text
        if not is_address(text):
            raise StoreProblem("this is no address of a database", masked(text), _EXAMPLE)
        try:
            parts = urlsplit(text)
            names_a_database = bool(parts.path.strip("/")) and parts.port != 0
        except ValueError:
            names_a_database = False  # what the parser says could quote the password: it is not handed on
        if not names_a_database:
            raise StoreProblem("this address names no database", masked(text), _EXAMPLE)

    def reveal(self) -> str:
        """Return the whole address, for the driver only."""
        return self._text

    def __str__(self) -> str:
        return masked(self._text)

    def __repr__(self) -> str:
        return f"Address({str(self)!r})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Address) and self._text == other._text

    def __hash__(self) -> int:
        return hash(self._text)


#: Where a store lies.
Place = Path | Address
#: How somebody may name it: as typed, or as a place already.
Named = str | Place


def masked(text: str) -> str:
    """Take the passwords out of all addresses of databases in a text."""
    return _OPTION.sub(r"\1***", _PASSWORD.sub(r"\1:***@", text))


def is_address(text: str) -> bool:
    """Tell whether a text means a database on a server and not a file."""
    return text.partition("://")[0] in _SCHEMES and "://" in text


def place_of(named: Named | None) -> Place:
    """Say where a named store lies.

    Parameters
    ----------
    named
        A file, an existing folder that holds or shall hold ``store.sqlite``, or the address of a
        database; None takes ``RIDEREADY_STORE``, else the user's data folder.

    Raises
    ------
    StoreProblem
        If it is an address that cannot be.
    """
    if named is None:
        named = os.environ.get("RIDEREADY_STORE") or _in_the_data_folder()
    if isinstance(named, str) and is_address(named):
        return Address(named)
    if isinstance(named, Address):
        return named
    path = Path(named)
    return path / FILE_NAME if path.is_dir() else path


def _in_the_data_folder() -> Path:
    from platformdirs import user_data_path

    return user_data_path("rideready") / FILE_NAME


def is_there(place: Place) -> bool:
    """Tell whether there may be a store; whether a server has one shows when it is opened."""
    return isinstance(place, Address) or place.exists()


def file_of(place: Place, instead: str) -> Path:
    """Return the file of a store.

    Parameters
    ----------
    place
        Where it lies.
    instead
        What to do about a store that is none.

    Raises
    ------
    StoreProblem
        If it lies on a server.
    """
    if isinstance(place, Address):
        raise StoreProblem("this store lies on a server and not in a file", str(place), instead)
    return place
