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
from rideready.recovery.noise_sd import quick_log

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
#: A slope before the knee is rarely beyond 0.5 bpm/s: a weak ridge, against noise of about 1 bpm; that of the
#: fall only keeps the equations solvable.
SLOPE_RIDGE, FALL_RIDGE = 0.25, 1e-5


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


@dataclass(frozen=True, slots=True)
class _Products:
    """Sums of products with a whitened level, slope (b) and fall (c), one of each for every knee and shape.

    ``aa`` and ``ya`` are numbers, since a level is the same for all; the others have shape (k, n_shapes).
    """

    aa: float
    ab: FloatArray
    ac: FloatArray
    bb: FloatArray
    bc: FloatArray
    cc: FloatArray
    ya: float
    yb: FloatArray
    yc: FloatArray


@lru_cache(maxsize=1)
def _shapes() -> FloatArray:
    """Return slope and fall for every tau, lag and plateau, shape (2, 2 * reach + 1, n_shapes).

    Time runs from -reach to +reach around the knee; the curves are a unit slope that ends a plateau
    before the knee, and a unit fall from the knee on, each after the sensor lag.
    """
    u = np.arange(-_REACH_S, _REACH_S + 1.0)
    after = np.maximum(u, 0.0)
    slopes, falls = [], []
    for tau in TAUS_S:
        for lag in LAGS_S:
            fall = 1.0 - (tau * np.exp(-after / tau) - lag * np.exp(-after / lag)) / (tau - lag)
            for plateau in PLATEAUS_S:
                since = u + plateau
                catching_up = np.exp(-np.maximum(since, 0.0) / lag)
                slopes.append(np.where(since < 0, since - lag, -lag * catching_up))
                falls.append(-fall)
    return np.stack([np.stack(slopes, axis=1), np.stack(falls, axis=1)])


@lru_cache(maxsize=1)
def _lag_of_shape() -> FloatArray:
    """Return the lag of each shape, shape (n_shapes,), s."""
    return np.array([lag for _ in TAUS_S for lag in LAGS_S for _ in PLATEAUS_S])


@lru_cache(maxsize=1)
def _whitened_shapes() -> FloatArray:
    """Return both whitened curves beside each other, shape (2 * reach, 2 * n_shapes)."""
    slope, fall = _shapes()
    both = np.concatenate([slope, fall], axis=1)
    return both[1:] - NOISE_PHI * both[:-1]


@lru_cache(maxsize=1)
def _running_products() -> FloatArray:
    """Return running sums of the products ab, ac, bb, bc and cc, shape (5, 2 * reach + 1, n_shapes)."""
    slope, fall = np.split(_whitened_shapes(), 2, axis=1)
    level = 1.0 - NOISE_PHI
    products = np.stack([level * slope, level * fall, slope * slope, slope * fall, fall * fall])
    return np.concatenate([np.zeros_like(products[:, :1]), np.cumsum(products, axis=1)], axis=1)


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
    of = _products(knees, first, white, pairs)
    n = white.size
    # The level is taken out of the other two first, which leaves two equations.
    bb = of.bb + SLOPE_RIDGE - of.ab * of.ab / of.aa
    bc = of.bc - of.ab * of.ac / of.aa
    cc = of.cc + FALL_RIDGE - of.ac * of.ac / of.aa
    yb, yc = of.yb - of.ab * (of.ya / of.aa), of.yc - of.ac * (of.ya / of.aa)
    determinant = bb * cc - bc * bc
    slope = (cc * yb - bc * yc) / determinant
    # A pulse that sinks before the knee would explain the fall away: the fall then begins earlier.
    # Where the slope comes out falling, it is held at zero and the fit repeated.
    slope = np.maximum(slope, 0.0)
    height = np.where(slope > 0, (bb * yc - bc * yb) / determinant, yc / cc)
    level = (of.ya - of.ab * slope - of.ac * height) / of.aa
    residual = float(white @ white) - of.ya**2 / of.aa - yb * slope - yc * height
    log_weight = -0.5 * (n - 3) * quick_log(np.maximum(residual, 0.0) + 0.05 * n)
    level_var = np.maximum(residual, 0.05 * n) / n * of.cc / (of.aa * cc)
    is_possible = (height > LEAST_FALL_BPM) & (level_var < MOST_LEVEL_SE_BPM**2)
    return np.where(is_possible, log_weight, -np.inf), level, level_var


def _products(knees: np.ndarray, first: int, white: FloatArray, pairs: np.ndarray) -> _Products:
    """Return the products of the whitened curves with the data and with each other.

    Row r of the whitened data lies at grid time first + 1 + r, row j of the curves at u = j + 1 - reach.
    Sliding the data along the curves, one matrix for all knees, costs a tenth of sliding the curves along
    the data; products of curves are differences of running sums, one for each stretch without a hole.
    """
    begin = first - int(knees[-1]) + _REACH_S  # of the last knee; those before it begin that much later
    m, k = pairs.size, knees.size
    padded = np.zeros(m + 2 * (k - 1))
    padded[k - 1 : k - 1 + m][pairs] = white
    slid = np.lib.stride_tricks.sliding_window_view(padded, m + k - 1)
    moment = np.ascontiguousarray(slid) @ _whitened_shapes()[begin : begin + m + k - 1]
    yb, yc = np.split(moment, 2, axis=1)
    running = _running_products()[:, ::-1]
    last = running.shape[1] - begin
    edges = np.flatnonzero(np.diff(np.concatenate(([False], pairs, [False]))))
    gram = np.zeros((len(running), *yb.shape))
    for start, stop in edges.reshape(-1, 2).tolist():
        gram += running[:, last - stop - k : last - stop]
        gram -= running[:, last - start - k : last - start]
    ab, ac, bb, bc, cc = gram
    level = 1.0 - NOISE_PHI
    return _Products(level**2 * white.size, ab, ac, bb, bc, cc, level * float(white.sum()), yb, yc)
