"""``rideready analyse-archives``: one table of many riders' recordings, nothing stored."""

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from rideready.cli.numbers import counted
from rideready.cli.options import DateOption, JsonOption, QuietOption, RiderOption, StoreOption, day
from rideready.cli.output import note, print_json, progress_bar
from rideready.errors import BadInput


def command(
    folders: Annotated[
        list[Path], typer.Argument(metavar="FOLDER", help="Folders of recordings, each named like its rider.")
    ],
    *,
    out: Annotated[Path, typer.Option(metavar="FILE", help="Where the table goes, as CSV.")],
    scheduler: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="Spread the work over the machines of this Dask scheduler, such as tcp://10.0.0.5:8786.",
            show_default=False,
        ),
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Analyse the recordings of many riders into one table, a row for each recovery; nothing is stored.

    Maximum and resting heart rates are those of the riders of the same names in the store, if it has them;
    --rider takes only the folder of that name. A file that gives nothing has a row that says why.
    """
    from rideready.services.bulk import analyse_archives, numbers_in_store

    day(date)  # a day that is none is refused here as everywhere
    chosen = [folder for folder in folders if rider is None or folder.resolve().name == rider]
    if not chosen:
        raise BadInput(f"no folder is called {rider!r}", "--rider", "Name one of the folders")
    with progress_bar("Analysing", quiet=quiet or json) as step:
        done = analyse_archives(
            chosen, out, riders=numbers_in_store(store), scheduler=scheduler, progress=step
        )
    if json:
        print_json({"file": out, **asdict(done)})
    elif not quiet:
        note(
            f"{counted(done.recoveries, 'recovery', 'recoveries')} of {counted(done.sessions, 'session', 'sessions')} and "
            f"{counted(done.riders, 'rider', 'riders')} written to {out}."
        )
        if done.problems:
            note(f"{counted(done.problems, 'file', 'files')} gave nothing; the column problem says why.")
