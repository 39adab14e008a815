"""``rideready backup``: a copy of the store, made while it is in use."""

from pathlib import Path
from typing import Annotated

import typer

from rideready.cli.options import DateOption, JsonOption, QuietOption, RiderOption, StoreOption
from rideready.cli.output import print_json, say


def command(
    *,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Where the copy goes; without it, into a folder beside the store. A server needs FILE.zip.",
        ),
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Copy the whole store into one file, and check the copy.

    Other commands and the dashboard may be at work meanwhile. Before an update changes the store, and once
    a week at an import, a copy is made without being asked for. Keep one on another disk as well.
    A store on a server is written out in open formats, and copied unasked before an update only.
    """
    del rider, date  # every command takes them; this one is about the whole store, whatever the day
    from rideready.services.keeping import back_up_store

    made = back_up_store(store, out=out)
    if json:
        print_json({"file": made, "bytes": made.stat().st_size})
    elif not quiet:
        say(f"Backup: {made}")
        say(f"Put it back with: rideready restore {made}")
