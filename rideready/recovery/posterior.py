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

from rideready.model.rider import Rider
from rideready.recovery.grids import FallGrid, SamplingTables, times_curves

__all__ = ["CurveWeights", "Evidence", "LevelPrior", "curve_weights", "level_prior"]

Floats = npt.NDArray[np.float64]

#: Heart rate at the end of an effort before it is seen: 150 +- 40 bpm, so wide that it hardly counts.
PEAK_PRIOR_BPM = (150.0, 40.0)
#: Resting pulse of a rider who has not told it, and the day-to-day spread of one who has, bpm
#: (common practice, no source).
RESTING_BPM, RESTING_SD_BPM, KNOWN_REST_SD_BPM = 65.0, 12.0, 5.0
#: A fall of some minutes ends above rest, by a share of the way from rest to the peak: 0.44 to 0.49 six
#: minutes after 181 bpm (Sci Rep 2021, doi 10.1038/s41598-021-83071-w, Table 2), about 0.3 after 147 bpm
#: (Barak et al. 2011, with rest taken as 60). Above standing pulse the share is smaller.
SHARE_ABOVE_REST, SHARE_ABOVE_STANDING, SHARE_SD = 0.35, 0.28, 0.15
#: How far the peak lies above rest where that only sets the spread of the prior, bpm.
TYPICAL_RISE_BPM = 110.0
#: Median and log-SD of the noise's standard deviation, bpm; whole-bpm rounding alone is 12 ** -0.5.
NOISE_PRIOR_BPM = (1.5, 0.6)
ROUNDING_SD_BPM = 12**-0.5
#: Noise SD at which curves are first compared; only decides which are left out as hopeless.
SCREEN_SD_BPM = 1.5
#: Curves less likely than the best by this many natural log units are left out (1 in 3,000).
HOPELESS = 8.0
#: Nodes for the noise SD, in standard errors of its logarithm around its best value.
NOISE_STEPS = np.array([-2.6, -1.3, 0.0, 1.3, 2.6])


@dataclass(frozen=True, slots=True)
class LevelPrior:
    """Prior of the end level: ``c - share·P`` is ``offset_bpm`` give or take ``sd_bpm``.

    Parameters
    ----------
    share
        How much of each bpm of peak the end level keeps, 0 to 1.
    offset_bpm, sd_bpm
        Centre and standard deviation, bpm.
    """

    share: float
    offset_bpm: float
    sd_bpm: float

    @property
    def precision(self) -> Floats:
        """Inverse covariance of (c, P), shape (2, 2)."""
        tie = np.array([1.0, -self.share])
        return np.outer(tie, tie) / self.sd_bpm**2 + np.diag([0.0, PEAK_PRIOR_BPM[1] ** -2])

    @property
    def weighted_mean(self) -> Floats:
        """Precision times mean of (c, P), shape (2,)."""
        tie = np.array([1.0, -self.share])
        return tie * self.offset_bpm / self.sd_bpm**2 + np.array([0.0, PEAK_PRIOR_BPM[0]]) * (
            PEAK_PRIOR_BPM[1] ** -2
        )


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


def level_prior(rider: Rider | None) -> LevelPrior:
    """Where a rider's falls may be expected to end, from standing pulse, else resting pulse, else neither.

    Parameters
    ----------
    rider
        Whose pulse it is; None if unknown.

    Returns
    -------
    LevelPrior
        Wide (17 to 19 bpm): it matters only where the window shows no end of the fall.

    References
    ----------
    See ``SHARE_ABOVE_REST`` in this file.
    """
    standing = rider.standing_hr_bpm if rider else None
    resting = rider.resting_hr_bpm if rider else None
    if standing is not None:
        base, base_sd, share = standing, KNOWN_REST_SD_BPM, SHARE_ABOVE_STANDING
    elif resting is not None:
        base, base_sd, share = resting, KNOWN_REST_SD_BPM, SHARE_ABOVE_REST
    else:
        base, base_sd, share = RESTING_BPM, RESTING_SD_BPM, SHARE_ABOVE_REST
    spread = float(np.hypot((1 - share) * base_sd, SHARE_SD * TYPICAL_RISE_BPM))
    return LevelPrior(share, (1 - share) * base, spread)


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


@dataclass(frozen=True, slots=True)
class _Levels:
    """Gaussian posterior of (c, P) given everything else; shapes broadcast together."""

    end: Floats
    peak: Floats
    end_variance: Floats
    peak_variance: Floats
    covariance: Floats
    log_evidence: Floats


