"""How long a fall can be watched, and what ends it."""

import numpy as np

from rideready.model.clean import CleanSignal
from rideready.model.recovery import CutBy
from rideready.model.session import FloatArray
from rideready.recovery.stops import Stop, resumed_at
from rideready.recovery.turns import Fall

#: A fall is watched for this long at most, s.
WINDOW_LIMIT_S = 300.0
#: A hole in the fall up to this long, s, leaves the window open; a longer one ends it.
LONGEST_HOLE_S = 30.0


def watched_until(
    signal: CleanSignal, descent: Fall, stop: Stop | None, *, end_s: float
) -> tuple[float, CutBy]:
    """Return how long the fall can be watched, s on the grid's clock, and what ended it."""
    last_s = float(signal.t_s[-1])
    bounds = [(end_s + WINDOW_LIMIT_S, CutBy.LIMIT), (last_s, CutBy.END)]
    if descent.is_closed:
        bounds.append((float(descent.bottom), CutBy.NEXT_EFFORT))
    if stop is not None:
        back_s = resumed_at(signal, stop, until_s=min(bound for bound, _ in bounds))
        if back_s is not None:
            bounds.append((back_s, CutBy.NEXT_EFFORT))
    hole_s = _first_hole(signal.hr_bpm, int(end_s))
    if hole_s is not None:
        bounds.append((hole_s, CutBy.GAP))
    return min(bounds, key=lambda bound: bound[0])


def _first_hole(hr_bpm: FloatArray, start: int) -> float | None:
    """Return the last known second before the first hole too long to look past."""
    known = start + np.flatnonzero(np.isfinite(hr_bpm[start:]))
    if not known.size:
        return float(start)
    long = np.flatnonzero(np.diff(known) > LONGEST_HOLE_S)
    return float(known[long[0]]) if long.size else None
