"""``rideready trend``: is recovery getting faster."""

from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.numbers import counted, tenths, whole
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    SinceOption,
    StoreOption,
    UntilOption,
    day,
    opened_to_read,
)
from rideready.cli.output import plain, print_json, say

if TYPE_CHECKING:
    from rideready.model.trend import Trend


def command(
    *,
    since: SinceOption = None,
    until: UntilOption = None,
    device: Annotated[
        str | None,
        typer.Option(metavar="TEXT", help="Only sessions of this recorder, as `session` names it."),
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Say whether recovery is getting faster.

    And whether the change is more than noise, what it rests on, and what to beware of.
    """
    from rideready.services.cautions import cautions_for_trend
    from rideready.services.trends import trend

    with opened_to_read(Common(store, rider, date, quiet or json)) as context:
        found = trend(context, since=day(since), until=day(until), device=device)
    if json:
        print_json(trend_document(found))
        return
    show_trend(found)
    if not quiet:
        for caution in cautions_for_trend(found):
            say(caution)


def trend_document(found: "Trend") -> dict[str, object]:
    """Lay a trend out as scripts get it."""
    document: dict[str, object] = plain(found)
    del document["direction"]
    return {
        **document,
        "verdict": found.direction,
        "change_bpm_per_week": document.pop("slope_bpm_per_week"),
        "sentence": found.reasons[0].sentence if found.reasons else str(found.direction),
        "reasons": [reason.sentence for reason in found.reasons],
    }


def show_trend(found: "Trend") -> None:
    """Print the verdict, what it rests on, and why."""
    say(f"Recovery: {found.direction}")
    if found.slope_bpm_per_week is not None:
        say(
            f"  Change of the drop in 60 s: {tenths(found.slope_bpm_per_week)} bpm a week "
            f"(95 % interval {tenths(found.low)} to {tenths(found.high)}), "
            f"{tenths(found.change_bpm)} bpm over {found.weeks:.0f} weeks"
        )
    if found.minimal_detectable_bpm is not None:
        say(f"  A change stands out of your own variation from {whole(found.minimal_detectable_bpm)} bpm on")
    recoveries = counted(found.n_recoveries, "recovery", "recoveries")
    say(f"  n = {recoveries} of {counted(found.n_sessions, 'session', 'sessions')}")
    for reason in found.reasons:
        say(f"  {reason.sentence}")
