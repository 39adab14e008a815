"""``rideready log``: write down what no recording shows."""

from typing import Annotated

import typer

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
    opened,
)
from rideready.cli.output import print_json, say, table
from rideready.errors import BadInput


def command(
    kind: Annotated[
        str | None,
        typer.Argument(
            help="strength, stretching, circuit, cardio, bursts, illness, well, sore, healed, away, home or note; "
            "without it the diary is listed."
        ),
    ] = None,
    *,
    minutes: Annotated[float | None, typer.Option(help="How long it took.")] = None,
    rpe: Annotated[float | None, typer.Option(help="How hard it felt, 0 (rest) to 10 (maximal).")] = None,
    tag: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WORD",
            help="What is sore or healed: a joint, legs, upper body or trunk; fever or cold; what strength was for; "
            "repeatable.",
        ),
    ] = None,
    notes: Annotated[str, typer.Option(metavar="TEXT", help="Your own words.")] = "",
    rest: Annotated[float | None, typer.Option(metavar="BPM", help="This morning's resting pulse.")] = None,
    since: SinceOption = None,
    until: UntilOption = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write down what no recording shows.

    Sessions without one, resting pulse, soreness, illness, and days away (with
    --since and --until).
    """
    from rideready.services.diary import diary, write_entry, write_resting_pulse

    with opened(Common(store, rider, date, quiet or json)) as context:
        if kind is None and any(value for value in (minutes, rpe, tag, notes)):
            raise BadInput(
                "what was it", what_to_do="Begin with a word, such as: rideready log strength --minutes 40"
            )
        days = [str(one) for one in (day(since), day(until)) if one is not None]
        if days and kind != "away":
            raise BadInput(
                "the days belong to nothing", "--since and --until", "They go with: rideready log away"
            )
        if kind is not None:
            write_entry(context, kind, minutes=minutes, rpe=rpe, tags=[*(tag or ()), *days], notes=notes)
        if rest is not None:
            write_resting_pulse(context, rest)
        entries = diary(context)
    if json:
        print_json(entries)
        return
    if kind is not None or rest is not None:
        say("Written down.")
        return
    table(
        ["Day", "What", ">Minutes", ">RPE", "Tags", "Notes"],
        [
            [
                str(entry.day),
                entry.kind,
                "" if entry.minutes is None else f"{entry.minutes:.0f}",
                "" if entry.rpe is None else f"{entry.rpe:g}",
                ", ".join(entry.tags),
                entry.notes,
            ]
            for entry in entries
        ],
    )
