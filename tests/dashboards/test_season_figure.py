"""The season's table and figure hold every week, once, where it belongs."""

import datetime as dt
from typing import Any

import numpy as np

from dashboards.figures.season import DONE_DAYS, PLANNED_DAYS, season_figure
from dashboards.formats import day_number
from dashboards.season_table import WEEKS_BACK, season_table
from rideready.model.season import OpeningWindow, Season, SeasonRequest, WeekDone
from rideready.plan.season import plan_season

#: A Thursday, and the Monday of its week.
TODAY, MONDAY = dt.date(2026, 10, 15), dt.date(2026, 10, 12)
WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))


def a_season(*done: WeekDone, this_week: WeekDone | None = None) -> Season:
    return plan_season(SeasonRequest(WINDOW, TODAY, history=done, this_week=this_week, usual_min=150.0))


def weeks_ago(n: int, minutes: float) -> WeekDone:
    return WeekDone(MONDAY - dt.timedelta(weeks=n), moderate_equivalent_min=minutes)


def drawn(season: Season) -> Any:
    return season_figure(
        season_table(season),
        window=(day_number(WINDOW.earliest), day_number(WINDOW.likely)),
        today=day_number(TODAY),
        name="opening window",
    )


def test_a_week_without_anything_done_stands_between_the_others_as_nothing() -> None:
    table = season_table(a_season(weeks_ago(3, 160.0), weeks_ago(1, 140.0)))
    assert table["done_min"].iloc[:4].tolist() == [160.0, 0.0, 140.0, 0.0]
    assert np.diff(table["start"]).tolist() == [7.0] * (len(table) - 1)


def test_the_week_at_hand_has_both_what_is_done_and_what_is_planned() -> None:
    season = a_season(weeks_ago(1, 140.0), this_week=weeks_ago(0, 55.0))
    row = season_table(season).set_index("start").loc[day_number(MONDAY)]
    assert row["done_min"] == 55.0
    assert row["target_min"] == season.weeks[0].targets.moderate_equivalent_min
    assert "55 min done so far" in row["said"]


def test_weeks_to_come_have_nothing_done_and_not_a_zero() -> None:
    table = season_table(a_season())
    assert table["done_min"].iloc[1:].isna().all()
    assert len(table) == len(a_season().weeks)


def test_only_the_last_weeks_are_looked_back_on() -> None:
    table = season_table(a_season(*(weeks_ago(n, 150.0) for n in range(1, 40))))
    assert table["target_min"].isna().sum() == WEEKS_BACK


def test_every_bar_stands_in_the_middle_of_its_week_at_its_minutes() -> None:
    season = a_season(weeks_ago(2, 130.0), weeks_ago(1, 140.0))
    traces = {trace.name: trace for trace in drawn(season).data}
    planned, done = traces["planned"], traces["done"]
    assert list(planned.y) == [week.targets.moderate_equivalent_min for week in season.weeks]
    assert list(planned.x) == [day_number(week.start) + 3.5 for week in season.weeks]
    assert list(done.y) == [130.0, 140.0, 0.0]
    assert (planned.width, done.width) == (PLANNED_DAYS, DONE_DAYS)


def test_the_opening_window_is_a_band_between_its_days() -> None:
    band = next(shape for shape in drawn(a_season()).layout.shapes if shape.type == "rect")
    assert (band.x0, band.x1) == (day_number(WINDOW.earliest), day_number(WINDOW.likely) + 1)


def test_everything_drawn_lies_on_the_axes() -> None:
    figure = drawn(a_season(weeks_ago(1, 310.0)))
    low, high = figure.layout.xaxis.range
    assert low < min(figure.data[1].x)
    assert high > day_number(WINDOW.likely)
    assert figure.layout.yaxis.range[1] > 310.0
