"""A session's figure shows the pulse over its classes, what was left out, and where efforts ended."""

from typing import Any

import numpy as np
import pandas as pd
import pytest

from dashboards.figures.trace import lines, pointer_numbers, trace_figure
from dashboards.theme import RAMP

T_S = np.arange(0.0, 601.0)
SAMPLES = pd.DataFrame({"t_s": T_S, "hr_bpm": 120 + 40 * np.sin(T_S / 100)})
BANDS = pd.DataFrame(
    {
        "step": [0, 1, 2, 3, 4],
        "label": ["very light", "light", "moderate", "vigorous", "near-maximal to maximal"],
        "short": ["very light", "light", "moderate", "vigorous", "near-max"],
        "low_bpm": [0.0, 92.0, 106.0, 132.0, 173.0],
        "high_bpm": [92.0, 106.0, 132.0, 173.0, np.inf],
    }
)
LEFT_OUT = pd.DataFrame({"start_s": [120.0, 300.0], "end_s": [150.0, 300.0], "said": ["stuck", "spike"]})
FALLS = pd.DataFrame(
    {
        "key": ["12.1"],
        "order": [1],
        "end_s": [180.0],
        "watched_s": [60.0],
        "peak_bpm": [160.0],
        "said": ["34 bpm"],
    }
)


def _traces(figure: Any) -> dict[str, Any]:
    return {trace.name: trace for trace in figure.data}


def test_the_trace_is_drawn_in_minutes() -> None:
    figure = trace_figure(SAMPLES, BANDS, LEFT_OUT, FALLS)
    trace = _traces(figure)["heart rate"]
    np.testing.assert_allclose(trace.x, T_S / 60)
    np.testing.assert_allclose(trace.y, SAMPLES["hr_bpm"])
    assert figure.layout.xaxis.range == (0, 10)


def test_each_class_is_a_band_between_its_bounds_in_the_colour_of_its_step() -> None:
    figure = trace_figure(SAMPLES, BANDS, LEFT_OUT, FALLS)
    low, high = figure.layout.yaxis.range
    drawn = [(shape.fillcolor, shape.y0, shape.y1) for shape in figure.layout.shapes]
    bounds = [(low, 92.0), (92.0, 106.0), (106.0, 132.0), (132.0, 173.0), (173.0, high)]
    assert drawn == [(RAMP[step], *ends) for step, ends in enumerate(bounds)]


def test_classes_the_session_never_came_near_are_not_drawn() -> None:
    calm = SAMPLES.assign(hr_bpm=60.0)
    figure = trace_figure(calm, BANDS, LEFT_OUT.iloc[:0], FALLS.iloc[:0])
    assert [shape.name for shape in figure.layout.shapes] == ["very light"]


def test_without_a_known_maximum_there_are_no_bands() -> None:
    figure = trace_figure(SAMPLES, BANDS.iloc[:0], LEFT_OUT, FALLS)
    assert len(figure.layout.shapes) == 0
    assert figure.layout.yaxis.showgrid is True


def test_left_out_stretches_lie_under_the_trace_each_with_its_reason() -> None:
    figure = trace_figure(SAMPLES, BANDS, LEFT_OUT, FALLS)
    strip = _traces(figure)["left out"]
    np.testing.assert_allclose(strip.x, [2.0, 2.5, np.nan, 5.0, 5.0, np.nan])
    assert list(strip.text) == ["stuck"] * 3 + ["spike"] * 3
    assert np.nanmax(strip.y) < SAMPLES["hr_bpm"].min()


def test_the_watched_fall_is_drawn_over_the_trace_and_nothing_else_is() -> None:
    fall = _traces(trace_figure(SAMPLES, BANDS, LEFT_OUT, FALLS))["recoveries"]
    drawn = fall.x[np.isfinite(fall.y)] * 60
    assert (drawn.min(), drawn.max()) == (180.0, 240.0)


def test_every_effort_end_carries_its_number_and_leads_to_its_recovery() -> None:
    pointer = _traces(trace_figure(SAMPLES, BANDS, LEFT_OUT, FALLS))["ends of efforts"]
    assert list(pointer.x) == [3.0]
    assert list(pointer.text) == ["1"]
    assert list(pointer.customdata) == ["12.1"]


def test_numbers_that_would_lie_on_each_other_are_left_away_until_the_reader_looks_closer() -> None:
    falls = pd.concat(
        [FALLS.assign(order=order, end_s=60.0 * minute) for order, minute in ((1, 10), (2, 11), (3, 30))]
    )
    assert pointer_numbers(falls, (0.0, 100.0)) == ["1", "", "3"]
    assert pointer_numbers(falls, (0.0, 40.0)) == ["1", "2", "3"]


def test_five_hours_at_1_hz_are_sent_as_two_thousand_points_with_the_true_peak() -> None:
    t_s = np.arange(18_000.0)
    hr_bpm = np.full(t_s.shape, 120.0)
    hr_bpm[7777] = 187.0
    figure = trace_figure(
        pd.DataFrame({"t_s": t_s, "hr_bpm": hr_bpm}), BANDS, LEFT_OUT.iloc[:0], FALLS.iloc[:0]
    )
    trace = _traces(figure)["heart rate"]
    assert trace.y.size <= 2000
    assert trace.y.max() == 187.0
    assert len(figure.to_json()) < 60_000


def test_looking_closer_draws_every_second_of_the_stretch() -> None:
    t_s = np.arange(18_000.0)
    samples = pd.DataFrame({"t_s": t_s, "hr_bpm": 120 + 40 * np.sin(t_s / 100)})
    falls = FALLS.assign(end_s=3000.0)
    (x, y), (fall_x, fall_y) = lines(samples, falls, span_min=(45.0, 60.0))
    np.testing.assert_allclose(x * 60, np.arange(2700.0, 3601.0))
    np.testing.assert_allclose(y, samples["hr_bpm"][2700:3601])
    drawn = fall_x[np.isfinite(fall_y)] * 60
    assert (drawn.min(), drawn.max()) == pytest.approx((3000.0, 3060.0))


def test_a_session_without_a_trusted_second_gives_an_empty_frame() -> None:
    figure = trace_figure(SAMPLES.assign(hr_bpm=np.nan), BANDS, LEFT_OUT, FALLS.iloc[:0])
    assert figure.layout.yaxis.range == (40.0, 200.0)
