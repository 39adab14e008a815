"""Grid of falls a recovery is compared with: combinations of tau, delay and lag with their prior."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

__all__ = ["FallGrid", "fall_grid", "falls_on", "lay_grid"]

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
#: Correlation of the noise 1 s apart: up to 0.985, uniform in the square root of 1 - phi, which leans towards
#: long memories. Whole-bpm rounding makes memory look shorter than it is: under a uniform prior tau and drops
#: were held 1 to 3 % less often than their intervals said. Leaning further (uniform in log(1 - phi)) was
#: tried and held tau in 99.7 % at 60 s.
PHIS = np.array([0.0, 0.2, 0.4, 0.55, 0.67, 0.76, 0.83, 0.885, 0.93, 0.965])
_BETWEEN = np.concatenate([[0.0], (PHIS[1:] + PHIS[:-1]) / 2, [0.985]])
PHI_WEIGHTS = -np.diff(np.sqrt(1.0 - _BETWEEN))


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
    log_prior_of_tau
        Shape (n_tau,): the highest of ``log_prior`` at each tau.
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
    log_prior_of_tau: Floats
    phis: Floats
    log_phi_prior: Floats


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
        The grid.
    """
    tau, delay, lag = (a.ravel() for a in np.meshgrid(tau_nodes_s, delay_nodes_s, lag_nodes_s, indexing="ij"))
    median, log_sd = TAU_PRIOR_S
    log_prior = -0.5 * (np.log(tau / median) / log_sd) ** 2 + np.where(delay > LATE_DELAY_S, np.log(0.5), 0.0)
    for value, nodes in ((delay, delay_nodes_s), (lag, lag_nodes_s)):
        log_prior += np.where((value == nodes[0]) | (value == nodes[-1]), np.log(0.5), 0.0)
    return FallGrid(
        tau_nodes_s=tau_nodes_s,
        delay_nodes_s=delay_nodes_s,
        lag_nodes_s=lag_nodes_s,
        tau_s=tau,
        delay_s=delay,
        lag_s=lag,
        log_prior=log_prior,
        log_prior_of_tau=log_prior.reshape(len(tau_nodes_s), -1).max(axis=1),
        phis=PHIS,
        log_phi_prior=np.log(PHI_WEIGHTS),
    )


@lru_cache(maxsize=1)
def fall_grid() -> FallGrid:
    """Grid every recovery is compared with first; always the same."""
    return lay_grid(np.geomspace(*TAU_RANGE_S, N_TAU), DELAYS_S.copy(), LAGS_S.copy())


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
