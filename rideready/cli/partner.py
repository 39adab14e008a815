"""``rideready partner``: adopt a partner's plan, hand yours to a group, compare progress."""

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
    opened,
    opened_to_read,
)
from rideready.cli.output import note, print_json, progress_bar, say, table
from rideready.cli.share import (
    AlarmOption,
    AtOption,
    NameOption,
    OutOption,
    WeekendOption,
    ZoneOption,
    calendar_wishes,
)
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.services.context import Context
    from rideready.services.group import GuestResult
    from rideready.services.partner import AdoptionReport, Compared
    from rideready.services.sharing import CalendarWishes
    from rideready.share.fit_plan import FittedPlan

WHAT = ("adopt", "group", "progress", "show")


def command(
    what: Annotated[str, typer.Argument(help="adopt, group, progress or show.")],
    file: Annotated[
        Path | None, typer.Argument(metavar="[FILE]", help="Plan file, roster or progress file.")
    ] = None,
    *,
    out: OutOption = None,
    plan: Annotated[
        Path | None, typer.Option(metavar="FILE", help="With group: this plan file instead of your own plan.")
    ] = None,
    name: NameOption = "",
    at: AtOption = "18:00",
    weekend_at: WeekendOption = "10:00",
    zone: ZoneOption = None,
    alarm: AlarmOption = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> int:
    """Adopt a partner's plan, or make handouts for a group.

    ``adopt FILE`` works a plan out for you; ``group ROSTER.csv --out FOLDER`` writes a handout and a calendar for each
    guest; ``progress FILE`` shows a partner's beside yours; ``show`` shows the plan adopted.
    """
    if what not in WHAT:
        raise BadInput(f"{what!r} is unknown", what_to_do=f"Known are {', '.join(WHAT)}")
    if file is None and what != "show":
        raise BadInput("which file", what_to_do=f"Name it, as in: rideready partner {what} FILE")
    common = Common(store, rider, date, quiet or json)
    if what == "adopt" and file is not None:
        return _adopt(common, file, as_json=json)
    with opened_to_read(common) as context:
        if what == "group" and file is not None:
            wishes = calendar_wishes(context, at, weekend_at, zone, alarm)
            asked = _GroupAsked(file, out, plan, name)
            return _group(context, asked, wishes, quiet=common.quiet, as_json=json)
        if what == "progress" and file is not None:
            return _progress(context, file, as_json=json)
        return _show(context, as_json=json)


def _adopt(common: Common, file: Path, *, as_json: bool) -> int:
    from rideready.services.partner import adopt
    from rideready.share.reading import read_plan_file

    found = read_plan_file(file)  # before a store is made for it
    with opened(common) as context:
        report = adopt(context, found)
    if as_json:
        print_json(adoption_document(report))
    else:
        show_adoption(report)
    return 0


def _show(context: "Context", *, as_json: bool) -> int:
    from rideready.services.partner import adopted

    fitted = adopted(context)
    if fitted is None:
        raise BadInput("no plan is adopted yet", what_to_do="Adopt one with: rideready partner adopt FILE")
    if as_json:
        print_json(fitted_document(fitted))
    else:
        show_fitted(fitted)
    return 0


@dataclass(frozen=True, slots=True)
class _GroupAsked:
    """What ``group`` was asked for, as typed."""

    roster: Path
    out: Path | None
    plan: Path | None
    name: str


def _group(
    context: "Context", asked: _GroupAsked, wishes: "CalendarWishes", *, quiet: bool, as_json: bool
) -> int:
    from rideready.services.group import group
    from rideready.share.reading import read_plan_file
    from rideready.share.roster import read_roster

    out = asked.out
    if out is None:
        raise BadInput("where to", what_to_do="Say it with: rideready partner group ROSTER.csv --out FOLDER")
    guests = read_roster(asked.roster)
    given = None if asked.plan is None else read_plan_file(asked.plan)
    with progress_bar("Guests", quiet=quiet) as step:
        results = group(context, guests, out, wishes, plan=given, giver=asked.name, progress=step)
    if as_json:
        print_json({"folder": out, "guests": results})
    else:
        show_group(results, out)
    return 0


def _progress(context: "Context", file: Path, *, as_json: bool) -> int:
    from rideready.services.partner import keep_progress, own_progress, side_by_side
    from rideready.share.progress_file import read_progress_file

    partner = read_progress_file(file)
    keep_progress(context, partner)
    own = own_progress(context)
    weeks = side_by_side(own, partner)
    if as_json:
        print_json({"weeks": weeks, "recovery": {"own": own.recovery, "partner": partner.recovery}})
        return 0
    whose = partner.name or "Your partner"
    table(
        ["Week of", ">You: done", ">planned", f">{whose}: done", ">planned"],
        [[str(week.start), *_minutes(week)] for week in weeks],
    )
    say(f"Recovery: you {own.recovery}, {whose} {partner.recovery}.")
    return 0


def _minutes(week: "Compared") -> list[str]:
    cells: list[str] = []
    for one in (week.own, week.partner):
        cells += ["", ""] if one is None else [str(one.done_min), str(one.planned_min)]
    return cells


def adoption_document(report: "AdoptionReport") -> dict[str, object]:
    """Lay an adoption out as scripts get it."""
    return {
        "result": report.adoption,
        "changed": [reason.sentence for reason in report.changes],
        **fitted_document(report.fitted),
    }


def fitted_document(fitted: "FittedPlan") -> dict[str, object]:
    """Lay a plan worked out for a rider out as scripts get it."""
    season = fitted.season
    return {
        "plan": fitted.plan.plan_id,
        "revision": fitted.plan.revision,
        "earliest": fitted.plan.window.earliest,
        "likely": fitted.plan.window.likely,
        "scaled": [reason.sentence for reason in fitted.reasons],
        "weeks": []
        if season is None
        else [{"start": week.start, "phase": week.phase, "targets": week.targets} for week in season.weeks],
        "circuits": [
            {
                "given": one.given.exercises,
                "exercises": None if one.circuit is None else one.circuit.names,
                "top": None if one.circuit is None else one.circuit.top_count,
                "minutes": None if one.circuit is None else one.circuit.minutes,
                "changes": [reason.sentence for reason in one.changes],
            }
            for one in fitted.circuits
        ],
    }


def show_adoption(report: "AdoptionReport") -> None:
    """Print what adopting a plan did, and the plan."""
    giver = f" of {report.fitted.plan.giver}" if report.fitted.plan.giver else ""
    said = {
        "adopted": f"Adopted the plan{giver}.",
        "updated": f"Updated the plan{giver} to revision {report.fitted.plan.revision}.",
        "replaced": f"Adopted the plan{giver}.",
        "unchanged": f"You have this plan{giver} already; nothing was changed.",
    }
    say(said[report.adoption.value])
    for reason in report.changes:
        say(f"  {reason.sentence}")
    show_fitted(report.fitted)


def show_fitted(fitted: "FittedPlan") -> None:
    """Print a plan as the rider follows it."""
    from rideready.share.words import QUESTIONS, STOP

    window = fitted.plan.window
    say(f"Opening window from {window.earliest} to {window.likely}.")
    for reason in fitted.reasons:
        say(f"  {reason.sentence}")
    if fitted.season is None:
        return
    given = {week.start: week.targets.moderate_equivalent_min for week in fitted.plan.weeks}
    table(
        ["Week of", "For", ">Minutes", ">in the plan given", ">Circuits", ">Strength", ">Bursts"],
        [
            [
                str(week.start),
                f"{week.phase}, easier" if week.is_easier else str(week.phase),
                str(week.targets.moderate_equivalent_min),
                str(given.get(week.start, "")),
                str(week.targets.circuits),
                str(week.targets.strength),
                str(week.targets.burst_practices),
            ]
            for week in fitted.season.weeks
        ],
    )
    for number, one in enumerate(fitted.circuits, start=1):
        if one.circuit is not None:
            say(f"Circuit {number}: {', '.join(one.circuit.names)}; {one.circuit.top_count} reps down to 1.")
        for reason in one.changes:
            say(f"  {reason.sentence}")
    note(f"Before you start, see a doctor first if any of these is true of you: {'; '.join(QUESTIONS)}.")
    note(STOP)


def show_group(results: "list[GuestResult]", folder: Path) -> None:
    """Print what each guest got."""
    table(
        ["Guest", "Doctor first", ">Minutes", "Changed"],
        [
            [
                result.name,
                "yes" if result.asks_first else "",
                "" if result.minutes is None else str(result.minutes),
                " ".join(result.changes),
            ]
            for result in results
        ],
    )
    asked = [result.name for result in results if result.asks_first]
    if asked:
        say(f"To see a doctor first, and given no intensity: {', '.join(asked)}.")
    say(f"{len(results)} guests; handouts, calendars and summary.csv are in {folder}.")
