"""How densely a session was recorded, and where nothing was."""

import numpy as np

from rideready.model.session import FloatArray, Pause

#: A step between kept samples up to this long, s, is always bridged.
USUAL_BRIDGE_S = 5.0
#: No step longer than this, s, is ever bridged, however coarsely a device records.
LONGEST_BRIDGE_S = 15.0


def median_spacing_s(t_s: FloatArray) -> float:
    """Return the usual time between samples.

    Devices record each second, every few seconds or on change; the spacing is measured, not
    assumed. The median is time-weighted: half of the recorded time (gaps over a minute aside)
    lies in steps at most this long, so that a burst of dense samples does not hide a coarse file.

    Parameters
    ----------
    t_s
        Shape (n,), s, rising.

    Returns
    -------
    float
        Spacing in s; 1 for fewer than two samples.
    """
    steps = np.diff(t_s)
    steps = np.sort(steps[steps <= 60.0])
    if not steps.size:
        return 1.0
    elapsed = np.cumsum(steps)
    return float(steps[np.searchsorted(elapsed, elapsed[-1] / 2)])


def longest_bridge_s(spacing_s: float) -> float:
    """Return the longest step between kept samples that a line may be drawn across.

    Five seconds, or three times the usual spacing where a device records more coarsely, but never more
    than fifteen: in fifteen seconds a heart can fall by 20 bpm.
    """
    return float(np.clip(3.0 * spacing_s, USUAL_BRIDGE_S, LONGEST_BRIDGE_S))


def in_pause(t_s: FloatArray, pauses: tuple[Pause, ...]) -> np.ndarray:
    """Return which times, shape (n,), lie strictly inside a pause."""
    inside = np.zeros(t_s.shape, dtype=bool)
    for pause in pauses:
        inside |= (t_s > pause.start_s) & (t_s < pause.end_s)
    return inside
