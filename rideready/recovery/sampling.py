"""Tables that depend on sampling times and not on the heart rate, made once for each set of times."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from rideready.recovery.grids import FallGrid, fall_grid, falls_on
from rideready.recovery.levels import level_prior, solve_levels

__all__ = [
    "SamplingTables",
    "inverse_ar1",
    "make_tables",
    "sampling_tables",
    "times_curves",
    "whole_seconds",
]

Floats = npt.NDArray[np.float64]

#: Whole seconds up to here come from one shared table of curves.
TABLE_S = 300
#: Multiplications up to which OpenBLAS does not start threads (its default threshold, from memory).
SINGLE_THREAD = 250_000
#: Noise SD at which curves are first compared; only decides which are left out as hopeless.
SCREEN_SD_BPM = 1.5


@dataclass(frozen=True, slots=True)
class FirstLook:
    """What a first comparison of all curves needs; the prior of the levels is that of an unknown rider.

    Parameters
    ----------
    precision
        Shape (2, 2), of that prior of (c, P).
    end_variance, peak_variance, covariance
        Shape (p, m): of c and P given each curve, in units of the noise variance.
    log_weight
        Shape (p, m): all of the log posterior that does not depend on the heart rate.
    """

    precision: Floats
    end_variance: Floats
    peak_variance: Floats
    covariance: Floats
    log_weight: Floats


@dataclass(frozen=True, slots=True)
class SamplingTables:
    """What depends on the sampling times and not on the heart rate.

    R is the correlation matrix of AR(1) noise at these times, one for each phi; its inverse has three
    diagonals.

    Parameters
    ----------
    grid
        The curves.
    falls
        Shape (n, m): each curve of the grid at each time. Time comes first because a product with few
        rows on the left is several times as fast that way round.
    diagonal, beside
        Shapes (p, n) and (p, n - 1): main and neighbouring diagonal of inverse R.
    log_det
        Shape (p,): logarithm of the determinant of R.
    ones_ones
        Shape (p,): 1' R^-1 1.
    ones_fall, fall_fall
        Shape (p, m): 1' R^-1 g and g' R^-1 g for each curve g.
    screen
        For the first comparison.
    """

    grid: FallGrid
    falls: Floats
    diagonal: Floats
    beside: Floats
    log_det: Floats
    ones_ones: Floats
    ones_fall: Floats
    fall_fall: Floats
    screen: FirstLook

    def whiten(self, y: Floats) -> Floats:
        """R^-1 y for each phi, shape (p, n)."""
        z = self.diagonal * y
        z[:, :-1] += self.beside * y[1:]
        z[:, 1:] += self.beside * y[:-1]
        return z


@lru_cache(maxsize=24)
def sampling_tables(times_s: tuple[float, ...]) -> SamplingTables:
    """Tables of `fall_grid` for one set of sampling times.

    Parameters
    ----------
    times_s
        At least two times from the end of the effort, s, strictly increasing.

    Returns
    -------
    SamplingTables
        Shared between calls; not to be written to.
    """
    t = np.array(times_s)
    return make_tables(fall_grid(), t, _falls_at(t))


def make_tables(grid: FallGrid, t_s: Floats, falls: Floats) -> SamplingTables:
    """Tables of any grid for any times.

    Parameters
    ----------
    grid
        The curves.
    t_s
        Shape (n,), s, strictly increasing.
    falls
        Shape (n, m): the curves at those times.

    Returns
    -------
    SamplingTables
        The tables.
    """
    diagonal, beside, log_det = inverse_ar1(t_s, grid.phis)
    row_sums = diagonal.copy()
    row_sums[:, :-1] += beside
    row_sums[:, 1:] += beside
    ones_ones = row_sums.sum(axis=1)
    ones_fall = times_curves(row_sums, falls)
    fall_fall = times_curves(diagonal, falls * falls) + 2.0 * times_curves(beside, falls[:-1] * falls[1:])
    screen = _first_look(grid, log_det, ones_ones, ones_fall, fall_fall)
    return SamplingTables(grid, falls, diagonal, beside, log_det, ones_ones, ones_fall, fall_fall, screen)


def _first_look(
    grid: FallGrid, log_det: Floats, ones_ones: Floats, ones_fall: Floats, fall_fall: Floats
) -> FirstLook:
    precision = level_prior(None).precision
    nothing = np.zeros_like(ones_fall)
    levels = solve_levels(
        ones_ones[:, None], ones_fall, fall_fall, (nothing, nothing), SCREEN_SD_BPM**2 * precision
    )
    log_weight = levels.log_evidence + grid.log_prior + (grid.log_phi_prior - 0.5 * log_det)[:, None]
    return FirstLook(precision, levels.end_variance, levels.peak_variance, levels.covariance, log_weight)


def times_curves(rows: Floats, curves: Floats) -> Floats:
    """Matrix product in pieces so small that the library keeps each on one thread.

    These products take tens of microseconds; started on several threads of a busy machine they were seen
    to take a hundred times as long.

    Parameters
    ----------
    rows
        Shape (p, n), p small.
    curves
        Shape (n, m).

    Returns
    -------
    numpy.ndarray
        Shape (p, m).
    """
    width = max(SINGLE_THREAD // rows.size, 8)
    product = np.empty((len(rows), curves.shape[1]))
    for start in range(0, curves.shape[1], width):
        product[:, start : start + width] = rows @ curves[:, start : start + width]
    return product


def inverse_ar1(t_s: Floats, phis: Floats) -> tuple[Floats, Floats, Floats]:
    """Inverse correlation matrix of AR(1) noise at uneven times.

    Two samples dt apart correlate by ``phi ** dt``; the inverse of that matrix is tridiagonal because
    the process is Markov.

    Parameters
    ----------
    t_s
        Shape (n,), s, strictly increasing.
    phis
        Shape (p,), correlation 1 s apart, 0 to below 1.

    Returns
    -------
    diagonal, beside, log_det
        Main diagonal (p, n), neighbouring diagonal (p, n - 1), log determinant of the matrix (p,).

    References
    ----------
    The first-order autoregression at uneven times, a textbook result (no paper).
    """
    rho = phis[:, None] ** np.diff(t_s)
    free = 1.0 - rho**2
    diagonal = np.ones((len(phis), len(t_s)))
    diagonal[:, 1:] = 1.0 / free
    diagonal[:, :-1] += rho**2 / free
    return diagonal, -rho / free, np.log(free).sum(axis=1)


def whole_seconds(t_s: Floats) -> tuple[float, Floats]:
    """Split times a whole number of seconds apart into a common fraction and whole seconds.

    A fall with delay d seen at ``k + fraction`` is the fall with delay ``d - fraction`` seen at k, so
    recordings at whole seconds share their tables wherever the end of the effort lies.

    Parameters
    ----------
    t_s
        Shape (n,), s.

    Returns
    -------
    fraction_s, times_s
        0 and the times themselves, where they are not whole seconds apart.
    """
    whole = np.floor(t_s[0]) + np.round(t_s - t_s[0])
    fraction = float(t_s[0] - np.floor(t_s[0]))
    if np.max(np.abs(whole + fraction - t_s)) < 1e-6:
        return fraction, whole
    return 0.0, t_s


def _falls_at(t: Floats) -> Floats:
    whole = t.astype(int)
    if np.any(whole != t) or t[-1] > TABLE_S:
        return falls_on(fall_grid(), t)
    table = _falls_each_second()
    evenly = whole[0] >= 0 and whole[-1] - whole[0] == len(t) - 1
    # Before the end of the effort every curve still stands at 1, as at 0 s.
    return table[whole[0] : whole[-1] + 1] if evenly else table[np.maximum(whole, 0)]


@lru_cache(maxsize=1)
def _falls_each_second() -> Floats:
    falls = falls_on(fall_grid(), np.arange(TABLE_S + 1.0))
    falls.setflags(write=False)
    return falls
