"""From the opening window to weeks: targets, the floor, and what the rider should know."""

import datetime as dt

from rideready.errors import BadInput, Infeasible
from rideready.model.season import Season, SeasonRequest
from rideready.plan.calendar_weeks import in_words
from rideready.plan.explain import rules_kept, statements_of
from rideready.plan.floor import floor_status
from rideready.plan.season_weeks import Planner

_MOST_DAYS_AHEAD = 730
_LEAST_DAY_MIN = 20


def plan_season(request: SeasonRequest) -> Season:
    """Plan the weeks from today's to that of the likely opening day.

    It makes sure of the floor by the earliest opening day where that can be done, and peaks on the likely one.
    It says nothing about injuries, and knows only what is recorded or logged. The same request gives the
    same plan.

    Parameters
    ----------
    request
        Window, day of planning, what was really done, days and minutes at hand, and what holds the rider back.

    Returns
    -------
    Season
        Weeks with targets and reasons, the state of the floor, and statements.

    Raises
    ------
    BadInput
        If the likely opening day is past or more than two years away.
    Infeasible
        If no day has the 20 minutes of the shortest session.

    References
    ----------
    Bull et al. 2020, Br J Sports Med 54:1451-62 (minutes). Bosquet et al. 2007, Med Sci Sports Exerc 39:1358-65
    (taper). Ramp and easier weeks are common practice. The floor is this project's own.
    """
    _check(request)
    planner = Planner(request)
    weeks = planner.weeks()
    window = request.window
    floor = floor_status(planner.series.floor_weeks, request.today, window.earliest, window.likely)
    season = Season(request, weeks, planner.taper_start, floor)
    return Season(
        request,
        weeks,
        planner.taper_start,
        floor,
        statements_of(season, most_min=planner.most_minutes()),
        rules_kept(),
    )


def _check(request: SeasonRequest) -> None:
    """Refuse what cannot be planned, in one sentence each."""
    likely, today = request.window.likely, request.today
    if likely < today:
        raise BadInput(
            f"the likely opening day, {in_words(likely)}, is past",
            "opening window",
            "Give the window of the coming season",
        )
    if likely - today > dt.timedelta(days=_MOST_DAYS_AHEAD):
        raise BadInput(
            f"the likely opening day, {in_words(likely)}, is more than two years away",
            "opening window",
            "Give a window within the next two years",
        )
    if max(request.minutes_by_weekday) < _LEAST_DAY_MIN:
        raise Infeasible(
            "no day of your week has 20 minutes, which is the shortest session",
            "available days",
            "Give at least one day 20 minutes; two days apart from each other are a better start",
        )
