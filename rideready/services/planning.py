"""The season, this week and today, planned from what was really done."""

import datetime as dt
from dataclasses import dataclass

from rideready.model.comparison import Comparison
from rideready.model.season import OpeningWindow, Season, SeasonRequest
from rideready.model.today import TodayAnswer
from rideready.model.week import DayPlan, WeekPlan
from rideready.plan.history import week_done_from
from rideready.plan.replan import replan, what_if
from rideready.plan.season import plan_season
from rideready.plan.today import today
from rideready.plan.week import week_at_hand
from rideready.services.context import Context
from rideready.services.done import (
    conditions,
    days_away,
    done_sessions,
    monday_of,
    soreness,
    weeks_done,
)
from rideready.services.progress import WeekProgress, progress_of
from rideready.services.remembered import remembered
from rideready.services.riders import get_rider
from rideready.services.training import get_training, update_training
from rideready.store.plans import (
    SeenPlan,
    keep_placed_days,
    keep_plan_began,
    keep_seen_plan,
    placed_days,
    plan_began,
    seen_plan,
)


@dataclass(frozen=True, slots=True)
class SeasonSeen:
    """The season, and its last change.

    Parameters
    ----------
    season
        The plan as of today.
    change
        What changed when the plan last changed, and why, laid beside today's plan; None while nothing has.
    changed_on
        The day on which the rider saw that change first; None likewise.
    """

    season: Season
    change: Comparison | None = None
    changed_on: dt.date | None = None


def set_window(ctx: Context, *, earliest: dt.date, likely: dt.date) -> None:
    """Keep the opening window; raises `BadInput` if the likely day lies before the earliest."""
    OpeningWindow(earliest, likely)
    before = get_training(ctx).likely
    if before is None or before < ctx.today:  # the first window of a season
        with ctx.store.writing() as connection:
            keep_plan_began(connection, ctx.rider_id, ctx.today)
    update_training(ctx, earliest=earliest, likely=likely)


def season_request(ctx: Context, *, window: OpeningWindow | None = None) -> SeasonRequest:
    """Gather what a season is planned from.

    Parameters
    ----------
    ctx
        Store, rider and today.
    window
        The opening window; None takes the one kept.

    Raises
    ------
    BadInput
        If there is no window yet.
    """
    training, done = get_training(ctx), done_sessions(ctx)
    illnesses, injuries = conditions(ctx)
    with ctx.store.reading() as connection:
        began = plan_began(connection, ctx.rider_id, until=ctx.today)
    return SeasonRequest(
        window=window or training.window,
        today=ctx.today,
        history=weeks_done(done, before=ctx.today),
        this_week=week_done_from(monday_of(ctx.today), [s for s in done if s.day <= ctx.today]),
        minutes_by_weekday=training.minutes_by_weekday,
        level=training.level,
        usual_min=training.usual_min,
        long_day=training.long_day,
        injuries=injuries,
        illnesses=illnesses,
        away=days_away(ctx),
        began=began or ctx.today,
    )


def season(ctx: Context) -> Season:
    """Plan the season up to the likely opening day; raises as `season_request` and `plan_season`."""
    return remembered(ctx, ("season", ctx.today), lambda: plan_season(season_request(ctx)))


def season_seen(ctx: Context) -> SeasonSeen:
    """Plan the season and say what changed since the plan the rider saw last, and why.

    The plan shown is kept as seen. What changed stays told until something else changes.

    Raises
    ------
    BadInput, Infeasible
        As `season`.
    """
    return remembered(ctx, ("season seen", ctx.today), lambda: _season_seen(ctx))


def _season_seen(ctx: Context) -> SeasonSeen:
    now = season(ctx)
    request = now.request
    with ctx.store.reading() as connection:
        kept = seen_plan(connection, ctx.rider_id)
    if kept is None:
        _keep_seen(ctx, SeenPlan(request))
        return SeasonSeen(now)
    if kept.seen.today > ctx.today:  # a look back tells nothing new
        return SeasonSeen(now)
    if kept.seen != request:
        news = replan(plan_season(kept.seen), request)
        if news.causes or news.weeks:
            _keep_seen(ctx, SeenPlan(request, kept.seen, ctx.today))
            return SeasonSeen(now, news, ctx.today)
    if kept.before is None:
        return SeasonSeen(now)
    return SeasonSeen(now, replan(plan_season(kept.before), request), kept.changed_on)


def this_week(ctx: Context) -> WeekPlan:
    """Place what is left of this week on its days, and say where what was missed went.

    The placement is kept for the day, so that a later day knows what was missed.
    """
    return remembered(ctx, ("this week", ctx.today), lambda: _place(ctx, season(ctx)))


def todays_answer(ctx: Context) -> TodayAnswer:
    """Say what to do today."""
    return today(season(ctx), this_week(ctx), get_rider(ctx))


def week_progress(ctx: Context) -> WeekProgress:
    """Say for each of the week's targets what is asked, done, still placed and left."""
    return progress_of(this_week(ctx))


def moved_window(ctx: Context, *, earliest: dt.date, likely: dt.date) -> Comparison:
    """Show a moved opening window beside today's plan; nothing is kept."""
    return what_if(season_request(ctx), OpeningWindow(earliest, likely))


def _keep_seen(ctx: Context, plan: SeenPlan) -> None:
    with ctx.store.writing() as connection:
        keep_seen_plan(connection, ctx.rider_id, plan)


def _place(ctx: Context, planned: Season) -> WeekPlan:
    monday = monday_of(ctx.today)
    first = monday - dt.timedelta(days=1)
    lately = [session for session in done_sessions(ctx) if first <= session.day <= ctx.today]
    with ctx.store.reading() as connection:
        kept = placed_days(connection, ctx.rider_id, since=monday)
    before = [day for day in kept if day < ctx.today]
    previous = _as_placed(planned, kept[max(before)]) if before else None
    found = week_at_hand(planned, lately, sore=soreness(ctx), previous=previous)
    # With today's session done, today's plan no longer holds it; the plan before it was done stays.
    is_begun = ctx.today in kept and any(session.day == ctx.today for session in lately)
    if found.days and not is_begun and _bare(found.days) != kept.get(ctx.today):
        with ctx.store.writing() as connection:
            keep_placed_days(connection, ctx.rider_id, ctx.today, found.days)
    return found


def _as_placed(planned: Season, days: tuple[DayPlan, ...]) -> WeekPlan:
    """Make a plan of this week of days as they were placed before."""
    return WeekPlan(planned.weeks[0], days, (), (), (), 0, 0.0)


def _bare(days: tuple[DayPlan, ...]) -> tuple[DayPlan, ...]:
    """Leave away what is not kept."""
    return tuple(DayPlan(one.day, one.available_min, one.sessions) for one in days)
