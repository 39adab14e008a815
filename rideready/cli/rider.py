"""``rideready rider``: whose numbers these are and where they come from."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer

from rideready.cli.numbers import MISSING, counted, interval, whole
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
)
from rideready.cli.output import plain, print_json, progress_bar, say, table
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.rider import Rider, Sex
    from rideready.services.maximum_rest import MaximumAndRest
    from rideready.services.riders import NumberSource

#: Name of each number on the command line to its field and unit.
NUMBERS: Final = {
    "max": ("max_hr_bpm", "bpm"),
    "rest": ("resting_hr_bpm", "bpm"),
    "standing": ("standing_hr_bpm", "bpm"),
    "age": ("age_years", "years"),
    "sex": ("sex", ""),
    "settle": ("settle_reserve", "of the reserve"),
    "medicine": ("takes_heart_rate_medicine", ""),
}


def command(
    *,
    name: Annotated[
        str | None, typer.Option(metavar="NAME", help="How you want to be called.", show_default=False)
    ] = None,
    max_bpm: Annotated[
        float | None, typer.Option("--max", metavar="BPM", help="Measured maximum heart rate.")
    ] = None,
    rest_bpm: Annotated[
        float | None,
        typer.Option("--rest", metavar="BPM", help="Resting heart rate, lying or sitting, awake."),
    ] = None,
    standing_bpm: Annotated[
        float | None,
        typer.Option("--standing", metavar="BPM", help="Heart rate after minutes of quiet standing."),
    ] = None,
    age: Annotated[float | None, typer.Option(metavar="YEARS", help="Age.")] = None,
    sex: Annotated[
        str | None,
        typer.Option(metavar="SEX", help="male or female: which of two published equations applies."),
    ] = None,
    settle: Annotated[
        float | None,
        typer.Option(metavar="FRACTION", help="Settle level as a fraction of the reserve, 0.3 to 0.9."),
    ] = None,
    medicine: Annotated[
        bool | None,
        typer.Option(
            "--medicine/--no-medicine",
            help="Whether you take a medicine that alters the pulse.",
            show_default=False,
        ),
    ] = None,
    forget: Annotated[
        list[str] | None,
        typer.Option(metavar="NUMBER", help="Take a number back: max, rest, standing, age, sex, settle."),
    ] = None,
    add: Annotated[
        str | None, typer.Option(metavar="NAME", help="Add another rider to the store.", show_default=False)
    ] = None,
    resting_csv: Annotated[
        Path | None,
        typer.Option(
            "--resting-csv", metavar="FILE", help="Log resting pulses from two columns: day and bpm."
        ),
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show your numbers and their sources, or set them.

    Whatever depends on a number is worked out again; older numbers stay with their day.
    """
    from rideready.services.cautions import cautions_for_rider
    from rideready.services.maximum_rest import maximum_and_rest, read_resting_csv
    from rideready.services.riders import add_rider, get_rider, list_riders, rider_sources, update_rider

    typed = {
        "max_hr_bpm": max_bpm,
        "resting_hr_bpm": rest_bpm,
        "standing_hr_bpm": standing_bpm,
        "age_years": age,
        "sex": sex_named(sex),
        "settle_reserve": settle,
        "takes_heart_rate_medicine": medicine,
        "name": name,
    }
    changes: dict[str, Any] = {field: value for field, value in typed.items() if value is not None}
    changes |= dict.fromkeys(_fields(forget or ()))
    if add is not None:
        add_rider(store, add)
    with opened(Common(store, add or rider, date, quiet or json)) as context:
        if changes:
            with progress_bar("Working out again", quiet=quiet or json) as step:
                update_rider(context, progress=step, **changes)
        n_logged = None if resting_csv is None else read_resting_csv(context, resting_csv)
        found, limits = get_rider(context), maximum_and_rest(context)
        sources = rider_sources(context, limits.observed)
        riders = list_riders(context)
    cautions = cautions_for_rider(found)
    if json:
        print_json(rider_document(found, sources, riders, cautions, limits))
        return
    if n_logged is not None:
        say(f"{counted(n_logged, 'resting pulse', 'resting pulses')} logged.")
    _show(found, sources, riders)
    _show_limits(limits)
    if not quiet:
        for caution in cautions:
            say(caution)


