"""What one recovery says about tau, delay, lag and levels: a posterior summed over the grid.

The heart rate is ``c·(1 - g) + P·g`` plus noise: g one of the grid's falls, P the heart rate at the end of
the effort, c the level the fall runs to, the noise AR(1) with correlation phi (1 s apart) and standard
deviation s. P and c have a Gaussian prior and are integrated out in closed form; tau, delay, lag, phi and s
are summed over. Nothing is estimated first and then taken as known: that is what makes ordinary
intervals too narrow (an interval called 95 % from least squares holds the truth about half the time).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rideready.recovery.grids import FallGrid
from rideready.recovery.levels import LevelPrior, Levels, solve_levels
from rideready.recovery.sampling import SCREEN_SD_BPM, SamplingTables, times_curves

__all__ = ["CurveWeights", "Evidence", "curve_weights"]

Floats = npt.NDArray[np.float64]

#: Median and log-SD of the noise's standard deviation, bpm; whole-bpm rounding alone is 12 ** -0.5.
NOISE_PRIOR_BPM = (1.5, 0.6)
ROUNDING_SD_BPM = 12**-0.5
#: Curves less likely than the best by this many natural log units are left out (1 in 3,000).
HOPELESS = 8.0
#: Nodes for the noise SD, in standard errors of its logarithm around its best value.
#: Few samples leave a long tail of high values.
NOISE_STEPS = np.array([-2.6, -1.3, 0.0, 1.3, 2.6])
FEW_SAMPLES = 40
NOISE_STEPS_IF_FEW = np.array([-2.6, -1.3, 0.0, 1.3, 2.6, 3.9, 5.2])


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
    end_variance, peak_variance, covariance
        Shape (k,), of c and P given the curve, bpm squared.
    noise_sd_bpm, noise_phi
        Posterior means.
    """

    grid: FallGrid
    kept: npt.NDArray[np.int64]
    weight: Floats
    log_tau_mass: Floats
    end_bpm: Floats
    peak_bpm: Floats
    end_variance: Floats
    peak_variance: Floats
    covariance: Floats
    noise_sd_bpm: float
    noise_phi: float


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
    """

    n: int
    ones_y: Floats
    y_y: Floats
    fall_y: Floats

    @classmethod
    def of(cls, hr_bpm: Floats, tables: SamplingTables) -> "Evidence":
        """Products for a heart rate, shape (n,), bpm, finite, at the sampling times of the tables."""
        z = tables.whiten(hr_bpm)
        return cls(len(hr_bpm), z.sum(axis=1), z @ hr_bpm, times_curves(z, tables.falls))


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
    Gaussian linear model with conjugate prior, marginalised; a textbook result (no paper).
    """
    return _weigh(data, tables, prior, _screen(data, tables, prior))


@dataclass(frozen=True, slots=True)
class _Screen:
    """What is worth a closer look: pairs of noise memory and curve, and the noise SD to look around."""

    phi: npt.NDArray[np.int64]
    curve: npt.NDArray[np.int64]
    best_sd_bpm: Floats
    log_tau_peak: Floats


def _screen(data: Evidence, tables: SamplingTables, prior: LevelPrior) -> _Screen:
    """Compare all curves with the noise SD profiled out, generously, to leave out the hopeless."""
    grid, first = tables.grid, tables.screen
    shift = SCREEN_SD_BPM**2 * first.precision @ prior.mean
    h_end = (data.ones_y + shift[0])[:, None] - data.fall_y
    h_peak = data.fall_y + shift[1]
    explained = h_end * (first.end_variance * h_end + 2.0 * first.covariance * h_peak)
    explained += first.peak_variance * h_peak**2
    rest = data.y_y[:, None] - explained + shift @ prior.mean
    # The prior of the noise counts like 1.4 samples: var(log s) = 1 / (2·1.4) = 0.6 squared.
    pseudo = 0.5 / NOISE_PRIOR_BPM[1] ** 2
    rest = np.maximum(rest, 0.0) + pseudo * NOISE_PRIOR_BPM[0] ** 2
    log_mass = first.log_weight - 0.5 * (data.n + pseudo) * np.log(rest)
    log_mass -= log_mass.max()
    phi, curve = np.nonzero(log_mass > -HOPELESS)
    free = max(data.n - 4, 1) + pseudo
    return _Screen(
        phi=phi,
        curve=curve,
        best_sd_bpm=np.maximum(np.sqrt(rest.min(axis=1) / free), ROUNDING_SD_BPM),
        log_tau_peak=log_mass.max(axis=0).reshape(len(grid.tau_nodes_s), -1).max(axis=1),
    )


