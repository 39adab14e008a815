"""``rideready training``: what you train with, on which days, and what to spare."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from rideready.cli.altitude import altitude_document, show_altitude
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
)
from rideready.cli.output import plain, print_json, say
from rideready.cli.words import WEEKDAYS, minutes_of, weekday_of, words_of
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.exercise import Level
    from rideready.services.training import Training


def command(
    *,
    equipment: Annotated[
        str | None,
        typer.Option(
            metavar="A,B", help="mat, band, dumbbells, kettlebell, box, bar, towel, skipping rope, bike."
        ),
    ] = None,
    avoid: Annotated[
        str | None,
        typer.Option(metavar="A,B", help="knee, shoulder, wrist, low back, neck; none for no joint."),
    ] = None,
    exclude: Annotated[str | None, typer.Option(metavar="A,B", help="Exercises you do not want.")] = None,
    level: Annotated[str | None, typer.Option(help="beginner, intermediate or advanced.")] = None,
    minutes: Annotated[
        str | None,
        typer.Option(metavar="M,T,W,T,F,S,S", help="Minutes at hand, Monday first; 0 for a day off."),
    ] = None,
    long_day: Annotated[
        str | None, typer.Option(metavar="DAY", help="Weekday of the long piece, or any.")
    ] = None,
    usual: Annotated[
        float | None, typer.Option(metavar="MIN", help="Weekly minutes before your first recording.")
    ] = None,
    altitude: Annotated[
        float | None,
        typer.Option(metavar="M", help="Where you ride, m: what that does to your pulse numbers."),
    ] = None,
    home_altitude: Annotated[
        float | None, typer.Option(metavar="M", help="Where you live and train, m; without it sea level.")
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show or set how you train.

    Equipment, days, level, joints to spare; circuits and plans follow it.
    """
    from rideready.model.exercise import Equipment, Joint
    from rideready.services.altitude import opening_altitude, set_altitude
    from rideready.services.training import get_training, update_training

    changes: dict[str, Any] = {}
    if equipment is not None:
        changes["equipment"] = words_of(equipment, Equipment, "--equipment")
    if avoid is not None:
        changes["avoid_joints"] = words_of(avoid, Joint, "--avoid")
    if exclude is not None:
        changes["exclude"] = tuple(
            name.strip() for name in exclude.split(",") if name.strip() not in {"", "none"}
        )
    if level is not None:
        changes["level"] = _level_named(level)
    if minutes is not None:
        changes["minutes_by_weekday"] = minutes_of(minutes, "--minutes")
    if long_day is not None:
        changes["long_day"] = weekday_of(long_day, "--long-day")
    if usual is not None:
        changes["usual_min"] = usual
    with opened(Common(store, rider, date, quiet or json)) as context:
        set_altitude(context, riding_m=altitude, home_m=home_altitude)
        found = update_training(context, **changes) if changes else get_training(context)
        band = opening_altitude(context)
    if json:
        print_json({**plain(found), "altitude": altitude_document(band)})
        return
    show_training(found)
    show_altitude(band)


def _level_named(word: str) -> "Level":
    from rideready.model.exercise import Level

    labels = {one.label: one for one in Level}
    if word not in labels:
        raise BadInput(f"{word!r} is no level", "--level", f"Known are {', '.join(labels)}")
    return labels[word]


def show_training(training: "Training") -> None:
    """Print how the rider trains."""
    say(f"Equipment: {', '.join(training.equipment) or 'none'}")
    say(f"Joints to spare: {', '.join(training.avoid_joints) or 'none'}")
    say(f"Exercises not wanted: {', '.join(training.exclude) or 'none'}")
    say(f"Level: {training.level.label}")
    days = ", ".join(
        f"{day[:3]} {minutes}" for day, minutes in zip(WEEKDAYS, training.minutes_by_weekday, strict=True)
    )
    say(f"Minutes at hand: {days}")
    say(f"Long piece: {'any day' if training.long_day is None else WEEKDAYS[training.long_day]}")
    if training.earliest is not None and training.likely is not None:
        say(f"Opening window: {training.earliest} to {training.likely}")
