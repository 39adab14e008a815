"""From uneven samples to an even 1 s grid that never bridges a long gap."""

import numpy as np

from rideready.model.session import FloatArray


def even_times(t_s: FloatArray) -> FloatArray:
    """Return 0, 1, 2, ... s up to the last sample; empty for an empty recording."""
    return np.arange(np.floor(t_s[-1]) + 1.0) if t_s.size else np.empty(0)


def step_around(grid_s: FloatArray, t_s: FloatArray) -> FloatArray:
    """Return, for each grid time, the length of the step between samples that it falls into, s.

    0 where a sample lies on the grid time itself, infinite before the first and after the last.
    """
    if not t_s.size:
        return np.full(grid_s.shape, np.inf)
    after = np.searchsorted(t_s, grid_s, side="left")
    exact = (after < t_s.size) & (t_s[np.minimum(after, t_s.size - 1)] == grid_s)
    outside = (after == 0) | (after == t_s.size)
    before = np.clip(after - 1, 0, t_s.size - 1)
    step = t_s[np.minimum(after, t_s.size - 1)] - t_s[before]
    return np.where(exact, 0.0, np.where(outside, np.inf, step))


def draw_line(
    grid_s: FloatArray, t_s: FloatArray, values: FloatArray, *, longest_bridge_s: float
) -> FloatArray:
    """Return values on the grid by straight lines between samples.

    Parameters
    ----------
    grid_s
        Shape (m,), s.
    t_s, values
        Shape (n,), samples; NaN values are left out.
    longest_bridge_s
        Steps longer than this, s, stay NaN.

    Returns
    -------
    numpy.ndarray
        Shape (m,), NaN where no line may be drawn.
    """
    kept = np.isfinite(values)
    if not kept.any():
        return np.full(grid_s.shape, np.nan)
    line = np.interp(grid_s, t_s[kept], values[kept])
    return np.where(step_around(grid_s, t_s[kept]) <= longest_bridge_s, line, np.nan)


def hold_last(
    grid_s: FloatArray, t_s: FloatArray, values: FloatArray, *, longest_bridge_s: float
) -> FloatArray:
    """Return values on the grid by holding each sample until the next.

    Power, cadence and speed jump; a line between two samples would make the end of an effort look
    earlier than it was. Parameters and result as for `draw_line`.
    """
    kept = np.isfinite(values)
    if not kept.any():
        return np.full(grid_s.shape, np.nan)
    times, held = t_s[kept], values[kept]
    last = np.searchsorted(times, grid_s, side="right") - 1
    age_s = grid_s - times[np.maximum(last, 0)]
    return np.where((last >= 0) & (age_s <= longest_bridge_s), held[np.maximum(last, 0)], np.nan)
