"""One recovery's figure shows what was recorded, what was fitted and how far it fell."""

import numpy as np
import pandas as pd
import pytest

from dashboards.figures.curve import curve_figure

SAMPLES = pd.DataFrame(
    {"t_s": [-20.0, 0.0, 30.0, 60.0, 90.0], "hr_bpm": [160.0, 165.0, 150.0, 90.0, 120.0], "is_trusted": True}
).assign(is_trusted=[True, True, True, False, True])
FIT = pd.DataFrame(
    {"t_s": [0.0, 60.0], "hr_bpm": [165.0, 130.0], "low_bpm": [163.0, 127.0], "high_bpm": [167.0, 133.0]}
)
NO_FIT = FIT.iloc[:0]


def test_samples_that_were_left_out_are_marked_apart() -> None:
    traces = {trace.name: trace for trace in curve_figure(SAMPLES, NO_FIT, peak_bpm=165.0).data}
    assert list(traces["recorded"].x) == [-20.0, 0.0, 30.0, 90.0]
    assert list(traces["left out"].y) == [90.0]
    assert "fitted fall" not in traces


def test_the_fitted_fall_runs_in_its_band() -> None:
    traces = {trace.name: trace for trace in curve_figure(SAMPLES, FIT, peak_bpm=165.0).data}
    assert list(traces["fitted fall"].y) == [165.0, 130.0]
    assert list(traces["95 % band"].y) == [163.0, 127.0, 133.0, 167.0]


def test_the_bracket_falls_by_the_drop_from_the_peak_at_60_s() -> None:
    figure = curve_figure(SAMPLES, FIT, peak_bpm=165.0, hrr60_bpm=34.0)
    bracket = [shape for shape in figure.layout.shapes if shape.x0 == 60]
    assert [(shape.y0, shape.y1) for shape in bracket] == [(165.0, 131.0)]
    assert figure.layout.annotations[0].text == "34 bpm in 60 s"


@pytest.mark.parametrize("drop", [None, np.nan])
def test_a_drop_that_could_not_be_measured_has_no_bracket(drop: float | None) -> None:
    figure = curve_figure(SAMPLES, FIT, peak_bpm=165.0, hrr60_bpm=drop)
    assert len(figure.layout.annotations) == 0
    assert [shape.x0 for shape in figure.layout.shapes] == [0]


def test_the_settle_level_is_drawn_and_named() -> None:
    figure = curve_figure(SAMPLES, FIT, peak_bpm=165.0, settle_bpm=132.0)
    assert figure.layout.shapes[-1].y0 == 132.0
    assert figure.layout.annotations[-1].text == "settle level 132"


def test_the_time_axis_holds_every_sample_and_never_less_than_a_minute() -> None:
    assert curve_figure(SAMPLES, FIT, peak_bpm=165.0).layout.xaxis.range == (-22.0, 92.0)
    short = SAMPLES[SAMPLES["t_s"] <= 30]
    assert curve_figure(short, NO_FIT, peak_bpm=165.0).layout.xaxis.range == (-22.0, 62.0)
