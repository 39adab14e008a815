"""Fewer points on screen, and every extreme still there.

Written by hand because the usual thinning by triangle area can drop the true peak: a figure
printed in a table would then not be on the chart. Here each bin of neighbouring samples gives
its lowest and its highest value, so what is lost is only what no pixel could show.
"""

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray

#: More points than this draw no better on any screen, only slower.
POINTS_PER_TRACE = 2000


def keep_extremes(
    x: FloatArray, y: FloatArray, *, n_points: int = POINTS_PER_TRACE
) -> tuple[FloatArray, FloatArray]:
    """Thin a trace to the lowest and highest value of each bin, in order of time.

    A bin without any value becomes one NaN, so that a hole in the trace stays a hole. A hole
    narrower than a bin closes; figures that must show such holes mark them apart.

    Parameters
    ----------
    x
        Shape (n,), rising.
    y
        Shape (n,), NaN where absent.
    n_points
        At most this many points come back, at least 2.

    Returns
    -------
    x, y
        Shape (m,), m <= n_points; the arrays themselves if they are short enough.
    """
    if x.shape != y.shape or x.ndim != 1:
        raise ValueError(f"x has shape {x.shape}, y has {y.shape}; both must be the same (n,)")
    if n_points < 2:
        raise ValueError("n_points must be at least 2")
    if y.size <= n_points:
        return x, y
    edges = np.linspace(0, y.size, n_points // 2 + 1).astype(int)[:-1]
    low = np.minimum.reduceat(np.where(np.isnan(y), np.inf, y), edges)
    high = np.maximum.reduceat(np.where(np.isnan(y), -np.inf, y), edges)
    kept = np.unique(np.concatenate([_first_at(y, low, edges), _first_at(y, high, edges)]))
    return x[kept], y[kept]


def _first_at(y: FloatArray, wanted: FloatArray, edges: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
    """Index of the first sample of each bin that has the bin's value; its first sample if none has."""
    in_bin = np.repeat(np.arange(edges.size), np.diff(np.append(edges, y.size)))
    hits = np.flatnonzero(y == wanted[in_bin])
    found = edges.copy()
    bins, first = np.unique(in_bin[hits], return_index=True)
    found[bins] = hits[first]
    return found
