"""What a newer version of a plan changed."""

import datetime as dt

from rideready.model.reason import Reason, because
from rideready.share.plan_file import PlanFile
from rideready.share.words import day_in_words, short_day

#: So many weeks are named one by one.
_MOST_NAMED = 6


def plan_changes(then: PlanFile, now: PlanFile, *, today: dt.date) -> tuple[Reason, ...]:
    """Say what changed from one version of a plan to the next.

    Parameters
    ----------
    then, now
        The two versions.
    today
        Weeks that ended before it are not looked at.

    Returns
    -------
    tuple of Reason
        At least one.
    """
    said = []
    if then.window != now.window:
        earliest, likely = day_in_words(now.window.earliest), day_in_words(now.window.likely)
        said.append(because("share.changed_window", earliest=earliest, likely=likely))
    monday = today - dt.timedelta(days=today.weekday())
    first = max(now.weeks[0].start, monday)
    old, new = ({week.start: week for week in plan.weeks if week.start >= first} for plan in (then, now))
    minutes_then, minutes_now = (
        sum(week.targets.moderate_equivalent_min for week in weeks.values()) for weeks in (old, new)
    )
    if minutes_then != minutes_now:
        said.append(because("share.changed_minutes", now=minutes_now, then=minutes_then))
    changed = sorted(start for start in old.keys() | new.keys() if old.get(start) != new.get(start))
    if changed:
        named = ", ".join(short_day(start) for start in changed[:_MOST_NAMED])
        left = len(changed) - _MOST_NAMED
        weeks = f"{named} and {left} more" if left > 0 else named
        said.append(because("share.changed_weeks", weeks=weeks))
    if then.circuits != now.circuits:
        known = {circuit.exercises for circuit in then.circuits}
        fresh = [circuit for circuit in now.circuits if circuit.exercises not in known]
        told = "; ".join(
            f"{c.exercises[0]} and {len(c.exercises) - 1} more from {c.top_count}" for c in fresh
        )
        if fresh:
            said.append(because("share.changed_circuits", circuits=told))
    return tuple(said) or (because("share.changed_nothing"),)
