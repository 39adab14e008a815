"""Thinning keeps every extreme, every hole and the order of time."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from dashboards.figures.thinning import keep_extremes

TRACES = arrays(
    np.float64,
    st.integers(1, 120),
    elements=st.one_of(st.just(np.nan), st.integers(30, 220).map(float)),
)


@settings(deadline=None, max_examples=50)  # a busy machine is no fault
@given(TRACES, st.integers(2, 60))
def test_the_highest_and_lowest_value_stay_and_nothing_is_invented(y: np.ndarray, n_points: int) -> None:
    x = np.arange(float(y.size))
    kept_x, kept_y = keep_extremes(x, y, n_points=n_points)
    assert kept_y.size <= max(n_points, 0) or y.size <= n_points
    assert np.all(np.diff(kept_x) > 0)
    np.testing.assert_array_equal(kept_y, y[kept_x.astype(int)])
    if np.isfinite(y).any():
        assert np.nanmax(kept_y) == np.nanmax(y)
        assert np.nanmin(kept_y) == np.nanmin(y)


@pytest.mark.parametrize("n", [36_000, 36_017, 7_201, 2_001])
def test_each_bin_keeps_its_own_peak(n: int) -> None:
    rng = np.random.default_rng(7)
    y = rng.normal(120, 10, n)
    _, kept_y = keep_extremes(np.arange(float(n)), y)
    edges = np.linspace(0, n, 1001).astype(int)
    peaks = {y[start:end].max() for start, end in itertools.pairwise(edges)}
    assert kept_y.size <= 2000
    assert peaks <= set(kept_y)


def test_a_trace_that_is_short_enough_comes_back_untouched() -> None:
    x, y = np.arange(2000.0), np.full(2000, 120.0)
    kept_x, kept_y = keep_extremes(x, y)
    assert kept_x is x
    assert kept_y is y


def test_a_hole_stays_a_hole() -> None:
    y = np.full(10_000, 120.0)
    y[4000:5000] = np.nan
    x = np.arange(10_000.0)
    kept_x, kept_y = keep_extremes(x, y, n_points=200)
    inside = (kept_x >= 4100) & (kept_x < 4900)
    assert inside.any()
    assert np.isnan(kept_y[inside]).all()


@pytest.mark.parametrize(("size", "n_points"), [(3, 1), (4, 10)])
def test_arrays_that_do_not_fit_together_are_refused(size: int, n_points: int) -> None:
    with pytest.raises(ValueError, match=r"shape|at least 2"):
        keep_extremes(np.arange(3.0), np.zeros(size), n_points=n_points)
