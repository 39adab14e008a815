"""``rideready plan``: the weeks up to opening day."""

from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.altitude import altitude_document, show_altitude
from rideready.cli.changes import changes_document, show_changes
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    day,
    opened,
)
from rideready.cli.output import plain, print_json, say, table
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.season import Season
    from rideready.services.planning import SeasonSeen


def command(
    *,
    earliest: Annotated[
        str | None, typer.Option(metavar="YYYY-MM-DD", help="Earliest opening day; kept.")
    ] = None,
    likely: Annotated[
        str | None, typer.Option(metavar="YYYY-MM-DD", help="Likely opening day; kept.")
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Plan the weeks up to opening day.

    Planned anew each time, from what was really done; what changed since you last looked is told with its reasons.
    """
    from rideready.services.altitude import opening_altitude
    from rideready.services.cautions import STOP_SIGNS
    from rideready.services.planning import season_seen, set_window

    with opened(Common(store, rider, date, quiet or json)) as context:
        first, last = day(earliest), day(likely)
        if (first is None) is not (last is None):
            raise BadInput("an opening window has two days", what_to_do="Give both --earliest and --likely")
        if first is not None and last is not None:
            set_window(context, earliest=first, likely=last)
        found = season_seen(context)
        band = opening_altitude(context)
    if json:
        document = season_document(found.season)
        print_json({**document, "changed": _changed(found), "altitude": altitude_document(band)})
        return
    if found.change is not None:
        say(f"Changed on {found.changed_on}:")
        show_changes(found.change, now="now", then="before")
    show_season(found.season)
    show_altitude(band)
    if not quiet:
        say(STOP_SIGNS)


def _changed(found: "SeasonSeen") -> dict[str, object] | None:
    """Lay the plan's last change out as scripts get it; None while there was none."""
    if found.change is None:
        return None
    return {"on": found.changed_on, **changes_document(found.change)}


def season_document(season: "Season") -> dict[str, object]:
    """Lay a season out as scripts get it."""
    return {
        "earliest": season.request.window.earliest,
        "likely": season.request.window.likely,
        "floor": season.floor,
        "weeks": [
            {
                "start": week.start,
                "phase": week.phase,
                "is_easier": week.is_easier,
                **plain(week.targets),
                "reasons": [reason.sentence for reason in week.reasons],
            }
            for week in season.weeks
        ],
        "statements": [reason.sentence for reason in season.statements],
        "reasons": [reason.sentence for reason in season.reasons],
    }


def show_season(season: "Season") -> None:
    """Print the weeks and what the rider should know about them."""
    window = season.request.window
    say(f"Plan up to an opening window from {window.earliest} to {window.likely}")
    for reason in season.statements:
        say(f"  {reason.sentence}")
    table(
        ["Week of", "For", ">Minutes", ">of them vigorous", ">Circuits", ">Strength", ">Bursts", ">Mobility"],
        [
            [
                str(week.start),
                f"{week.phase}, easier" if week.is_easier else str(week.phase),
                str(week.targets.moderate_equivalent_min),
                str(week.targets.vigorous_min),
                str(week.targets.circuits),
                str(week.targets.strength),
                str(week.targets.burst_practices),
                str(week.targets.mobility),
            ]
            for week in season.weeks
        ],
    )
    say("Minutes are moderate-equivalent: a vigorous minute counts as two (WHO 2020).")
    for reason in season.reasons:
        say(f"  {reason.sentence}")
