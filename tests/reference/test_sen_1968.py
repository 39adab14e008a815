"""Theil-Sen slope and Sen's interval.

Sen 1968, J Am Stat Assoc 63:1379-89. Reference: scipy 1.17.1, ``scipy.stats.theilslopes(y, x)``, called here,
to twelve digits; the fourteen-value series is Gilbert's (1987), slope 0.566667, 0.325 to 0.866667.
"""

import numpy as np
import pytest
from scipy.stats import theilslopes

from rideready.recovery.rank_trend import theil_sen


def test_the_published_series_has_slope_interval_and_intercept() -> None:
    series = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]
    found = theil_sen(range(1, 15), series)
    assert found.slope == pytest.approx(0.566667, abs=5e-7)
    assert (found.low, found.high) == pytest.approx((0.325, 0.866667), abs=5e-7)
    assert found.intercept == pytest.approx(11.4, abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_it_agrees_with_scipy_with_and_without_ties_at_uneven_times(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n = int(rng.integers(5, 40))
    x = np.sort(rng.integers(0, 60, n)).astype(float) + (rng.random(n) if seed % 2 else 0)
    y = np.round(0.1 * x + rng.standard_normal(n), 1 if seed % 3 else 6)
    found, expected = theil_sen(x, y), theilslopes(y, x)
    assert (found.slope, found.low, found.high, found.intercept) == pytest.approx(
        (expected.slope, expected.low_slope, expected.high_slope, expected.intercept), abs=1e-12
    )


def test_times_that_do_not_differ_are_refused() -> None:
    with pytest.raises(ValueError, match="times that differ"):
        theil_sen([2, 2, 2], [1, 2, 3])
