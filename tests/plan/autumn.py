"""Twelve weeks of one invented rider, day by day: a lost week, an injury tag, early snow.

``python -m tests.plan.autumn`` prints them.
"""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from rideready.model.comparison import Comparison
from rideready.model.condition import Illness, IllnessKind, Injury
from rideready.model.exercise import Joint, Level
from rideready.model.season import OpeningWindow, Season, SeasonRequest, WeekDone
from rideready.model.week import DoneSession, WeekPlan
from rideready.plan.history import week_done_from
from rideready.plan.replan import replan
from rideready.plan.season import plan_season
from rideready.plan.week import week_at_hand

START = dt.date(2026, 9, 7)
WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))
EARLY = OpeningWindow(dt.date(2026, 11, 21), dt.date(2026, 11, 28))
FEVER = Illness(IllnessKind.FEVER, dt.date(2026, 10, 12))
FEVER_OVER = replace(FEVER, last_day=dt.date(2026, 10, 16))
SHOULDER = Injury(Joint.SHOULDER, dt.date(2026, 11, 2))
PAST = tuple(
    WeekDone(START - dt.timedelta(weeks=4 - n), minutes, 30, 1, 1, 2, 0, 45)
    for n, minutes in enumerate((160.0, 175.0, 150.0, 180.0))
)
#: On these days the rider tells something new; the plan is made again at once.
NEWS: dict[dt.date, dict[str, object]] = {
    dt.date(2026, 10, 12): {"illnesses": (FEVER,)},
    dt.date(2026, 10, 17): {"illnesses": (FEVER_OVER,)},
    dt.date(2026, 11, 2): {"illnesses": (FEVER_OVER,), "injuries": (SHOULDER,)},
    dt.date(2026, 11, 9): {"window": EARLY},
    dt.date(2026, 11, 13): {"injuries": ()},
}
_MISSED = 0.08


@dataclass(slots=True)
class Day:
    """One day as it went: the plan in force, what changed, and what was done."""

    day: dt.date
    season: Season
    plan: WeekPlan
    change: Comparison | None
    done_before: tuple[DoneSession, ...]
    done: list[DoneSession] = field(default_factory=list)


def live(seed: int) -> Iterator[Day]:
    """Live the autumn up to the likely opening day; the rider misses a day now and then."""
    rng = np.random.default_rng(seed)
    request = SeasonRequest(
        WINDOW,
        START,
        PAST,
        minutes_by_weekday=(60, 45, 60, 45, 60, 60, 90),
        level=Level.ADVANCED,
        long_day=6,
        began=START,
    )
    season = plan_season(request)
    plan: WeekPlan | None = None
    done: list[DoneSession] = []
    day = START
    while day < request.window.likely:
        monday = day - dt.timedelta(days=day.weekday())
        weeks = [START + dt.timedelta(weeks=n) for n in range((monday - START).days // 7)]
        request = replace(
            request,
            today=day,
            history=(*PAST, *(week_done_from(week, done) for week in weeks)),
            this_week=week_done_from(monday, done),
            **NEWS.get(day, {}),  # type: ignore[arg-type]
        )
        change = None
        if day in NEWS or day == monday:
            change = replan(season, request)
            season = change.after
        else:
            season = plan_season(request)
        in_force = plan if plan is not None and plan.week.start == monday else None
        plan = week_at_hand(season, done, previous=in_force)
        today = Day(day, season, plan, change, tuple(done))
        placed = plan.on(day)
        if placed is not None and rng.random() > _MISSED:
            today.done = [DoneSession.as_planned(day, session) for session in placed.sessions]
        done += today.done
        yield today
        day += dt.timedelta(days=1)


def lines(seed: int) -> Iterator[str]:
    """Write the autumn as text."""
    for today in live(seed):
        if today.change is not None and (today.change.causes or today.day.weekday() == 0):
            yield f"{today.day:%a %d %b}"
            for reason in (*today.change.causes, *today.change.consequences):
                yield f"    {reason.sentence}"
            for change in today.change.weeks[:3]:
                before, after = (
                    "no plan" if t is None else f"{t.moderate_equivalent_min} min"
                    for t in (change.before, change.after)
                )
                yield f"    week of {change.start:%d %b}: {before} -> {after}: {change.reasons[-1].sentence}"
            if len(today.change.weeks) > 3:
                yield f"    and {len(today.change.weeks) - 3} weeks more, each with its reasons"
        if today.day.weekday() == 0:
            week = today.season.weeks[0]
            t = week.targets
            yield (
                f"  {week.phase}{', easier' if week.is_easier else ''}: {t.moderate_equivalent_min} min, "
                f"{t.circuits} circuits, {t.burst_practices} burst practices, {t.strength} strength, "
                f"long piece {t.long_piece_min} min"
            )
        did = ", ".join(f"{s.kind.label} {s.minutes:.0f}" for s in today.done) or "-"
        moved = " ".join(reason.sentence for reason in today.plan.moved)
        yield f"    {today.day:%a %d}: {did}{'   | ' + moved if moved else ''}"


if __name__ == "__main__":
    print("\n".join(lines(3)))  # noqa: T201 - a demonstration
