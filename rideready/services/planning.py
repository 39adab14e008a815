"""The season, this week and today, planned from what was really done."""

import datetime as dt

from rideready.model.comparison import Comparison
from rideready.model.season import OpeningWindow, Season, SeasonRequest
from rideready.model.today import TodayAnswer
from rideready.model.week import WeekPlan
from rideready.plan.history import week_done_from
from rideready.plan.replan import what_if
from rideready.plan.season import plan_season
from rideready.plan.today import today
from rideready.plan.week import week_at_hand
from rideready.services.context import Context
from rideready.services.done import conditions, done_sessions, monday_of, weeks_done
from rideready.services.riders import get_rider
from rideready.services.training import get_training, update_training


def set_window(ctx: Context, *, earliest: dt.date, likely: dt.date) -> None:
    """Keep the opening window; raises `BadInput` if the likely day lies before the earliest."""
    OpeningWindow(earliest, likely)
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
    )


def season(ctx: Context) -> Season:
    """Plan the season up to the likely opening day; raises as `season_request` and `plan_season`."""
    return plan_season(season_request(ctx))


def this_week(ctx: Context) -> WeekPlan:
    """Place what is left of this week on its days."""
    return _place(ctx, season(ctx))


def todays_answer(ctx: Context) -> TodayAnswer:
    """Say what to do today."""
    planned = season(ctx)
    return today(planned, _place(ctx, planned), get_rider(ctx))


def moved_window(ctx: Context, *, earliest: dt.date, likely: dt.date) -> Comparison:
    """Show a moved opening window beside today's plan; nothing is kept."""
    return what_if(season_request(ctx), OpeningWindow(earliest, likely))


def _place(ctx: Context, planned: Season) -> WeekPlan:
    first = monday_of(ctx.today) - dt.timedelta(days=1)
    lately = [session for session in done_sessions(ctx) if first <= session.day <= ctx.today]
    return week_at_hand(planned, lately)
