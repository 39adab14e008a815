"""Options that every command has, and the store they open."""

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.output import progress_bar
from rideready.errors import BadInput, StoreProblem

if TYPE_CHECKING:
    from rideready.services.context import Context

StoreOption = Annotated[
    str | None,
    typer.Option(
        "--store",
        metavar="FILE",
        help="File of the store, or postgresql://user@host/database; without it RIDEREADY_STORE, "
        "else your data folder.",
        show_default=False,
    ),
]
RiderOption = Annotated[
    str | None,
    typer.Option(
        "--rider",
        metavar="NAME",
        help="Whose sessions, if the store has several riders.",
        show_default=False,
    ),
]
DateOption = Annotated[
    str | None,
    typer.Option("--date", metavar="YYYY-MM-DD", help="The day taken as today.", show_default=False),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document instead of text.")]
QuietOption = Annotated[bool, typer.Option("--quiet", help="Print results and errors only.")]
SinceOption = Annotated[
    str | None,
    typer.Option("--since", metavar="YYYY-MM-DD", help="First day.", show_default=False),
]
UntilOption = Annotated[
    str | None,
    typer.Option("--until", metavar="YYYY-MM-DD", help="Last day.", show_default=False),
]


@dataclass(frozen=True, slots=True)
class Common:
    """The options that every command has, as typed."""

    store: str | None = None
    rider: str | None = None
    date: str | None = None
    quiet: bool = False


def day(text: str | None) -> dt.date | None:
    """Read a day if one was typed; raises `BadInput` if it is none."""
    return None if text is None else required_day(text)


def required_day(text: str) -> dt.date:
    """Read a day; raises `BadInput` if it is none."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise BadInput(f"{text!r} is no day", what_to_do="Write it like 2026-10-01") from error


@contextmanager
def opened(common: Common) -> Iterator["Context"]:
    """Open the store, making it if it is not there, and bring old analyses up to date."""
    from rideready.services.analysis import refresh
    from rideready.services.context import open_context

    context = open_context(common.store, rider=common.rider, today=day(common.date))
    try:
        with progress_bar("Working out again", quiet=common.quiet) as step:
            refresh(context, progress=step)
        yield context
    finally:
        context.store.close()


@contextmanager
def opened_to_read(common: Common) -> Iterator["Context"]:
    """Open a store that must be there; a mistyped name would otherwise leave an empty store behind."""
    from rideready.store.place import is_there, place_of

    place = place_of(common.store)
    if not is_there(place):
        raise StoreProblem(
            "there is no store here yet",
            str(place),
            "Import recordings first, with: rideready import FOLDER",
        )
    with opened(common) as context:
        yield context
