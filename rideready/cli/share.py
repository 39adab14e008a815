"""``rideready share``: a handout, a calendar, a plan file or your progress for a riding partner."""

import datetime as dt
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened_to_read,
)
from rideready.cli.output import note, print_json, say
from rideready.cli.words import minutes_of, words_of
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.exercise import Level
    from rideready.model.rider import Rider
    from rideready.services.context import Context
    from rideready.services.sharing import CalendarWishes, Recipient

WHAT = ("handout", "calendar", "plan", "progress")

OutOption = Annotated[Path | None, typer.Option("--out", metavar="FILE", help="Where to write it.")]
NameOption = Annotated[
    str, typer.Option("--name", metavar="TEXT", help="Your name, to stand in it; without it none does.")
]
AtOption = Annotated[
    str,
    typer.Option("--at", metavar="HH:MM", help="When sessions begin on working days; none for whole days."),
]
WeekendOption = Annotated[str, typer.Option("--weekend-at", metavar="HH:MM", help="The same at the weekend.")]
ZoneOption = Annotated[
    str | None,
    typer.Option(
        "--zone",
        metavar="NAME",
        help="Time zone of the calendar, like Europe/Oslo; none for times that go with the reader. "
        "Without it that of your newest recording.",
        show_default=False,
    ),
]
AlarmOption = Annotated[
    int | None, typer.Option("--alarm", metavar="MIN", help="Remind so many minutes before each session.")
]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Whom for and how, as typed."""

    whom: "Recipient"
    at: str
    weekend_at: str
    zone: str | None
    alarm: int | None
    giver: str


def command(
    what: Annotated[str, typer.Argument(help="handout, calendar, plan or progress.")],
    *,
    out: OutOption = None,
    name: NameOption = "",
    whom: Annotated[str, typer.Option("--for", metavar="TEXT", help="The partner's name.")] = "",
    age: Annotated[float | None, typer.Option(help="The partner's age.")] = None,
    maximum: Annotated[
        float | None, typer.Option("--max", help="The partner's maximum heart rate, bpm.")
    ] = None,
    rest: Annotated[float | None, typer.Option(help="The partner's resting heart rate, bpm.")] = None,
    medicine: Annotated[
        bool, typer.Option("--medicine", help="The partner takes a medicine that changes the pulse.")
    ] = False,
    level: Annotated[
        str | None, typer.Option(help="The partner's: beginner, intermediate or advanced.")
    ] = None,
    equipment: Annotated[str | None, typer.Option(metavar="A,B", help="What the partner has.")] = None,
    minutes: Annotated[
        str | None, typer.Option(metavar="M,T,W,T,F,S,S", help="The partner's minutes at hand, Monday first.")
    ] = None,
    usual: Annotated[
        float | None, typer.Option(metavar="MIN", help="The partner's usual weekly minutes.")
    ] = None,
    at: AtOption = "18:00",
    weekend_at: WeekendOption = "10:00",
    zone: ZoneOption = None,
    alarm: AlarmOption = None,
    yes: Annotated[bool, typer.Option("--yes", help="With progress: write it without asking.")] = False,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> int:
    """Write a file for a riding partner.

    No position, serial number, heart rate of yours, note or health answer goes with it.
    """
    from rideready.model.exercise import Equipment
    from rideready.services.sharing import Recipient

    if what not in WHAT:
        raise BadInput(f"{what!r} cannot be shared", what_to_do=f"Known are {', '.join(WHAT)}")
    numbers = rider_of(age, maximum, rest, takes_medicine=medicine)
    recipient = Recipient(
        name=whom,
        rider=numbers,
        level=None if level is None else level_of(level),
        equipment=None if equipment is None else words_of(equipment, Equipment, "--equipment"),
        minutes_by_weekday=None if minutes is None else minutes_of(minutes, "--minutes"),
        usual_min=usual,
    )
    wanted = Wanted(recipient, at, weekend_at, zone, alarm, name)
    with opened_to_read(Common(store, rider, date, quiet or json)) as context:
        if what == "progress":
            return _progress(context, out, name, is_agreed=yes, as_json=json)
        if out is None:
            raise BadInput("where to", what_to_do=f"Say it with: rideready share {what} --out FILE")
        return _plan(context, what, out, wanted, as_json=json)


def _plan(context: "Context", what: str, out: Path, wanted: Wanted, *, as_json: bool) -> int:
    """Write a handout, a calendar or a plan file and say so."""
    from rideready.services import sharing
    from rideready.share.writing import write_file

    content: str | bytes
    if what == "handout":
        content = sharing.handout(context, wanted.whom, giver=wanted.giver)
    elif what == "calendar":
        wishes = calendar_wishes(context, wanted.at, wanted.weekend_at, wanted.zone, wanted.alarm)
        content = sharing.calendar(context, wanted.whom, wishes, giver=wanted.giver)
    else:
        content = sharing.plan_file_text(sharing.share_plan(context, giver=wanted.giver))
    write_file(out, content)
    size = len(content.encode() if isinstance(content, str) else content)
    if as_json:
        print_json({"written": out, "what": what, "bytes": size})
    else:
        say(f"Written: {out}, {size / 1000:.0f} kB.")
    return 0


def _progress(context: "Context", out: Path | None, name: str, *, is_agreed: bool, as_json: bool) -> int:
    """Show a progress file word for word, then write it if the rider agrees."""
    from rideready.services.partner import own_progress, progress_file_text
    from rideready.share.writing import write_file

    text = progress_file_text(own_progress(context, name=name))
    if not as_json:
        note("This and nothing else stands in the file:")
        say(text.rstrip("\n"))
    agreed = out is not None and (is_agreed or _asked(f"Write this to {out}?"))
    if agreed and out is not None:
        write_file(out, text)
    if as_json:
        print_json({"content": text, "written": out if agreed else None})
    elif agreed:
        say(f"Written: {out}.")
    else:
        note("Nothing is written yet. Repeat with --out FILE and --yes once you agree.")
    return 0


def _asked(question: str) -> bool:
    """Ask on a terminal; in a script nothing was answered."""
    return sys.stdin.isatty() and typer.confirm(question)


def rider_of(
    age: float | None, maximum: float | None, rest: float | None, *, takes_medicine: bool
) -> "Rider":
    """Make a rider of typed numbers; raises `BadInput` if they cannot be a person's."""
    from rideready.model.rider import Rider

    try:
        return Rider(
            age_years=age, max_hr_bpm=maximum, resting_hr_bpm=rest, takes_heart_rate_medicine=takes_medicine
        )
    except ValueError as error:
        raise BadInput(str(error), what_to_do="Check the number and try again") from error


