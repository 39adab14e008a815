"""Is there a trend, asked without a model: Theil-Sen slope with Sen's interval, and Kendall's test.

scipy.stats has both (the tests compare with it); importing it takes half a second, which a command that
prints one line should not cost, and it has no exact test together with Sen's interval.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri

from rideready.model.session import FloatArray

#: Up to this many values without ties the test counts permutations exactly, as Gilbert 1987 advises for n <= 10.
_EXACT_UP_TO = 10


@dataclass(frozen=True, slots=True)
class KendallTest:
    """Kendall's test of a series against its order.

    Parameters
    ----------
    s
        Pairs that rise less pairs that fall.
    variance
        Of ``s`` under no trend, ties counted.
    z
        Continuity-corrected standard score.
    p
        Two-sided p-value, exact for up to ten values without ties, else normal.
    """

    s: int
    variance: float
    z: float
    p: float


@dataclass(frozen=True, slots=True)
class MedianSlope:
    """Theil-Sen line.

    Parameters
    ----------
    slope, low, high
        Median of the slopes of all pairs and the ends of Sen's 95 % interval.
    intercept
        Median of ``y`` less slope times median of ``x``.
    """

    slope: float
    low: float
    high: float
    intercept: float


def kendall(y: npt.ArrayLike) -> KendallTest:
    """Test whether values rise or fall with their order (Mann-Kendall).

    ``S = sum of sign(y_j - y_i) over j > i``, ``Var = (n (n-1) (2n+5) - sum t (t-1) (2t+5)) / 18``
    over groups of ``t`` tied values. It misleads where neighbours resemble each other: it then cries
    trend too often.

    Parameters
    ----------
    y
        Shape (n,), in order of time, n >= 3, finite, not all equal.

    Returns
    -------
    KendallTest
        Statistic, variance, score and p-value.

    Raises
    ------
    ValueError
        If there are fewer than three values, or no two differ.

    References
    ----------
    Gilbert 1987, Statistical Methods for Environmental Pollution Monitoring, pp. 208-217.

    Examples
    --------
    >>> kendall([18, 20, 19, 22, 21, 24, 23, 27, 25, 28]).s
    37
    """
    values = np.asarray(y, dtype=float)
    n = values.size
    ties = np.unique(values, return_counts=True)[1]
    if n < 3 or ties.size < 2:
        raise ValueError("Kendall's test needs three values, not all equal")
    s = sum(int(np.sign(values[k] - values[:k]).sum()) for k in range(1, n))
    variance = float((n * (n - 1) * (2 * n + 5) - np.sum(ties * (ties - 1) * (2 * ties + 5))) / 18)
    z = float(np.sign(s) * max(abs(s) - 1, 0) / np.sqrt(variance))
    exact = n <= _EXACT_UP_TO and ties.max() == 1
    return KendallTest(s, variance, z, _exact_p(s, n) if exact else float(2 * ndtr(-abs(z))))


def theil_sen(x: npt.ArrayLike, y: npt.ArrayLike) -> MedianSlope:
    """Draw the line whose slope is the median over all pairs, with Sen's 95 % interval.

    Parameters
    ----------
    x, y
        Shape (n,), finite, not all ``x`` equal.

    Returns
    -------
    MedianSlope
        Slope with interval, and intercept.

    Raises
    ------
    ValueError
        If all ``x`` are equal or there are fewer than three values.

    References
    ----------
    Sen 1968, J Am Stat Assoc 63:1379-89.

    Examples
    --------
    >>> theil_sen(range(1, 11), [18, 20, 19, 22, 21, 24, 23, 27, 25, 28]).slope
    1.0
    """
    times, values = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if times.size < 3 or np.ptp(times) == 0:
        raise ValueError("a slope needs three values at times that differ")
    slopes = _pair_slopes(times, values)
    slope = float(np.median(slopes))
    low, high = _sen_interval(slopes, _tied_variance(times, values))
    return MedianSlope(slope, low, high, float(np.median(values) - slope * np.median(times)))


def _pair_slopes(x: FloatArray, y: FloatArray) -> FloatArray:
    # Row by row: the pairs of ten years of sessions would fill hundreds of megabytes at once.
    slopes = np.empty(x.size * (x.size - 1) // 2)
    n = 0
    for k in range(1, x.size):
        apart = x[k] - x[:k]
        differs = apart != 0
        found = (y[k] - y[:k])[differs] / apart[differs]
        slopes[n : n + found.size] = found
        n += found.size
    return slopes[:n]


def _tied_variance(x: FloatArray, y: FloatArray) -> float:
    """Variance of Kendall's S with ties in both, Sen 1968 eq. 2.6."""
    n = x.size
    total = n * (n - 1) * (2 * n + 5)
    for values in (x, y):
        t = np.unique(values, return_counts=True)[1]
        total -= int(np.sum(t * (t - 1) * (2 * t + 5)))
    return total / 18


def _sen_interval(slopes: FloatArray, variance: float) -> tuple[float, float]:
    half = float(ndtri(0.975)) * np.sqrt(max(variance, 0.0))
    low = max(round((slopes.size - half) / 2) - 1, 0)
    high = min(round((slopes.size + half) / 2), slopes.size - 1)
    return float(np.partition(slopes, low)[low]), float(np.partition(slopes, high)[high])


def _exact_p(s: int, n: int) -> float:
    """Two-sided p-value from the number of permutations with each number of inversions."""
    counts = np.ones(1)
    for size in range(2, n + 1):
        counts = np.convolve(counts, np.ones(size))
    inversions = np.arange(counts.size)
    statistic = n * (n - 1) // 2 - 2 * inversions
    return float(counts[np.abs(statistic) >= abs(s)].sum() / counts.sum())
