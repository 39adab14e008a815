"""Which heart-rate samples cannot be what the heart did.

Plausible limits are common practice, no source: 25 to 240 bpm; faster changes than a heart can make
are taken from the fall A/tau of fast published recoveries (about 3 bpm/s, Barak et al. 2011, J Sports
Sci Med 10:369-375, supine) with a wide margin.
"""

import numpy as np
import numpy.typing as npt

from rideready.model.clean import Flag
from rideready.model.session import FloatArray
from rideready.signal.gaps import LONGEST_BRIDGE_S

FlagArray = npt.NDArray[np.uint8]

LOWEST_BPM, HIGHEST_BPM = 25.0, 240.0
#: A change at least this fast and this large between two samples is a break, not a heart beat.
BREAK_BPM_PER_S, BREAK_BPM = 8.0, 15.0
#: A stretch between two opposite breaks up to this long, s, is a dropout.
LONGEST_DROPOUT_S = 60.0
#: Hampel identifier (Hampel 1974, J Am Stat Assoc 69:383-393): half window in s, and thresholds.
HAMPEL_HALF_WINDOW_S, HAMPEL_K, HAMPEL_LEAST_BPM = 5.0, 3.0, 8.0
#: A value that stays exactly the same this long, s, may be stuck; beyond the longer limit it is.
SHORTEST_STUCK_S, LONGEST_FLAT_S = 25.0, 60.0
#: Fewer steps than this, at the recording's usual spacing, prove nothing.
FEWEST_STUCK_STEPS = 6


def flag_samples(t_s: FloatArray, hr_bpm: FloatArray) -> FlagArray:
    """Say for each raw sample whether it can be trusted, and if not, why.

    Parameters
    ----------
    t_s
        Shape (n,), s, rising.
    hr_bpm
        Shape (n,), bpm; NaN, 0 and 255 are absent (255 is the invalid byte of the FIT protocol).

    Returns
    -------
    numpy.ndarray
        Shape (n,), values of `Flag`: OK, ABSENT, IMPLAUSIBLE, SPIKE, DROPOUT or STUCK. The first
        reason found stands.
    """
    flags = np.zeros(hr_bpm.shape, dtype=np.uint8)
    absent = ~np.isfinite(hr_bpm) | (hr_bpm == 0) | (hr_bpm == 255)
    flags[absent] = Flag.ABSENT
    with np.errstate(invalid="ignore"):
        flags[~absent & ((hr_bpm < LOWEST_BPM) | (hr_bpm > HIGHEST_BPM))] = Flag.IMPLAUSIBLE
    for find, flag in (
        (_spikes, Flag.SPIKE),
        (_dropouts, Flag.DROPOUT),
        (_stuck, Flag.STUCK),
    ):
        kept = np.flatnonzero(flags == Flag.OK)
        if kept.size >= 3:
            flags[kept[find(t_s[kept], hr_bpm[kept])]] = flag
    return flags


def _spikes(t_s: FloatArray, hr_bpm: FloatArray) -> npt.NDArray[np.bool_]:
    """Find samples far from the median of their neighbours in time (Hampel identifier)."""
    spacing_s = max(float(np.median(np.diff(t_s))), 0.5)
    half = int(np.clip(round(HAMPEL_HALF_WINDOW_S / spacing_s), 1, 10))
    padded = np.pad(hr_bpm, half, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1)
    centre = np.median(windows, axis=1)
    scale = 1.4826 * np.median(np.abs(windows - centre[:, None]), axis=1)
    spiky = np.abs(hr_bpm - centre) > np.maximum(HAMPEL_K * scale, HAMPEL_LEAST_BPM)
    # Where samples are sparse a neighbour is no witness: a fast fall may be all there is between two.
    steps = np.diff(t_s)
    lonely = np.maximum(np.append(steps, np.inf), np.insert(steps, 0, np.inf)) > HAMPEL_HALF_WINDOW_S
    return np.asarray(spiky & ~lonely)


def _dropouts(t_s: FloatArray, hr_bpm: FloatArray) -> npt.NDArray[np.bool_]:
    """Find stretches cut off by changes no heart can make.

    A stretch between two opposite breaks whose two outsides agree is a dropout. A break without
    its counterpart is flagged on both sides: whichever side is true, nothing may be read across it.
    """
    jump, step_s = np.diff(hr_bpm), np.diff(t_s)
    breaks = np.flatnonzero(
        (np.abs(jump) >= BREAK_BPM) & (np.abs(jump) >= BREAK_BPM_PER_S * step_s) & (step_s <= 10)
    )
    bad = np.zeros(hr_bpm.shape, dtype=bool)
    i = 0
    while i < breaks.size:
        first = breaks[i]
        partner = _closing_break(t_s, hr_bpm, breaks[i + 1 :], first)
        if partner is None:
            bad[(t_s >= t_s[first] - 3.0) & (t_s <= t_s[first + 1] + 3.0)] = True
            i += 1
        else:
            bad[first + 1 : partner + 1] = True
            i = int(np.searchsorted(breaks, partner, side="right"))
    return bad


def _closing_break(
    t_s: FloatArray, hr_bpm: FloatArray, later: npt.NDArray[np.intp], first: int
) -> int | None:
    """Return the break that brings the signal back to where it was before ``first``, if there is one."""
    for candidate in later:
        if t_s[candidate] - t_s[first] > LONGEST_DROPOUT_S:
            return None
        opposite = (hr_bpm[first + 1] - hr_bpm[first]) * (hr_bpm[candidate + 1] - hr_bpm[candidate]) < 0
        if opposite and abs(hr_bpm[candidate + 1] - hr_bpm[first]) <= BREAK_BPM:
            return int(candidate)
    return None


def _stuck(t_s: FloatArray, hr_bpm: FloatArray) -> npt.NDArray[np.bool_]:
    """Find stretches of one value far longer than this recording usually stays on one.

    Smoothed wrist sensors hold a value for ten or twenty seconds in honest work, straps hardly ever:
    the limit is three times the recording's own 95th percentile, between 25 and 60 s. Recorders that
    write on change only write no equal neighbours; a gap between equal values is no stuck value either.
    """
    steps_s = np.diff(t_s)
    begins = (np.diff(hr_bpm) != 0) | (steps_s > LONGEST_BRIDGE_S)
    starts = np.flatnonzero(np.concatenate(([True], begins)))
    ends = np.append(starts[1:], hr_bpm.size) - 1
    length_s = t_s[ends] - t_s[starts]
    limit_s = np.clip(3.0 * np.quantile(length_s, 0.95), SHORTEST_STUCK_S, LONGEST_FLAT_S)
    limit_s = max(limit_s, FEWEST_STUCK_STEPS * np.median(steps_s))
    bad = np.zeros(hr_bpm.shape, dtype=bool)
    for start, end in zip(starts[length_s > limit_s], ends[length_s > limit_s], strict=True):
        bad[start + 1 : end + 1] = True
    return bad
