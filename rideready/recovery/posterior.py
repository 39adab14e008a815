"""What one recovery says about tau, delay, lag and levels: a posterior summed over the grid.

The heart rate is ``c·(1 - g) + P·g`` plus noise: g one of the grid's falls, P the heart rate at the end of
the effort, c the level the fall runs to, the noise AR(1) with correlation phi (1 s apart) and standard
deviation s. P and c have a Gaussian prior and are integrated out in closed form; tau, delay, lag and phi
are summed over, and s is integrated around its best value for each of their combinations (Laplace). Nothing
is estimated first and then taken as known: that is what makes ordinary intervals too narrow (an interval
called 95 % from least squares holds the truth about half the time).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rideready.recovery.grids import FallGrid
from rideready.recovery.levels import LevelPrior
from rideready.recovery.noise_sd import (
    FEW_SAMPLES,
    NOISE_PRIOR_BPM,
    PSEUDO,
    ROUNDING_SD_BPM,
    likeliest_variance,
    log_noise_mass,
    mean_through_likeliest,
    quick_log,
)
from rideready.recovery.sampling import SamplingTables

__all__ = ["CurveWeights", "Evidence", "curve_weights"]

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

#: Curves less likely than the best by this many natural log units are left out (1 in 3,000).
HOPELESS = 8.0
#: How far the likeliest curve is first taken to lie below the bound on what any may reach.
BELOW_BOUND = 2.5
#: Logarithm of the smallest mass of a tau that is told from none.
FAINTEST = -60.0


class OverNoise:
    """Sums over the noise memories of one tau, for rows in order of tau."""

    def __init__(self, tau: Indices) -> None:
        self._first = np.flatnonzero(np.diff(tau, prepend=-1))
        self._of_row = np.repeat(np.arange(len(self._first)), np.diff(self._first, append=len(tau)))
        self.taus = tau[self._first]

    def sum(self, x: Floats) -> Floats:
        """Sum of rows, shape (rows, curves a tau), for each tau."""
        total: Floats = np.add.reduceat(x, self._first, axis=0)
        return total

    def repeat(self, of_tau: Floats) -> Floats:
        """Rows of what there is once for each tau."""
        return of_tau[self._of_row]

    def shares(self, weight: Floats) -> Floats:
        """Weights of rows as shares of their curve's; one that underflowed everywhere has none."""
        return weight / self.repeat(np.maximum(self.sum(weight), np.finfo(float).tiny))

    def curves(self, width: int) -> Indices:
        """Return indices into the grid of the curves of all taus, ``width`` each."""
        return self.taus[:, None] * width + np.arange(width)


@dataclass(frozen=True, slots=True)
class Solved:
    """Level and height of many curves and what they leave, one row for each noise memory and tau.

    Heights are P - c; ``share`` is what a height takes from the end level, and spreads are in units of the
    noise variance.
    """

    rest: Floats
    end_bpm: Floats
    height_bpm: Floats
    share: Floats
    height_spread: Floats
    end_spread: Floats


@dataclass(frozen=True, slots=True)
class Cells:
    """Combinations of noise memory and curve that were looked at, a row for each memory and tau.

    ``tau`` and ``phi`` are indices into the grid's nodes, shape (rows,), in order of tau; weights, as shares
    of the largest, and likeliest noise variances have shape (rows, curves a tau).
    """

    tau: Indices
    phi: Indices
    weight: Floats
    variance: Floats
    solved: Solved


@dataclass(frozen=True, slots=True)
class CurveWeights:
    """Posterior on the curves of the grid that are not hopeless.

    Parameters
    ----------
    grid
        The curves.
    kept
        Shape (k,), indices into its curves.
    weight
        Shape (k,), sums to 1.
    log_tau_mass
        Shape (n_tau,), logarithm of the posterior mass at each tau of the grid, not normalised.
    end_bpm, peak_bpm
        Shape (k,), mean of c and of P given the curve, bpm.
    noise_sd_bpm, noise_phi
        Posterior means.
    cells, n
        What was weighed, and the number of samples: for `level_spreads`.
    """

    grid: FallGrid
    kept: npt.NDArray[np.int64]
    weight: Floats
    log_tau_mass: Floats
    end_bpm: Floats
    peak_bpm: Floats
    noise_sd_bpm: float
    noise_phi: float
    cells: "Cells"
    n: int

    def level_spreads(self) -> tuple[Floats, Floats, Floats]:
        """Variances of c and of P and their covariance given each curve that is kept, shape (k,), bpm squared.

        Mixing over the noise adds the spread of the conditional means to the variances.
        """
        cells, solved = self.cells, self.cells.solved
        over_noise = OverNoise(cells.tau)
        is_kept = np.isin(over_noise.curves(cells.weight.shape[1]), self.kept, assume_unique=True)
        w = over_noise.shares(cells.weight)
        off_end = solved.end_bpm - over_noise.repeat(over_noise.sum(w * solved.end_bpm))
        off_height = solved.height_bpm - over_noise.repeat(over_noise.sum(w * solved.height_bpm))
        scaled = w * cells.variance * mean_through_likeliest(self.n, power=2)
        spread = scaled * solved.height_spread
        moved = spread * solved.share
        end_end = over_noise.sum(scaled * solved.end_spread + moved * solved.share + w * off_end * off_end)
        end_height = over_noise.sum(w * off_end * off_height - moved)
        height_height = over_noise.sum(spread + w * off_height * off_height)
        peak_peak, end_peak = end_end + 2.0 * end_height + height_height, end_end + end_height
        return end_end[is_kept], peak_peak[is_kept], end_peak[is_kept]


