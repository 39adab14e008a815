"""``rideready what-if``: a moved opening window beside today's plan."""

from typing import Annotated

import typer

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
from rideready.cli.output import plain, print_json, say, table


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
        print_json(
            {
                "weeks": [
                    {
                        "start": change.start,
                        "before": plain(change.before) if change.before else None,
                        "after": plain(change.after) if change.after else None,
                        "reasons": [reason.sentence for reason in change.reasons],
                    }
                    for change in found.weeks
                ],
                "causes": [reason.sentence for reason in found.causes],
                "consequences": [reason.sentence for reason in found.consequences],
            }
        )
        return
    for reason in (*found.causes, *found.consequences):
        say(reason.sentence)
    table(
        ["Week of", ">Minutes now", ">moved", "Why"],
        [
            [
                str(change.start),
                str(change.before.moderate_equivalent_min) if change.before else "-",
                str(change.after.moderate_equivalent_min) if change.after else "-",
                " ".join(reason.sentence for reason in change.reasons),
            ]
            for change in found.weeks
        ],
    )
    say("Nothing was kept. To keep it: rideready plan --earliest DAY --likely DAY")
