"""``rideready check``: hold the store against itself."""

from typing import Annotated

import typer

from rideready.cli.numbers import counted
from rideready.cli.options import DateOption, JsonOption, QuietOption, RiderOption, StoreOption
from rideready.cli.output import note, print_json, progress_bar, say


def command(
    *,
    figures: Annotated[
        bool, typer.Option("--figures", help="Work every figure out again from the samples, and compare.")
    ] = False,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> int:
    """Check that the store is whole and fits together.

    Exit code: 0 all is well, 1 something does not fit, 2 the store cannot be opened.
    """
    del rider, date  # every command takes them; this one is about the whole store, whatever the day
    from rideready.services.checking import check_figures, check_structure

    check = check_figures if figures else check_structure
    with progress_bar("Checking", quiet=quiet or json) as step:
        report = check(store, progress=step)
    if json:
        print_json(report)
    else:
        for problem in report.problems:
            note(problem)
        if report.problems:
            say("Something does not fit. List the backups with: rideready restore")
        elif not quiet:
            what = counted(report.n_sessions, "session", "sessions")
            again = f", the figures of {report.n_worked_out} worked out again" if figures else ""
            say(f"All is well: {what} with {counted(report.n_recoveries, 'recovery', 'recoveries')}{again}.")
    return 1 if report.problems else 0
