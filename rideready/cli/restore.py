"""``rideready restore``: put a backup back."""

from pathlib import Path
from typing import Annotated

import typer

from rideready.cli.options import DateOption, JsonOption, QuietOption, RiderOption, StoreOption
from rideready.cli.output import print_json, say, table
from rideready.errors import BadInput


def command(
    backup: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="The backup; without it, those there are are listed."),
    ] = None,
    *,
    last: Annotated[bool, typer.Option("--last", help="Put back the newest backup that is whole.")] = False,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Put a backup in the place of the store, or list the backups.

    What the store held before is kept as a backup too, for a store on a server beside the file put back;
    a damaged store is kept under another name.
    """
    del rider, date  # every command takes them; this one is about the whole store, whatever the day
    from rideready.services.keeping import restore_store

    if backup is None and not last:
        _list(store, as_json=json)
        return
    if backup is not None and last:
        raise BadInput("a file and --last contradict each other", what_to_do="Give one of them")
    copy, before = restore_store(backup, store)
    if json:
        print_json({"restored": copy, "before": before})
    elif not quiet:
        say(f"The store is again as in {copy}.")
        if before is not None:
            say(f"What it held before is kept in {before}.")


def _list(store: str | None, *, as_json: bool) -> None:
    from rideready.services.keeping import list_backups

    found = list_backups(store)
    if as_json:
        print_json([{"file": copy.path, "made": copy.made_utc, "bytes": copy.size} for copy in found])
    elif not found:
        say("There is no backup beside this store. Make one with: rideready backup")
    else:
        rows = [
            (copy.made_utc.astimezone().strftime("%Y-%m-%d %H:%M"), f"{copy.size / 1e6:.1f}", str(copy.path))
            for copy in found
        ]
        table(("Made", ">MB", "File"), rows)
        say(
            "Put one back with: rideready restore FILE, or the newest good one with: rideready restore --last"
        )
