"""Where the pulse begins to fall.

After a hard stop a recorded pulse stays flat for some seconds and then falls as an S: the heart
itself waits, and the sensor smooths. Reading off the highest value would be wrong by as much as a
plateau is long. So the turn is fitted: a straight rise up to the knee, an exponential fall after it,
both seen through a first-order sensor lag, with noise that has a memory; the knee is what remains
after averaging over fall and lag.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rideready.model.session import FloatArray

TAUS_S = (15.0, 30.0, 55.0, 100.0)
LAGS_S = (0.1, 3.0, 7.0)
#: How long the pulse may stay level between the end of its rise and the knee, s.
PLATEAUS_S = (0.0, 6.0, 12.0, 20.0)
#: Correlation of the noise from second to second that the whitening assumes.
NOISE_PHI = 0.85
BEFORE_S, AFTER_S = 30, 60
_REACH_S = 140
#: Fewer pairs of neighbouring seconds than this around a turn do not place it.
LEAST_PAIRS = 20
#: Smallest height of the fitted fall that counts as one, bpm.
LEAST_FALL_BPM = 4.0
#: A turn that leaves the level at its knee more uncertain than this was not recorded, bpm.
MOST_LEVEL_SE_BPM = 6.0
# A slope before the knee is rarely beyond 0.5 bpm/s: a weak ridge, against noise of about 1 bpm.
_WEAK_PRIOR = np.diag([0.0, 0.25, 1e-5])


@dataclass(frozen=True, slots=True)
class Knee:
    """Where a fall begins, and at which level.

    Parameters
    ----------
    at_s
        Posterior median of the knee, s on the grid's clock.
    level_bpm, level_se_bpm
        Heart rate there and its standard error, bpm.
    lag_s
        Posterior mean of the sensor's first-order lag, s.
    """

    at_s: float
    level_bpm: float
    level_se_bpm: float
    lag_s: float


@lru_cache(maxsize=1)
def _shapes() -> FloatArray:
    """Return the three basis curves for every tau and lag, shape (n_shapes, 2 * reach + 1, 3).

    Time runs from -reach to +reach around the knee; the curves are a level, a unit slope that ends
    a plateau before the knee, and a unit fall from the knee on, each after the sensor lag.
    """
    u = np.arange(-_REACH_S, _REACH_S + 1.0)
    after = np.maximum(u, 0.0)
    shapes = []
    for tau in TAUS_S:
        for lag in LAGS_S:
            fall = 1.0 - (tau * np.exp(-after / tau) - lag * np.exp(-after / lag)) / (tau - lag)
            for plateau in PLATEAUS_S:
                since = u + plateau
                catching_up = np.exp(-np.maximum(since, 0.0) / lag)
                slope = np.where(since < 0, since - lag, -lag * catching_up)
                shapes.append(np.stack([np.ones_like(u), slope, -fall], axis=1))
    return np.array(shapes)


@lru_cache(maxsize=1)
def _lag_of_shape() -> FloatArray:
    """Return the lag of each shape, shape (n_shapes,), s."""
    return np.array([lag for _ in TAUS_S for lag in LAGS_S for _ in PLATEAUS_S])


@lru_cache(maxsize=1)
def _whitened_shapes() -> FloatArray:
    shapes = _shapes()
    return shapes[:, 1:] - NOISE_PHI * shapes[:, :-1]


@lru_cache(maxsize=1)
def _running_products() -> FloatArray:
    """Return running sums of the products of the whitened curves, shape (n_shapes, 2 * reach + 1, 3, 3)."""
    white = _whitened_shapes()
    products = np.cumsum(white[..., :, None] * white[..., None, :], axis=1)
    return np.concatenate([np.zeros_like(products[:, :1]), products], axis=1)


def find_knee(hr_bpm: FloatArray, *, steep: int, bottom: int) -> Knee | None:
    """Fit the turn at the start of a fall.

    Parameters
    ----------
    hr_bpm
        Shape (m,), clean heart rate on the 1 s grid, NaN where unknown.
    steep
        Index at which the steepest half minute of the fall begins.
    bottom
        Index of the end of the fall.

    Returns
    -------
    Knee or None
        None if too little of the turn was recorded to place it.
    """
    first = max(steep - BEFORE_S, 0)
    last = min(max(bottom, steep + 20), steep + AFTER_S, hr_bpm.size - 1)
    y = hr_bpm[first : last + 1]
    pairs = np.isfinite(y[1:]) & np.isfinite(y[:-1])
    knees = np.arange(max(first + 2, steep - BEFORE_S + 5), min(steep + 21, last - 8))
    if np.count_nonzero(pairs) < LEAST_PAIRS or not knees.size:
        return None
    white = (y[1:] - NOISE_PHI * y[:-1])[pairs]
    log_weight, level_bpm, level_var = _weigh(knees, first, white, pairs)
    if not np.isfinite(log_weight).any():
        return None
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    at = int(np.searchsorted(np.cumsum(weight.sum(axis=1)), 0.5))
    here = weight[at] / weight[at].sum()
    level = float((here * level_bpm[at]).sum())
    between = float((weight * (level_bpm - level) ** 2).sum())
    se = float(np.sqrt(between + (weight * level_var).sum()))
    return Knee(float(knees[at]), level, se, lag_s=float((weight * _lag_of_shape()).sum()))


def _weigh(
    knees: np.ndarray, first: int, white: FloatArray, pairs: np.ndarray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return log posterior weight, level at the knee and its variance, each of shape (k, n_shapes)."""
    moment, gram = _moment_and_gram(knees, first, white, pairs)
    n, energy = white.size, float(white @ white)
    coef = np.linalg.solve(gram + _WEAK_PRIOR, moment[..., None])[..., 0]
    residual = energy - np.einsum("ksi,ksi->ks", moment, coef)
    # A pulse that sinks before the knee would explain the fall away: the fall then begins earlier.
    # Where the slope comes out falling, it is held at zero and the fit repeated.
    level, height, residual_flat = _without_slope(gram, moment, energy)
    sinks = coef[..., 1] < 0
    residual = np.where(sinks, residual_flat, residual)
    height = np.where(sinks, height, coef[..., 2])
    level = np.where(sinks, level, coef[..., 0])
    log_weight = -0.5 * (n - 3) * np.log(np.maximum(residual, 0.0) + 0.05 * n)
    determinant = gram[..., 0, 0] * (gram[..., 2, 2] + 1e-5) - gram[..., 0, 2] ** 2
    level_var = np.maximum(residual, 0.05 * n) / n * gram[..., 2, 2] / determinant
    is_possible = (height > LEAST_FALL_BPM) & (level_var < MOST_LEVEL_SE_BPM**2)
    return np.where(is_possible, log_weight, -np.inf), level, level_var


