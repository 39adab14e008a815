"""The season as a table, one row a week: what was done, what is planned."""

import datetime as dt

import pandas as pd

from dashboards import formats
from dashboards.words import say
from rideready.model.season import Season, Week, WeekDone

#: Weeks looked back on; enough to see where the plan starts from.
WEEKS_BACK = 12

COLUMNS = ("start", "done_min", "target_min", "limit_min", "phase", "is_easier", "said")


def season_table(season: Season) -> pd.DataFrame:
    """Lay out the last weeks done and all weeks planned.

    Returns
    -------
    pandas.DataFrame
        ``start`` (the Monday, days since 1970-01-01), ``done_min`` and ``target_min``
        (moderate-equivalent minutes; NaN where nothing could be done yet or nothing was planned),
        ``limit_min`` (the most the ramp allows), ``phase``, ``is_easier``, ``said``.
    """
    done = {week.start: week for week in season.request.history}
    so_far = season.request.this_week
    first_planned = season.weeks[0].start
    rows = [_past(start, done.get(start)) for start in _mondays_before(first_planned, done)]
    for place, week in enumerate(season.weeks):
        rows.append(_planned(week, so_far if place == 0 else None, is_now=place == 0))
    return pd.DataFrame(rows, columns=COLUMNS)


def season_csv(weeks: pd.DataFrame) -> pd.DataFrame:
    """Lay the table of `season_table` out for another program: dates as text, units in the names."""
    return pd.DataFrame(
        {
            "week_of": [formats.date_of(start).isoformat() for start in weeks["start"]],
            "phase": weeks["phase"],
            "done_moderate_equivalent_min": weeks["done_min"].astype(float),
            "planned_moderate_equivalent_min": weeks["target_min"].astype(float),
            "ramp_allows_at_most_min": weeks["limit_min"].astype(float),
        }
    )


def _mondays_before(first_planned: dt.date, done: dict[dt.date, WeekDone]) -> list[dt.date]:
    """List the weeks to look back on, from the first recorded one; those with nothing done among them."""
    before = [start for start in done if start < first_planned]
    if not before:
        return []
    n_back = min(WEEKS_BACK, (first_planned - min(before)).days // 7)
    return [first_planned - dt.timedelta(weeks=n) for n in range(n_back, 0, -1)]


def _past(start: dt.date, week: WeekDone | None) -> tuple[object, ...]:
    minutes = 0.0 if week is None else week.moderate_equivalent_min
    said = say("season.said.done", day=formats.day(start), minutes=formats.whole(minutes))
    return formats.day_number(start), minutes, None, None, "", False, said


def _planned(week: Week, done: WeekDone | None, *, is_now: bool) -> tuple[object, ...]:
    targets = week.targets
    done_min = (0.0 if done is None else done.moderate_equivalent_min) if is_now else None
    said = say(
        "season.said.planned",
        day=formats.day(week.start),
        phase=say(f"phase.{week.phase}"),
        minutes=targets.moderate_equivalent_min,
        vigorous=targets.vigorous_min,
        limit=formats.whole(week.limit_min),
    )
    if done_min is not None:
        said += say("season.said.so_far", minutes=formats.whole(done_min))
    start = formats.day_number(week.start)
    return (
        start,
        done_min,
        float(targets.moderate_equivalent_min),
        week.limit_min,
        str(week.phase),
        week.is_easier,
        said,
    )