def _levels(
    one_one: Floats, one_fall: Floats, fall_fall: Floats, h: tuple[Floats, Floats], ridge: Floats
) -> _Levels:
    """Solve the 2 by 2 system for columns ``1 - g`` and ``g``; ridge is the prior's precision."""
    q_cc = one_one - 2.0 * one_fall + fall_fall + ridge[0, 0]
    q_cp = one_fall - fall_fall + ridge[0, 1]
    q_pp = fall_fall + ridge[1, 1]
    det = q_cc * q_pp - q_cp * q_cp
    v_c, v_p, v_cp = q_pp / det, q_cc / det, -q_cp / det
    end, peak = v_c * h[0] + v_cp * h[1], v_cp * h[0] + v_p * h[1]
    evidence = 0.5 * (h[0] * end + h[1] * peak - np.log(det))
    return _Levels(end, peak, v_c, v_p, v_cp, evidence)


def _screen(data: Evidence, tables: SamplingTables, prior: LevelPrior) -> _Screen:
    """Compare all curves with the noise SD profiled out, generously, to leave out the hopeless."""
    grid, s2 = tables.grid, SCREEN_SD_BPM**2
    ridge, shift = s2 * prior.precision, s2 * prior.weighted_mean
    h = data.ones_y[:, None] - data.fall_y + shift[0], data.fall_y + shift[1]
    levels = _levels(tables.ones_ones[:, None], tables.ones_fall, tables.fall_fall, h, ridge)
    explained = h[0] * levels.end + h[1] * levels.peak
    rest = data.y_y[:, None] - explained + shift @ np.linalg.solve(ridge, shift)
    # The prior of the noise counts like 1.4 samples: var(log s) = 1 / (2·1.4) = 0.6 squared.
    pseudo = 0.5 / NOISE_PRIOR_BPM[1] ** 2
    rest = np.maximum(rest, 0.0) + pseudo * NOISE_PRIOR_BPM[0] ** 2
    size = data.n + pseudo
    log_mass = levels.log_evidence - 0.5 * explained - 0.5 * size * np.log(rest) + grid.log_prior
    log_mass += (grid.log_phi_prior - 0.5 * tables.log_det)[:, None]
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
    sd = screen.best_sd_bpm * np.exp(NOISE_STEPS / np.sqrt(2.0 * data.n))[:, None]
    precision = (1.0 / sd**2)[:, screen.phi]
    fall_y = data.fall_y[cell]
    levels = _levels(
        precision * tables.ones_ones[screen.phi],
        precision * tables.ones_fall[cell],
        precision * tables.fall_fall[cell],
        (
            precision * (data.ones_y[screen.phi] - fall_y) + prior.weighted_mean[0],
            precision * fall_y + prior.weighted_mean[1],
        ),
        prior.precision,
    )
    log_noise = -data.n * np.log(sd) - 0.5 * (np.log(sd / NOISE_PRIOR_BPM[0]) / NOISE_PRIOR_BPM[1]) ** 2
    log_noise += grid.log_phi_prior - 0.5 * (data.y_y / sd**2 + tables.log_det)
    log_w = levels.log_evidence + log_noise[:, screen.phi] + grid.log_prior[screen.curve]
    w = np.exp(log_w - log_w.max())
    return _summarise(w / w.sum(), levels, sd, screen, grid)


def _summarise(w: Floats, levels: _Levels, sd: Floats, screen: _Screen, grid: FallGrid) -> CurveWeights:
    """Sum over the noise; mixing over it adds the spread of the conditional means to the variances."""
    kept, slot = np.unique(screen.curve, return_inverse=True)

    def gather(x: Floats) -> Floats:
        total: Floats = np.bincount(slot, x.sum(axis=0)).astype(float)
        return total

    weight = gather(w)
    # A curve whose every cell underflowed weighs nothing; its levels are of no account.
    share = np.where(weight > 0, 1.0 / np.maximum(weight, np.finfo(float).tiny), 0.0)
    end, peak = share * gather(w * levels.end), share * gather(w * levels.peak)
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
        end_variance=share * gather(w * (levels.end_variance + d_end**2)),
        peak_variance=share * gather(w * (levels.peak_variance + d_peak**2)),
        covariance=share * gather(w * (levels.covariance + d_end * d_peak)),
        noise_sd_bpm=float((w * sd[:, screen.phi]).sum()),
        noise_phi=float(w.sum(axis=0) @ grid.phis[screen.phi]),
    )