def level_of(text: str) -> "Level":
    """Read a level; raises `BadInput` if there is none of this name."""
    from rideready.model.exercise import Level

    labels = {one.label: one for one in Level}
    if text not in labels:
        raise BadInput(f"{text!r} is no level", "--level", f"Known are {', '.join(labels)}")
    return labels[text]


def calendar_wishes(
    context: "Context", at: str, weekend_at: str, zone: str | None, alarm: int | None
) -> "CalendarWishes":
    """Read how a calendar is wanted; raises `BadInput`."""
    from rideready.services.sharing import CalendarWishes, usual_zone
    from rideready.share.calendar_events import StartTimes

    if alarm is not None and not 0 <= alarm <= 1440:
        raise BadInput(f"{alarm} minutes before is no alarm", "--alarm", "Give 0 to 1440")
    name = usual_zone(context) if zone is None else zone
    now = os.environ.get("SOURCE_DATE_EPOCH")  # for files that are to come out the same, byte for byte
    stamp = dt.datetime.now(dt.UTC) if now is None else dt.datetime.fromtimestamp(int(now), dt.UTC)
    times = StartTimes(_time_of(at, "--at"), _time_of(weekend_at, "--weekend-at"))
    return CalendarWishes(times, None if name in {None, "none"} else name, alarm, stamp)


def _time_of(text: str, option: str) -> dt.time | None:
    if text == "none":
        return None
    try:
        return dt.time.fromisoformat(text).replace(tzinfo=None, second=0, microsecond=0)
    except ValueError as error:
        raise BadInput(f"{text!r} is no time of day", option, "Write it like 18:00, or none") from error
