"""The season's figure holds every recovery, once, where its date and drop are."""

from typing import Any

import numpy as np
import pandas as pd

from dashboards.figures.recoveries import RING, recoveries_figure, ring_around
from dashboards.theme import LIGHT

DOTS = pd.DataFrame(
    {
        "key": ["1.1", "1.2", "2.1", "3.1"],
        "day": [20_700.5, 20_700.6, 20_710.5, 20_720.5],
        "hrr60_bpm": [22.0, 25.0, 31.0, 18.0],
        "grade": ["good", "fair", "good", "rough"],
        "mode": ["still", "moving", "still", "unknown"],
        "said": ["a", "b", "c", "d"],
    }
)
SESSIONS = pd.DataFrame(
    {
        "day": [20_700.5, 20_710.5, 20_720.5],
        "hrr60_bpm": [23.0, 26.0, 28.0],
        "half_width_bpm": [3.0, 2.0, 4.0],
        "recorder": ["Strap", "Strap", "Wrist"],
        "fitted_bpm": [23.5, 25.5, np.nan],
        "fitted_low_bpm": [22.0, 24.0, np.nan],
        "fitted_high_bpm": [25.0, 27.0, np.nan],
        "said": ["x", "y", "z"],
    }
)
NO_SESSIONS = SESSIONS.iloc[:0]


def _named(figure: Any, name: str) -> list[Any]:
    return [trace for trace in figure.data if trace.name == name]


def test_every_recovery_is_one_dot_at_its_date_and_drop() -> None:
    figure = recoveries_figure(DOTS, NO_SESSIONS)
    drawn = {
        key: (x, y)
        for trace in figure.data
        if trace.customdata is not None
        for key, x, y in zip(trace.customdata, trace.x, trace.y, strict=True)
    }
    assert drawn == {row.key: (row.day, row.hrr60_bpm) for row in DOTS.itertuples()}


def test_grade_is_told_by_fill_and_the_first_minute_by_shape() -> None:
    figure = recoveries_figure(DOTS, NO_SESSIONS)
    looks = {
        key: (trace.marker.symbol, trace.marker.color)
        for trace in figure.data
        if trace.customdata is not None
        for key in trace.customdata
    }
    assert looks == {
        "1.1": ("circle", LIGHT["accent"]),
        "1.2": ("diamond", LIGHT["paper"]),
        "2.1": ("circle", LIGHT["accent"]),
        "3.1": ("square", LIGHT["paper"]),
    }


def test_better_grades_lie_on_top() -> None:
    names = [trace.name for trace in recoveries_figure(DOTS, NO_SESSIONS).data]
    assert names.index("rough, square") < names.index("fair, diamond") < names.index("good, circle")


def test_the_opened_recovery_wears_a_ring() -> None:
    figure = recoveries_figure(DOTS, NO_SESSIONS, opened="2.1")
    assert (list(figure.data[RING].x), list(figure.data[RING].y)) == ([20_710.5], [31.0])


def test_a_recovery_that_is_not_on_screen_gets_no_ring() -> None:
    x, y = ring_around(DOTS, "9.9")
    assert (x.size, y.size) == (0, 0)


def test_sessions_stand_with_their_interval_and_the_course_with_its_band() -> None:
    figure = recoveries_figure(DOTS, SESSIONS)
    (sessions,) = _named(figure, "sessions")
    assert list(sessions.y) == [23.0, 26.0, 28.0]
    assert list(sessions.error_y.array) == [3.0, 2.0, 4.0]
    (course,) = _named(figure, "trend")
    assert (list(course.x), list(course.y)) == ([20_700.5, 20_710.5], [23.5, 25.5])
    (band,) = _named(figure, "95 % band")
    assert list(band.y) == [22.0, 24.0, 27.0, 25.0]


def test_each_recorder_has_a_course_of_its_own() -> None:
    fitted = SESSIONS.assign(fitted_bpm=[23.5, 25.5, 30.0], fitted_low_bpm=1.0, fitted_high_bpm=2.0)
    runs = _named(recoveries_figure(DOTS, fitted), "trend")
    assert [list(run.x) for run in runs] == [[20_700.5, 20_710.5], [20_720.5]]


def test_the_drop_axis_starts_at_zero_and_the_days_are_named() -> None:
    figure = recoveries_figure(DOTS, SESSIONS.assign(fitted_low_bpm=-80.0))
    # From zero to a little over the highest mark, however wide the band is.
    assert figure.layout.yaxis.range == (0.0, 1.08 * 31.0)
    assert figure.layout.yaxis.title.text == "drop in the first 60 s, bpm"
    assert figure.layout.xaxis.ticktext == ("7 Sep<br>2026", "14 Sep", "21 Sep")
    low, high = figure.layout.xaxis.range
    assert low < 20_700.5
    assert high > 20_720.5


def test_nothing_to_draw_gives_an_empty_figure_and_no_error() -> None:
    figure = recoveries_figure(DOTS.iloc[:0], NO_SESSIONS)
    assert [trace.name for trace in figure.data] == ["opened"]


def test_numbers_travel_as_typed_arrays_and_not_as_lists() -> None:
    dots = _named(recoveries_figure(DOTS, NO_SESSIONS), "good, circle")[0]
    assert isinstance(dots.x, np.ndarray)
    assert dots.type == "scatter"