def _weigh(data: Evidence, tables: SamplingTables, prior: LevelPrior, screen: _Screen) -> CurveWeights:
    """Posterior on the screened pairs; arrays are noise SD by pair."""
    grid, cell = tables.grid, (screen.phi, screen.curve)
    steps = NOISE_STEPS if data.n >= FEW_SAMPLES else NOISE_STEPS_IF_FEW
    sd = screen.best_sd_bpm * np.exp(steps / np.sqrt(2.0 * data.n))[:, None]
    precision = (1.0 / sd**2)[:, screen.phi]
    fall_y = data.fall_y[cell]
    prior_pull = prior.precision @ prior.mean
    levels = solve_levels(
        precision * tables.ones_ones[screen.phi],
        precision * tables.ones_fall[cell],
        precision * tables.fall_fall[cell],
        (
            precision * (data.ones_y[screen.phi] - fall_y) + prior_pull[0],
            precision * fall_y + prior_pull[1],
        ),
        prior.precision,
    )
    log_noise = -data.n * np.log(sd) - 0.5 * (np.log(sd / NOISE_PRIOR_BPM[0]) / NOISE_PRIOR_BPM[1]) ** 2
    log_noise += grid.log_phi_prior - 0.5 * (data.y_y / sd**2 + tables.log_det)
    log_w = levels.log_evidence + log_noise[:, screen.phi] + grid.log_prior[screen.curve]
    w = np.exp(log_w - log_w.max())
    return _summarise(w / w.sum(), levels, sd, screen, grid)


def _summarise(w: Floats, levels: Levels, sd: Floats, screen: _Screen, grid: FallGrid) -> CurveWeights:
    """Sum over the noise; mixing over it adds the spread of the conditional means to the variances."""
    there = np.zeros(len(grid.tau_s), dtype=bool)
    there[screen.curve] = True
    kept, slot = np.flatnonzero(there), (np.cumsum(there) - 1)[screen.curve]

    def gather(x: Floats) -> Floats:
        """Sum of weight times x over the noise, for each curve."""
        total: Floats = np.bincount(slot, np.einsum("sn,sn->n", w, x)).astype(float)
        return total

    weight = np.bincount(slot, w.sum(axis=0)).astype(float)
    # A curve whose every cell underflowed weighs nothing; its levels are of no account.
    share = np.where(weight > 0, 1.0 / np.maximum(weight, np.finfo(float).tiny), 0.0)
    end, peak = share * gather(levels.end), share * gather(levels.peak)
    d_end, d_peak = levels.end - end[slot], levels.peak - peak[slot]
    at_tau = np.bincount(grid.tau_node[kept], weight, minlength=len(grid.tau_nodes_s))
    log_mass = screen.log_tau_peak + np.log(at_tau.max())
    seen = at_tau > 0
    log_mass[seen] = np.log(at_tau[seen])
    return CurveWeights(
        grid=grid,
        kept=kept,
        weight=weight,
        log_tau_mass=log_mass,
        end_bpm=end,
        peak_bpm=peak,
        end_variance=share * gather(levels.end_variance + d_end**2),
        peak_variance=share * gather(levels.peak_variance + d_peak**2),
        covariance=share * gather(levels.covariance + d_end * d_peak),
        noise_sd_bpm=float((w * sd[:, screen.phi]).sum()),
        noise_phi=float(w.sum(axis=0) @ grid.phis[screen.phi]),
    )
