"""``rideready week``: what is left of this week, day by day."""

from typing import TYPE_CHECKING

from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
)
from rideready.cli.output import plain, print_json, say, table

if TYPE_CHECKING:
    from rideready.model.week import WeekPlan
    from rideready.services.progress import WeekProgress
    from rideready.services.week_load import WeekLoad


def command(
    *,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Place what is left of this week on its days.

    With what was done, what does not fit, and the load of the last weeks.
    """
    from rideready.services.planning import this_week
    from rideready.services.progress import progress_of
    from rideready.services.week_load import week_loads

    with opened(Common(store, rider, date, quiet or json)) as context:
        found = this_week(context)
        loads = week_loads(context)
    progress = progress_of(found)
    if json:
        targets = [{**plain(line), "left": line.left} for line in progress.targets]
        print_json({**week_document(found), "progress": targets, "loads": _loads_document(loads)})
        return
    show_week(found)
    show_progress(progress)
    show_loads(loads)


def week_document(plan: "WeekPlan") -> dict[str, object]:
    """Lay a week out as scripts get it."""
    return {
        "start": plan.week.start,
        "phase": plan.week.phase,
        "targets": plain(plan.week.targets),
        "days": [
            {
                "day": placed.day,
                "available_min": placed.available_min,
                "sessions": plain(placed.sessions),
                "reasons": [reason.sentence for reason in placed.reasons],
            }
            for placed in plan.days
        ],
        "done": plain(plan.done),
        "dropped": [
            {"kind": one.kind, "count": one.count, "reason": one.reason.sentence} for one in plan.dropped
        ],
        "short_by_min": plan.short_by_min,
        "reasons": [reason.sentence for reason in (*plan.moved, *plan.reasons)],
    }


def show_week(plan: "WeekPlan") -> None:
    """Print the days, what was done and what does not fit."""
    targets = plan.week.targets
    done_min = sum(session.moderate_equivalent_min for session in plan.done if session.day >= plan.week.start)
    say(
        f"Week of {plan.week.start}, {plan.week.phase}: {targets.moderate_equivalent_min} min, "
        f"{done_min:.0f} done so far, {plan.moderate_equivalent_min} planned on the days left."
    )
    table(
        ["Day", "What", ">Minutes", "Note"],
        [
            [
                f"{placed.day:%a} {placed.day}",
                ", ".join(session.kind.label for session in placed.sessions) or "rest",
                str(placed.minutes) if placed.sessions else "",
                " ".join(reason.sentence for reason in placed.reasons),
            ]
            for placed in plan.days
        ],
    )
    for one in plan.dropped:
        say(f"  {one.reason.sentence}")
    for reason in (*plan.moved, *plan.reasons):
        say(f"  {reason.sentence}")


def show_progress(progress: "WeekProgress") -> None:
    """Print what each target asks, what was done, and what is left."""
    table(
        ["Target", ">Asked", ">Done", ">Still placed", ">Left", "In"],
        [
            [
                line.what,
                f"{line.target:.0f}",
                f"{line.done:.0f}",
                f"{line.placed:.0f}",
                f"{line.left:.0f}",
                line.unit if line.most is None else f"{line.unit}, at most {line.most:.0f} by the ramp",
            ]
            for line in progress.targets
        ],
    )


def show_loads(loads: "tuple[WeekLoad, ...]") -> None:
    """Print load, monotony and strain of the last weeks, with their source."""
    from rideready.model.reason import because

    table(
        ["Week of", ">Load", ">Monotony", ">Strain", "Note"],
        [
            [
                str(week.start),
                _figure(week.load, 0),
                _figure(week.monotony, 2),
                _figure(week.strain, 0),
                " ".join(reason.sentence for reason in week.reasons),
            ]
            for week in loads
        ],
    )
    for code in ("season.load_source", "season.load_no_threshold"):
        say(f"  {because(code).sentence}")


def _figure(value: float | None, digits: int) -> str:
    return "-" if value is None else f"{value:.{digits}f}"


def _loads_document(loads: "tuple[WeekLoad, ...]") -> dict[str, object]:
    from rideready.model.reason import because

    return {
        "source": because("season.load_source").sentence,
        "weeks": [{**plain(week), "reasons": [reason.sentence for reason in week.reasons]} for week in loads],
    }