def _moment_and_gram(
    knees: np.ndarray, first: int, white: FloatArray, pairs: np.ndarray
) -> tuple[FloatArray, FloatArray]:
    """Return products of the whitened basis with the data (k, n_shapes, 3) and itself (k, n_shapes, 3, 3).

    Row r of the whitened data lies at grid time first + 1 + r, column j of the shapes at
    u = j + 1 - reach. Sliding the data along the shapes, one matrix for all knees, costs a tenth of
    sliding the shapes along the data; without holes the products are differences of running sums.
    """
    begin = first - knees + _REACH_S
    shapes = _whitened_shapes()
    columns = begin[:, None] + np.flatnonzero(pairs)[None, :]
    low, high = int(columns.min()), int(columns.max()) + 1
    slid = np.zeros((high - low, knees.size))
    each = np.arange(knees.size)[:, None]
    slid[columns - low, each] = white
    moment = _slide(shapes[:, low:high], slid)
    if pairs.all():
        running = _running_products()
        gram = (running[:, begin + pairs.size] - running[:, begin]).transpose(1, 0, 2, 3)
    else:
        slid[columns - low, each] = 1.0
        products = np.diff(_running_products(), axis=1)[:, low:high]
        gram = _slide(products.reshape(*products.shape[:2], 9), slid).reshape(knees.size, -1, 3, 3)
    return moment, gram


def _slide(curves: FloatArray, slid: FloatArray) -> FloatArray:
    """Multiply curves (n_shapes, columns, i) by slid data (columns, k); returns (k, n_shapes, i)."""
    n_shapes, n_columns, width = curves.shape
    flat = curves.transpose(1, 0, 2).reshape(n_columns, n_shapes * width)
    product: FloatArray = (slid.T @ flat).reshape(-1, n_shapes, width)
    return product


def _without_slope(
    gram: FloatArray, moment: FloatArray, energy: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return level, height of the fall and residual sum of the fits whose slope is held at zero."""
    aa, ac, cc = gram[..., 0, 0], gram[..., 0, 2], gram[..., 2, 2] + 1e-5
    ya, yc = moment[..., 0], moment[..., 2]
    determinant = aa * cc - ac**2
    level, height = (cc * ya - ac * yc) / determinant, (aa * yc - ac * ya) / determinant
    return level, height, energy - level * ya - height * yc