def rider_document(
    found: "Rider",
    sources: "list[NumberSource]",
    riders: list[str],
    cautions: tuple[str, ...],
    limits: "MaximumAndRest",
) -> dict[str, object]:
    """Lay a rider out as scripts get it."""
    document: dict[str, object] = plain(found)
    return {
        **document,
        "sources": sources,
        "riders": riders,
        "cautions": cautions,
        "maximum": {
            "used_bpm": limits.used_bpm,
            "measured_bpm": limits.measured_bpm,
            "observed": limits.observed,
            "predicted_bpm": limits.predicted_bpm,
            "predicted_se_bpm": limits.predicted_see_bpm,
        },
        "rest": {
            "entered_bpm": limits.rest_entered_bpm,
            "logged": limits.rest_logged,
            "seen": limits.rest_seen,
        },
        "reasons": [reason.sentence for reason in limits.reasons],
    }


def sex_named(text: str | None) -> "Sex | None":
    """Read a sex; raises `BadInput` if no published equation goes by it."""
    from rideready.model.rider import Sex

    if text is None:
        return None
    try:
        return Sex(text)
    except ValueError as error:
        raise BadInput(
            f"no published equation goes by {text!r}", "--sex", f"Say {' or '.join(Sex)}, or leave it out"
        ) from error


def _fields(names: Sequence[str]) -> list[str]:
    unknown = [name for name in names if name not in NUMBERS]
    if unknown:
        raise BadInput(f"{unknown[0]!r} is no number", "--forget", f"Say one of {', '.join(NUMBERS)}")
    return [NUMBERS[name][0] for name in names]


def _show(found: "Rider", sources: "list[NumberSource]", riders: list[str]) -> None:
    say(f"Rider: {found.name or 'without a name'}")
    if len(riders) > 1:
        say(f"  In this store: {', '.join(riders)}")
    rows = []
    for name, (field, unit) in NUMBERS.items():
        of_field = [source for source in sources if source.name == field]
        if not of_field:
            rows.append((name, _value(getattr(found, field), unit), unit, "not set", "", ""))
        for source in of_field:
            when = "" if source.day is None else source.day.isoformat()
            used = "in use" if source.is_used else ""
            rows.append((name, _value(source.value, unit), unit, source.source, when, used))
    table(("Number", ">Value", "Unit", "Source", "Day", ""), rows)


def _show_limits(limits: "MaximumAndRest") -> None:
    """Put the sources of maximum and rest side by side; every conflict is a sentence."""
    observed, rest = limits.observed, limits.rest_logged
    seen = MISSING
    if observed is not None:
        level = interval(observed.bpm, observed.low_bpm, observed.high_bpm)
        seen = f"{level}, session {observed.source.session_id}"
    predicted = MISSING
    if limits.predicted_bpm is not None:
        predicted = f"{whole(limits.predicted_bpm)} (standard error {whole(limits.predicted_see_bpm)})"
    logged = f"{rest.n} in four weeks"
    if rest.median_bpm is not None:
        logged = f"{whole(rest.median_bpm)} ({whole(rest.low_bpm)}-{whole(rest.high_bpm)}, n = {rest.n})"
    table(
        ("bpm", "Entered", "Seen in recordings", "Predicted from age", "Logged"),
        [
            ("maximum", whole(limits.measured_bpm), seen, predicted, ""),
            ("rest", whole(limits.rest_entered_bpm), _lowest(limits), "", logged),
        ],
    )
    for reason in limits.reasons:
        about = "Maximum" if reason.code.startswith("maximum.") else "Rest"
        say(f"  {about}: {reason.sentence}")


def _lowest(limits: "MaximumAndRest") -> str:
    return MISSING if limits.rest_seen is None else f"{whole(limits.rest_seen.bpm)}, lowest minute"


def _value(value: object, unit: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return whole(value) if unit == "bpm" else f"{value:g}"
    return MISSING if value is None else str(value)