@dataclass(frozen=True, slots=True)
class Evidence:
    """Products of a heart rate with constants, itself and the curves, under each noise memory.

    Parameters
    ----------
    n
        Number of samples.
    ones_y, y_y
        Shape (p,): 1' R^-1 y and y' R^-1 y.
    fall_y
        Shape (p, m): g' R^-1 y for each curve g.
    free_rest
        Shape (p, m): sum of squares each curve leaves with its levels free.
    """

    n: int
    ones_y: Floats
    y_y: Floats
    fall_y: Floats
    free_rest: Floats

    @classmethod
    def of(cls, hr_bpm: Floats, tables: SamplingTables) -> "Evidence":
        """Products for a heart rate, shape (n,), bpm, finite, at the sampling times of the tables."""
        z = tables.noise.times(hr_bpm)
        ones_y, y_y, fall_y = z.sum(axis=1), z @ hr_bpm, tables.times_falls(hr_bpm)
        left = fall_y - ones_y[:, None] * tables.ones_share
        left *= left
        left *= tables.inverse_norm
        free_rest = (y_y - ones_y**2 / tables.ones_ones)[:, None] - left
        return cls(len(hr_bpm), ones_y, y_y, fall_y, free_rest)


def curve_weights(data: Evidence, tables: SamplingTables, prior: LevelPrior) -> CurveWeights:
    """Weigh every curve of the grid by how well it explains a heart rate.

    Parameters
    ----------
    data
        Products of the heart rate with these tables.
    tables
        Made by `sampling_tables`.
    prior
        Prior of the end level.

    Returns
    -------
    CurveWeights
        The posterior.

    References
    ----------
    Gaussian linear model with conjugate prior, marginalised, a textbook result; Laplace's method: Tierney,
    Kadane 1986, J Am Stat Assoc 81:82-6 (from memory).
    """
    bound = _bound(data, tables, prior)
    least = bound.log_mass.max() - BELOW_BOUND - HOPELESS
    cells, highest = _weigh(data, tables, prior, bound, bound.log_mass > least)
    if highest - HOPELESS < least:
        cells, _ = _weigh(data, tables, prior, bound, bound.log_mass > highest - HOPELESS)
    return _summarise(cells, data.n, tables.grid, bound)


@dataclass(frozen=True, slots=True)
class _Bound:
    """Most that any curve can weigh at each noise memory and tau, shape (p, n_tau), without going through them.

    Free levels explain at least as much as levels with a prior, and the least norm of a curve takes the
    least of its mass away. ``variance``, shape (p,), is the noise's with which the prior is weighed.
    """

    log_mass: Floats
    variance: Floats


def _bound(data: Evidence, tables: SamplingTables, prior: LevelPrior) -> _Bound:
    grid, n = tables.grid, data.n
    rest = np.maximum(data.free_rest.reshape(len(grid.phis), len(grid.tau_nodes_s), -1).min(axis=2), 0.0)
    spread = (rest.min(axis=1) + PSEUDO * NOISE_PRIOR_BPM[0] ** 2) / (max(n - 4, 1) + PSEUDO)
    variance = np.maximum(spread, ROUNDING_SD_BPM**2)
    precision, _ = prior.on_height()
    of_height = precision[1, 1] - precision[0, 1] ** 2 / precision[0, 0]
    ends = tables.ones_ones + variance * precision[0, 0]
    of_row = np.log(variance) - 0.5 * np.log(ends) + grid.log_phi_prior - 0.5 * tables.noise.log_det
    log_mass = log_noise_mass(rest, n)[0] + of_row[:, None] + grid.log_prior_of_tau
    log_mass -= 0.5 * np.log(tables.least_norm + (variance * of_height)[:, None])
    return _Bound(log_mass, variance)


