"""A finer grid around what is left, where a clean recording outruns the grid every recovery starts from."""

import numpy as np
import numpy.typing as npt

from rideready.recovery.grids import FallGrid, falls_on, lay_grid
from rideready.recovery.levels import LevelPrior
from rideready.recovery.posterior import CurveWeights, Evidence, curve_weights
from rideready.recovery.sampling import SamplingTables, make_tables

__all__ = ["local_grid", "weigh_finely"]

Floats = npt.NDArray[np.float64]

#: The posterior counts as spread over this many curves at least, else the grid is too coarse for it:
#: a delay in mid-step was then seen to pull tau by up to 10 % at a noise SD of 0.3 bpm.
ENOUGH_CURVES = 5.0
#: Nodes of tau, delay and lag in a finer grid, and its half width in standard deviations and old steps.
NODES = (11, 7, 5)
HALF_WIDTH_SD, HALF_WIDTH_STEPS = 4.0, 1.5
#: A grid is made finer this often at most.
ROUNDS = 3


def weigh_finely(
    t_s: Floats, hr_bpm: Floats, tables: SamplingTables, prior: LevelPrior, *, data: Evidence
) -> CurveWeights:
    """Posterior on as fine a grid as the recording deserves.

    Parameters
    ----------
    t_s, hr_bpm
        Shape (n,), s and bpm.
    tables
        Of the grid to begin with, at these times.
    prior
        Prior of the end level.
    data
        Products of the heart rate with those tables.

    Returns
    -------
    CurveWeights
        The posterior, on a grid of its own where the first was too coarse.
    """
    weights = curve_weights(data, tables, prior)
    for _ in range(ROUNDS):
        if 1.0 / np.sum(weights.weight**2) >= ENOUGH_CURVES:
            break
        grid = local_grid(weights)
        tables = make_tables(grid, t_s, falls_on(grid, t_s))
        weights = curve_weights(Evidence.of(hr_bpm, tables), tables, prior)
    return weights


def local_grid(weights: CurveWeights) -> FallGrid:
    """Lay a grid around the mean of a posterior, inside the limits of the grid it was computed on.

    Parameters
    ----------
    weights
        Posterior on a coarser grid.

    Returns
    -------
    FallGrid
        Of ``NODES`` per axis.
    """
    old, kept, w = weights.grid, weights.kept, weights.weight
    axes = (
        (np.log(old.tau_nodes_s), np.log(old.tau_s[kept])),
        (old.delay_nodes_s, old.delay_s[kept]),
        (old.lag_nodes_s, old.lag_s[kept]),
    )
    log_tau, delay, lag = (
        _around(nodes, values, w, n) for (nodes, values), n in zip(axes, NODES, strict=True)
    )
    return lay_grid(np.exp(log_tau), delay, lag)


def _around(nodes: Floats, values: Floats, w: Floats, n: int) -> Floats:
    mean = float(w @ values)
    sd = float(np.sqrt(w @ (values - mean) ** 2))
    half = max(HALF_WIDTH_SD * sd, HALF_WIDTH_STEPS * float(nodes[1] - nodes[0]))
    return np.linspace(max(mean - half, nodes[0]), min(mean + half, nodes[-1]), n)
