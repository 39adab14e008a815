"""Kendall's test of a series against time.

Gilbert 1987, Statistical Methods for Environmental Pollution Monitoring, pp. 209-213: fourteen values with
one tie, 72 pairs rising and 18 falling, S = 54, Var(S) = 332.6667, Z = 2.9058, one-sided p about 0.0018; as
printed, to the digits shown. For n <= 10 the book asks for exact tables: the exact p is
compared with scipy 1.17.1, ``kendalltau(range(n), y, method="exact").pvalue``, to twelve digits.
"""

import numpy as np
import pytest
from scipy.stats import kendalltau

from rideready.recovery.rank_trend import kendall

SERIES = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]


def test_the_published_series_has_the_published_statistic_and_variance() -> None:
    found = kendall(SERIES)
    assert found.s == 54
    assert found.variance == pytest.approx(332.6667, abs=5e-5)
    assert found.z == pytest.approx(2.9058, abs=5e-5)
    assert found.p / 2 == pytest.approx(0.0018, abs=5e-5)


@pytest.mark.parametrize(
    ("series", "s", "variance", "z"),
    [
        ([18, 20, 19, 22, 21, 24, 23, 27, 25, 28], 37, 125.0, 3.219938),
        ([20, 22, 22, 25, 24, 27, 26, 26, 30, 29], 35, 123.0, 3.065677),  # two ties
        ([10, 15, 14, 20], 4, 8.6667, 1.019049),
        ([20, 14, 15, 10], -4, 8.6667, -1.019049),
    ],
)
def test_further_series_worked_by_the_same_formulas(
    series: list[float], s: int, variance: float, z: float
) -> None:
    found = kendall(series)
    assert found.s == s
    assert found.variance == pytest.approx(variance, abs=5e-5)
    assert found.z == pytest.approx(z, abs=5e-7)


@pytest.mark.parametrize("n", range(3, 11))
def test_up_to_ten_values_the_p_value_counts_permutations_as_scipy_does(n: int) -> None:
    series = np.random.default_rng(n).permutation(n)
    expected = kendalltau(range(n), series, method="exact").pvalue
    assert kendall(series).p == pytest.approx(float(expected), abs=1e-12)


def test_beyond_ten_values_the_p_value_is_that_of_the_continuity_corrected_normal() -> None:
    assert kendall(SERIES).p == pytest.approx(0.003662722762, abs=1e-8)


@pytest.mark.parametrize("series", [[1, 2], [5, 5, 5, 5]])
def test_a_series_that_cannot_rank_is_refused(series: list[float]) -> None:
    with pytest.raises(ValueError, match="three values"):
        kendall(series)
