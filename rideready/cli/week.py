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


def command(
    *,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Place what is left of this week on its days.

    With what was done, and what does not fit.
    """
    from rideready.services.planning import this_week

    with opened(Common(store, rider, date, quiet or json)) as context:
        found = this_week(context)
    if json:
        print_json(week_document(found))
        return
    show_week(found)


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