def _weigh(
    data: Evidence, tables: SamplingTables, prior: LevelPrior, bound: _Bound, wanted: Flags
) -> tuple[Cells, float]:
    """Weigh the curves of all wanted pairs of noise memory and tau, shape (p, n_tau); also the highest log mass.

    The prior of the levels is first taken to widen with the noise, from its best value for each noise memory
    on, which lets the noise be integrated; few samples leave so much room for the noise that they are
    weighed again with each curve's own.
    """
    grid, (tau, phi) = tables.grid, np.nonzero(wanted.T)
    variance = bound.variance[phi, None]
    found = _solve(data, tables, prior, (tau, phi), variance)
    if data.n < FEW_SAMPLES:
        variance = likeliest_variance(found.rest, data.n)
        found = _solve(data, tables, prior, (tau, phi), variance)
    log_mass, likeliest = log_noise_mass(found.rest, data.n)
    log_mass += 0.5 * quick_log(found.height_spread * (found.end_spread * variance**2))
    log_mass += (grid.log_phi_prior - 0.5 * tables.noise.log_det)[phi, None]
    log_mass += grid.log_prior.reshape(len(grid.tau_nodes_s), -1)[tau]
    highest = float(log_mass.max())
    log_mass -= highest
    weight = np.exp(log_mass.astype(np.float32)).astype(np.float64)
    return Cells(tau, phi, weight, likeliest, found), highest


def _solve(
    data: Evidence,
    tables: SamplingTables,
    prior: LevelPrior,
    rows: tuple[Indices, Indices],
    variance: Floats,
) -> Solved:
    """Solve for level and height of rows of tau and noise memory, with the prior right at a noise variance."""
    (tau, phi), (precision, pull) = rows, prior.on_height()
    by_tau = (len(tables.grid.phis), len(tables.grid.tau_nodes_s), -1)
    end_spread = 1.0 / (tables.ones_ones[phi, None] + variance * precision[0, 0])
    pull_end = data.ones_y[phi, None] + variance * pull[0]
    cross = tables.ones_fall.reshape(by_tau)[phi, tau]
    cross += variance * precision[0, 1]
    share = cross * end_spread
    pull_height = data.fall_y.reshape(by_tau)[phi, tau]
    pull_height += variance * pull[1]
    pull_height -= share * pull_end
    height_spread = tables.fall_fall.reshape(by_tau)[phi, tau]
    height_spread += variance * precision[1, 1]
    height_spread -= share * cross
    np.reciprocal(height_spread, out=height_spread)
    height = pull_height * height_spread
    known = data.y_y[phi, None] + variance * (prior.mean @ prior.precision @ prior.mean)
    rest = known - pull_end**2 * end_spread - pull_height * height
    np.maximum(rest, 0.0, out=rest)
    return Solved(rest, pull_end * end_spread - share * height, height, share, height_spread, end_spread)


def _summarise(cells: Cells, n: int, grid: FallGrid, bound: _Bound) -> CurveWeights:
    over_noise = OverNoise(cells.tau)
    weight = over_noise.sum(cells.weight)
    total = float(weight.sum())
    kept = weight > np.exp(-HOPELESS) * weight.max()
    there = weight[kept]
    end = over_noise.sum(cells.weight * cells.solved.end_bpm)[kept] / there
    height = over_noise.sum(cells.weight * cells.solved.height_bpm)[kept] / there
    sd = float(np.vdot(cells.weight, np.sqrt(cells.variance))) / total
    return CurveWeights(
        grid=grid,
        kept=over_noise.curves(weight.shape[1])[kept],
        weight=there / there.sum(),
        log_tau_mass=_log_tau_mass(weight.sum(axis=1), over_noise.taus, bound.log_mass.max(axis=0)),
        end_bpm=end,
        peak_bpm=end + height,
        noise_sd_bpm=sd * mean_through_likeliest(n, power=1),
        noise_phi=float(cells.weight.sum(axis=1) @ grid.phis[cells.phi]) / total,
        cells=cells,
        n=n,
    )


def _log_tau_mass(at_tau: Floats, taus: Indices, log_bound: Floats) -> Floats:
    """Log of the mass at each tau; beyond those that were looked at it goes on like the bound."""
    log_mass = np.log(np.maximum(at_tau, np.exp(FAINTEST) * at_tau.max()))
    everywhere: Floats = np.interp(np.arange(len(log_bound)), taus, log_mass - log_bound[taus]) + log_bound
    everywhere[taus] = log_mass
    return everywhere
