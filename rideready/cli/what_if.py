"""``rideready what-if``: a moved opening window beside today's plan."""

from typing import Annotated

import typer

from rideready.cli.changes import changes_document, show_changes
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
    required_day,
)
from rideready.cli.output import print_json, say


def command(
    *,
    earliest: Annotated[str, typer.Option(metavar="YYYY-MM-DD", help="Earliest opening day to try.")],
    likely: Annotated[str, typer.Option(metavar="YYYY-MM-DD", help="Likely opening day to try.")],
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show a moved opening window beside today's plan.

    Nothing is kept.
    """
    from rideready.services.planning import moved_window

    with opened(Common(store, rider, date, quiet or json)) as context:
        found = moved_window(context, earliest=required_day(earliest), likely=required_day(likely))
    if json:
        print_json(changes_document(found))
        return
    show_changes(found, now="moved", then="now")
    say("Nothing was kept. To keep it: rideready plan --earliest DAY --likely DAY")
