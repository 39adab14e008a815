"""A plan made anew from what was done, and what changed and why; a moved window beside today's plan."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from rideready.model.comparison import Comparison, WeekChange
from rideready.model.reason import Reason, because
from rideready.model.season import OpeningWindow, Season, SeasonRequest, Targets, Week
from rideready.plan.calendar_weeks import in_words, monday_of
from rideready.plan.explain import consequences_of
from rideready.plan.season import plan_season

# A week counts as lost with less than half of what the plan had asked, as short with less than nine tenths,
# and as more than planned from a fifth above. Ours.
_LOST_SHARE, _SHORT_SHARE, _MORE_SHARE = 0.5, 0.9, 1.2


def replan(previous: Season, request: SeasonRequest) -> Comparison:
    """Plan anew, and say what changed against the plan before, and why.

    What is new in the request (weeks done, illness, injuries, days away, days at hand, the window) is taken up
    one after the other, and each changed week is put down to the step that changed it.

    Parameters
    ----------
    previous
        The plan before.
    request
        What is known now; its history holds what was really done.

    Returns
    -------
    Comparison
        ``after`` is the new plan. Nothing is saved.

    Raises
    ------
    BadInput, Infeasible
        As `plan_season`.
    """
    steps = _steps(previous, request)
    planned = {step: plan_season(step) for step, _ in steps}
    seasons = [planned[step] for step, _ in steps]
    after = seasons[-1]
    causes = tuple(reason for _, reasons in steps for reason in reasons)
    before_by_start = {week.start: week for week in previous.weeks}
    after_by_start = {week.start: week for week in after.weeks}
    first = monday_of(request.today)
    starts = sorted({start for start in {*before_by_start, *after_by_start} if start >= first})
    changes = []
    for start in starts:
        before, now = before_by_start.get(start), after_by_start.get(start)
        if _targets(before) == _targets(now):
            continue
        why = _why(start, before, seasons, steps, now)
        changes.append(WeekChange(start, _targets(before), _targets(now), why))
    return Comparison(previous, after, causes, consequences_of(previous, after, first), tuple(changes))


def what_if(request: SeasonRequest, window: OpeningWindow) -> Comparison:
    """Show a moved opening window beside the plan for the one given, without saving anything.

    Parameters
    ----------
    request
        What today's plan is made from.
    window
        The window to try.

    Returns
    -------
    Comparison
        ``before`` is the plan for the request, ``after`` the one for the moved window.

    Raises
    ------
    BadInput, Infeasible
        As `plan_season`.
    """
    return replan(plan_season(request), replace(request, window=window))


def _targets(week: Week | None) -> Targets | None:
    return None if week is None else week.targets


def _steps(previous: Season, request: SeasonRequest) -> list[tuple[SeasonRequest, tuple[Reason, ...]]]:
    """Go from the previous request to the new one, one kind of news at a time, each with its reasons.

    The window comes last, unless the old one is past: then it comes first, since nothing can be planned for it.
    """
    old = previous.request
    now = replace(
        old,
        today=request.today,
        history=request.history,
        this_week=request.this_week,
        usual_min=request.usual_min,
        began=request.began,
        level=request.level,
    )
    held = replace(
        now,
        illnesses=request.illnesses,
        injuries=request.injuries,
        away=request.away,
        clearance=request.clearance,
    )
    days = replace(held, minutes_by_weekday=request.minutes_by_weekday, long_day=request.long_day)
    moved = _window_reasons(old.window, request.window)
    steps = [
        (now, _history_reasons(previous, request)),
        (held, _condition_reasons(old, request)),
        (days, _day_reasons(old, request)),
        (replace(days, window=request.window), moved),
    ]
    if old.window.likely < request.today:
        steps = [(replace(step, window=request.window), reasons) for step, reasons in steps[:-1]]
        steps[0] = (steps[0][0], (*steps[0][1], *moved))
    return steps


def _why(
    start: dt.date,
    before: Week | None,
    seasons: Sequence[Season],
    steps: Sequence[tuple[SeasonRequest, tuple[Reason, ...]]],
    now: Week | None,
) -> tuple[Reason, ...]:
    """Say which news changed a week's targets, and what the week itself says now."""
    said: list[Reason] = []
    last = _targets(before)
    for season, (_, reasons) in zip(seasons, steps, strict=True):
        here = _targets(next((week for week in season.weeks if week.start == start), None))
        if here != last:
            said += [reason for reason in reasons if reason not in said]
        last = here
    own = now.reasons if now is not None else (because("season.week_gone"),)
    said += [reason for reason in own if reason not in said]
    return tuple(said or [because("season.week_follows")])


def _history_reasons(previous: Season, request: SeasonRequest) -> tuple[Reason, ...]:
    """Compare each complete week of the plan before with what was done in it."""
    done = {week.start: week.moderate_equivalent_min for week in request.history}
    said = []
    for week in previous.weeks:
        if week.start >= monday_of(request.today):
            break
        planned = week.targets.moderate_equivalent_min
        reached = done.get(week.start, 0.0)
        figures: dict[str, float | str] = {
            "day": in_words(week.start),
            "done": round(reached),
            "planned": planned,
        }
        if reached < _LOST_SHARE * planned:
            said.append(because("season.cause_lost", **figures))
        elif reached < _SHORT_SHARE * planned:
            said.append(because("season.cause_less", **figures))
        elif planned and reached > _MORE_SHARE * planned:
            said.append(because("season.cause_more", **figures))
    return tuple(said)


def _condition_reasons(old: SeasonRequest, new: SeasonRequest) -> tuple[Reason, ...]:
    """Say what holds the rider back now and did not before, and the other way round."""
    lasting = {(i.kind, i.first_day) for i in old.illnesses if i.last_day is None}
    said = []
    for illness in new.illnesses:
        if illness in old.illnesses:
            continue
        day, code = illness.first_day, "season.cause_illness"
        if illness.last_day is not None and (illness.kind, illness.first_day) in lasting:
            day, code = illness.last_day, "season.cause_illness_over"
        said.append(because(code, kind=illness.kind.value, day=in_words(day)))
    said += [
        because("season.cause_injury", joint=injury.joint.value)
        for injury in new.injuries
        if injury not in old.injuries
    ]
    said += [
        because("season.cause_injury_over", joint=injury.joint.value)
        for injury in old.injuries
        if injury not in new.injuries
    ]
    said += [
        because("season.cause_away", first=in_words(stretch.first), last=in_words(stretch.last))
        for stretch in new.away
        if stretch not in old.away
    ]
    if {*old.away} - {*new.away}:
        said.append(because("season.cause_away_over"))
    if old.clearance is not new.clearance:
        said.append(because("season.cause_clearance", clearance=new.clearance.value))
    return tuple(said)


def _day_reasons(old: SeasonRequest, new: SeasonRequest) -> tuple[Reason, ...]:
    """Say how the days at hand changed."""
    if old.minutes_by_weekday == new.minutes_by_weekday:
        return ()
    before, now = sum(old.minutes_by_weekday), sum(new.minutes_by_weekday)
    return (because("season.cause_days", before=before, now=now),)


def _window_reasons(old: OpeningWindow, new: OpeningWindow) -> tuple[Reason, ...]:
    """Say how the window moved."""
    if old == new:
        return ()
    days = (new.likely - old.likely).days
    if days == 0:
        earliest = in_words(new.earliest)
        return (because("season.cause_earliest", before=in_words(old.earliest), now=earliest),)
    code = "season.cause_earlier" if days < 0 else "season.cause_later"
    return (because(code, days=abs(days), before=in_words(old.likely), now=in_words(new.likely)),)
