"""Grid of falls a recovery is compared with, and the tables that depend on sampling times alone.

The posterior is a sum over this grid. What can be known before a heart rate is seen (the curves, their
products under each noise memory) is computed once for each distinct set of sampling times.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

__all__ = [
    "FallGrid",
    "SamplingTables",
    "fall_grid",
    "falls_on",
    "inverse_ar1",
    "lay_grid",
    "make_tables",
    "sampling_tables",
    "times_curves",
    "whole_seconds",
]

Floats = npt.NDArray[np.float64]

#: Median and log-SD of the prior of tau, s. Barak et al. 2011 (J Sports Sci Med 10:369-75) give group
#: means of 28 to 91 s with SD 6 to 30 over postures; after maximal effort 60 to 120 s (from memory).
#: The prior's central 95 % is 23 to 160 s.
TAU_PRIOR_S = (60.0, 0.5)
TAU_RANGE_S = (11.0, 300.0)
N_TAU = 28
#: Delays up to 20 s are equally likely (real falls stay flat for 5 to 20 s after a hard stop, science
#: sheet section 1); longer ones count half.
DELAYS_S = np.arange(0.0, 25.0, 2.0)
LATE_DELAY_S = 20.0
#: Lags up to 10 s are equally likely (8 s is what the project is measured on).
LAGS_S = np.linspace(0.0, 10.0, 4)
#: Lag-one correlation of the noise at 1 s: uniform from 0 to 0.985. Nodes crowd towards 1, where the
#: information in a sample falls fastest; the weights are the widths they stand for.
PHIS = np.array([0.0, 0.2, 0.4, 0.55, 0.67, 0.76, 0.83, 0.885, 0.93, 0.965])
PHI_WEIGHTS = np.diff(np.concatenate([[0.0], (PHIS[1:] + PHIS[:-1]) / 2, [0.985]]))
#: Whole seconds up to here come from one shared table of curves.
TABLE_S = 300
#: Multiplications up to which OpenBLAS does not start threads (its default threshold, from memory).
SINGLE_THREAD = 250_000


@dataclass(frozen=True, slots=True)
class FallGrid:
    """All combinations of tau, delay and lag, tau slowest, with their prior.

    Parameters
    ----------
    tau_nodes_s
        Shape (n_tau,), s, even in the logarithm.
    delay_nodes_s, lag_nodes_s
        Shapes (n_delay,) and (n_lag,), s, even.
    tau_s, delay_s, lag_s
        Shape (m,), s: the parameters of each curve; m is n_tau times the pairs of delay and lag.
    log_prior
        Shape (m,), natural logarithm, not normalised.
    phis, log_phi_prior
        Shape (p,): correlation of the noise 1 s apart, and the logarithm of its weight.
    """

    tau_nodes_s: Floats
    delay_nodes_s: Floats
    lag_nodes_s: Floats
    tau_s: Floats
    delay_s: Floats
    lag_s: Floats
    log_prior: Floats
    phis: Floats
    log_phi_prior: Floats

    @property
    def tau_node(self) -> npt.NDArray[np.int64]:
        """Index into ``tau_nodes_s`` of each curve, shape (m,)."""
        return np.arange(len(self.tau_s)) // (len(self.delay_nodes_s) * len(self.lag_nodes_s))


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
    """

    grid: FallGrid
    falls: Floats
    diagonal: Floats
    beside: Floats
    log_det: Floats
    ones_ones: Floats
    ones_fall: Floats
    fall_fall: Floats

    def whiten(self, y: Floats) -> Floats:
        """R^-1 y for each phi, shape (p, n)."""
        z = self.diagonal * y
        z[:, :-1] += self.beside * y[1:]
        z[:, 1:] += self.beside * y[:-1]
        return z


def lay_grid(tau_nodes_s: Floats, delay_nodes_s: Floats, lag_nodes_s: Floats) -> FallGrid:
    """Combine nodes of tau, delay and lag and give each combination its prior.

    Parameters
    ----------
    tau_nodes_s, delay_nodes_s, lag_nodes_s
        One-dimensional, s; tau even in the logarithm, the others even. The first and last delay and lag
        stand for half a step.

    Returns
    -------
    FallGrid
        Its arrays are read-only.
    """
    tau, delay, lag = (a.ravel() for a in np.meshgrid(tau_nodes_s, delay_nodes_s, lag_nodes_s, indexing="ij"))
    median, log_sd = TAU_PRIOR_S
    log_prior = -0.5 * (np.log(tau / median) / log_sd) ** 2 + np.where(delay > LATE_DELAY_S, np.log(0.5), 0.0)
    for value, nodes in ((delay, delay_nodes_s), (lag, lag_nodes_s)):
        log_prior += np.where((value == nodes[0]) | (value == nodes[-1]), np.log(0.5), 0.0)
    grid = FallGrid(
        tau_nodes_s, delay_nodes_s, lag_nodes_s, tau, delay, lag, log_prior, PHIS, np.log(PHI_WEIGHTS)
    )
    _make_read_only(grid)
    return grid


@lru_cache(maxsize=1)
def fall_grid() -> FallGrid:
    """Grid every recovery is compared with first; always the same."""
    return lay_grid(np.geomspace(*TAU_RANGE_S, N_TAU), DELAYS_S.copy(), LAGS_S.copy())


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
        Shared between calls, so its arrays are read-only.
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
        Its arrays are read-only.
    """
    diagonal, beside, log_det = inverse_ar1(t_s, grid.phis)
    row_sums = diagonal.copy()
    row_sums[:, :-1] += beside
    row_sums[:, 1:] += beside
    neighbours = times_curves(beside, falls[:-1] * falls[1:])
    tables = SamplingTables(
        grid=grid,
        falls=falls,
        diagonal=diagonal,
        beside=beside,
        log_det=log_det,
        ones_ones=row_sums.sum(axis=1),
        ones_fall=times_curves(row_sums, falls),
        fall_fall=times_curves(diagonal, falls * falls) + 2.0 * neighbours,
    )
    _make_read_only(tables)
    return tables


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


def falls_on(grid: FallGrid, t_s: Floats) -> Floats:
    """Every curve of a grid at given times.

    The same as `rideready.recovery.curves.lagged_unit_fall`, but each exponential is taken once for the
    heart and once for the sensor instead of once for every pair. Lags stay below the shortest tau, where
    the plain formula loses no digits.

    Parameters
    ----------
    grid
        The curves.
    t_s
        Shape (n,), s.

    Returns
    -------
    numpy.ndarray
        Shape (n, m).
    """
    u = np.maximum(t_s[:, None] - grid.delay_nodes_s, 0.0)  # time by delay
    tau = grid.tau_nodes_s[:, None, None]
    lag = np.maximum(grid.lag_nodes_s, 1e-3)  # a lag of 1 ms cannot be seen
    heart = tau * np.exp(-u[:, None, :, None] / tau)
    sensor = lag * np.exp(-u[:, None, :, None] / lag)
    falls: Floats = ((heart - sensor) / (tau - lag)).reshape(len(t_s), -1)
    return falls


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
    if np.allclose(whole + fraction, t_s, rtol=0.0, atol=1e-6):
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


def _make_read_only(value: FallGrid | SamplingTables) -> None:
    for name in value.__slots__:
        array = getattr(value, name)
        if isinstance(array, np.ndarray):
            array.setflags(write=False)
