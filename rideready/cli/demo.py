"""``rideready demo``: look around with simulated sessions, apart from your own."""

from typing import Annotated

import typer

from rideready.cli.dashboard import BrowserOption, PortOption, serve
from rideready.cli.importing import report_document
from rideready.cli.options import DateOption, JsonOption, QuietOption, RiderOption, StoreOption, day
from rideready.cli.output import print_json, progress_bar, say
from rideready.cli.recovery import recovery_document, show_recoveries


def command(
    *,
    dashboard: Annotated[
        bool, typer.Option("--dashboard/--no-dashboard", help="Open the dashboard after the table.")
    ] = True,
    port: PortOption = None,
    browser: BrowserOption = True,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Look around with simulated sessions.

    Imports the samples into a store of their own, lists the recoveries and opens the dashboard.
    """
    from rideready.services.cautions import SIMULATED
    from rideready.services.demo import open_demo
    from rideready.services.recoveries import list_recoveries

    with progress_bar("Importing the samples", quiet=quiet or json) as step:
        context, report = open_demo(
            store, rider=rider, today=day(date), progress=lambda now: step(now.done, now.total)
        )
    try:
        rows = list_recoveries(context)
        if json:
            document = {
                "store": str(context.store.place),
                "simulated": True,
                **report_document(report),
                "recoveries": [recovery_document(row) for row in rows],
            }
            print_json(document)
        else:
            show_recoveries(rows)
            if not quiet:
                say(f"{SIMULATED} Store: {context.store.place}")
        if dashboard and not json:
            serve(context, port=port, opens_browser=browser, announces_json=False)
    finally:
        context.store.close()
