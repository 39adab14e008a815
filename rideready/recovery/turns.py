"""Where the pulse turns: its rises and falls, ripples aside."""

from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray

#: A turn counts when the pulse has moved back by this many noise SDs, within these limits (bpm).
NOISE_SDS, LEAST_TURN_BPM, MOST_TURN_BPM = 4.0, 8.0, 14.0
#: Two descents are separate where no half minute falls by this much, bpm, for this long, s.
STEEP_BPM_IN_30_S, LEVEL_BETWEEN_S = 8.0, 45


@dataclass(frozen=True, slots=True)
class Fall:
    """One fall of the pulse with the rise before it; indices into the 1 s grid.

    Parameters
    ----------
    foot
        Lowest point before the rise.
    top
        Highest point between rise and fall.
    bottom
        Lowest point after the fall.
    is_closed
        Whether a rise follows the bottom.
    """

    foot: int
    top: int
    bottom: int
    is_closed: bool


def smooth_5s(hr_bpm: FloatArray) -> FloatArray:
    """Return the mean over 5 s around each second, NaN where the second itself is NaN."""
    known = np.isfinite(hr_bpm)
    if not known.any():
        return np.full(hr_bpm.shape, np.nan)
    kernel = np.ones(5)
    total = np.convolve(np.where(known, hr_bpm, 0.0), kernel, mode="same")
    count = np.convolve(known.astype(float), kernel, mode="same")
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(known, total[: known.size] / count[: known.size], np.nan)


def noise_sd_bpm(hr_bpm: FloatArray) -> float:
    """Return the size of the second-to-second noise, bpm.

    From differences over 2 s, the largest fifth left out so that true rises and falls do not count;
    scaled for noise with a memory of 0.8 from second to second (SD of such a difference: 0.85 SD).
    """
    change = np.abs(hr_bpm[2:] - hr_bpm[:-2])
    change = np.sort(change[np.isfinite(change)])
    kept = change[: int(0.8 * change.size)]
    if not kept.size:
        return 1.0
    # The root mean square of the smallest four fifths of |N(0, 1)| is 0.66.
    return float(np.sqrt(np.mean(kept**2)) / 0.66 / 0.85)


def find_falls(hr_bpm: FloatArray) -> list[Fall]:
    """Return every fall of the pulse that stands out of the ripples.

    Parameters
    ----------
    hr_bpm
        Shape (m,), clean heart rate on the 1 s grid, NaN where unknown.

    Returns
    -------
    list of Fall
        In order of time; a fall's ``bottom`` is the next one's ``foot``.
    """
    smooth = smooth_5s(hr_bpm)
    known = np.flatnonzero(np.isfinite(smooth))
    turn_bpm = float(np.clip(NOISE_SDS * noise_sd_bpm(hr_bpm), LEAST_TURN_BPM, MOST_TURN_BPM))
    falls: list[Fall] = []
    if not known.size:
        return falls
    values = smooth[known].tolist()  # a list, since one value after the other is looked at
    foot = top = bottom = 0
    is_falling = False
    for i in range(1, known.size):
        if is_falling:
            if values[i] <= values[bottom]:
                bottom = i
            elif values[i] >= values[bottom] + turn_bpm:
                falls.append(Fall(int(known[foot]), int(known[top]), int(known[bottom]), is_closed=True))
                foot, top, is_falling = bottom, i, False
        elif values[i] >= values[top]:
            top = i
        elif values[i] <= values[top] - turn_bpm:
            bottom, is_falling = i, True
        if not is_falling and not falls and values[i] < values[foot] and top == i:
            foot = i
    if is_falling:
        falls.append(Fall(int(known[foot]), int(known[top]), int(known[bottom]), is_closed=False))
    return falls


def steep_starts(smooth_bpm: FloatArray, fall: Fall) -> list[int]:
    """Return where a fall becomes steep, once for each separate descent.

    A rider may first slow down, ride on for minutes at the lower pulse, and stop later: one fall with
    two descents. Descents are separate where the pulse stays level for 45 s between them. A descent
    begins where half a minute first brings half of what its steepest half minute brings: a slow start
    belongs to it, and so does a sit-down after the stop.

    Parameters
    ----------
    smooth_bpm
        Shape (m,), 5 s means.
    fall
        The fall; its bounds are indices into ``smooth_bpm``.

    Returns
    -------
    list of int
        Indices in order; empty if the fall was not recorded.
    """
    starts = np.arange(fall.top, fall.bottom)
    drop = smooth_bpm[starts] - smooth_bpm[np.minimum(starts + 30, fall.bottom)]
    steep = np.flatnonzero(drop >= max(STEEP_BPM_IN_30_S, 0.4 * np.nanmax(drop, initial=0.0)))
    if not steep.size:
        return [int(starts[np.nanargmax(drop)])] if np.isfinite(drop).any() else []
    breaks = np.flatnonzero(np.diff(steep) > LEVEL_BETWEEN_S) + 1
    found = []
    for group in np.split(steep, breaks):
        begin = group[np.argmax(drop[group] >= 0.5 * drop[group].max())]
        found.append(int(min(starts[begin] + 10, fall.bottom)))
    return found
