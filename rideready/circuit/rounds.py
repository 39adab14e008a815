"""Where the rounds lie in a recording: the row of falls that fits the plan's shrinking rounds best.

A round ends in a peak and the next begins at the trough after it. Every fall of the pulse may be a rest;
which ones are is settled by a dynamic programme: the stretches between them have to shrink as the ladder
does, at one pace for the whole circuit, and deep falls count for more. The spreads below are our choice;
``tests/circuit/test_match.py`` measures how often the rounds are found in simulated recordings.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.signal import find_peaks

from rideready.model.session import FloatArray

#: Mean over so many seconds before peaks and troughs are looked for.
_SMOOTH_S = 7
#: Smaller falls are not looked at, bpm.
LEAST_FALL_BPM = 4.0
#: A fall is steep where it loses at least the first share of its steepest loss; the last place with the
#: second share decides which of several steep stretches is the rest. Losses are taken over so many seconds.
_STEEP_SHARE, _STEEPEST_SHARE, _SLOPE_S = 0.5, 0.85, 10
#: Longest stretch without a pulse that is bridged, s.
_LONGEST_BRIDGE_S = 15
#: Spread of the length of a round and of a rest about the plan, in logarithms.
_ROUND_SPREAD, _REST_SPREAD = 0.20, 0.60
#: What a fall of so many bpm is worth against the spreads.
_FALL_BPM = 10.0
#: Cost of a first or last round whose far end does not show in the pulse.
_UNSEEN = 4.0
#: Pace against the plan that is tried, slowest 2.2 times as long.
_PACES = np.exp(np.arange(np.log(0.55), np.log(2.2), 0.05))
# What makes a fit convincing, set on 60 simulated circuits of 6 to 10 rounds and 60 simulated two-hour sessions
# of random bursts (figures: circuits, then bursts):
#: most the rounds may scatter about one pace, root mean square in logarithms (0.02 to 0.17; 0.09 to 0.24),
_MOST_UNEVEN = 0.20
#: least the middle rest may fall, bpm (20 to 49; 38 to 48),
_LEAST_USUAL_FALL_BPM = 10.0
#: falls within rounds at least this share as deep as the middle rest (none; 2 to 9), and most of them a rest.
_DEEP, _MOST_DEEP_WITHIN = 0.7, 0.15
#: With fewer rounds than this a ladder cannot be told from anything else.
_FEWEST_ROUNDS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Falls:
    """Every fall of a pulse to a trough.

    Parameters
    ----------
    onset_s, trough_s
        Shape (k,), where the fall turns steep for the last time, and its lowest point, s.
    fall_bpm
        Shape (k,), from the one to the other, bpm.
    """

    onset_s: FloatArray
    trough_s: FloatArray
    fall_bpm: FloatArray


@dataclass(frozen=True, slots=True)
class LadderPlan:
    """What is known of the rounds before the recording is looked at.

    Parameters
    ----------
    round_s
        Planned length of each round, s; with fewer than four none are found.
    rest_s
        Planned rest, s.
    start_s
        Where the first round begins, s from the start of the recording; None if that is to be found.
    length_s
        Length of the recording, s.
    """

    round_s: Sequence[float]
    rest_s: float
    start_s: float | None
    length_s: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """One round: from trough to peak, s."""

    start_s: float
    end_s: float


def smoothed(hr_bpm: FloatArray) -> FloatArray:
    """Bridge short holes and smooth a pulse; longer holes stay NaN.

    Parameters
    ----------
    hr_bpm
        Shape (m,), bpm each second, NaN where absent; at least one value.
    """
    seconds = np.arange(hr_bpm.size)
    is_known = np.isfinite(hr_bpm)
    filled = np.interp(seconds, seconds[is_known], hr_bpm[is_known])
    before = np.maximum.accumulate(np.where(is_known, seconds, -np.inf))
    after = np.minimum.accumulate(np.where(is_known, seconds, np.inf)[::-1])[::-1]
    smooth = uniform_filter1d(filled, _SMOOTH_S, mode="nearest")
    return np.where(after - before <= _LONGEST_BRIDGE_S + 1, smooth, np.nan)


def find_falls(hr_bpm: FloatArray) -> Falls:
    """Find every fall of at least `LEAST_FALL_BPM`.

    The pulse often sinks already in the last exercise of a round, when that is an easy one; the rest
    begins where it turns steep.

    Parameters
    ----------
    hr_bpm
        Shape (m,), smoothed, bpm each second; falls into a hole are left out.
    """
    filled = np.where(np.isfinite(hr_bpm), hr_bpm, np.nanmin(hr_bpm))
    peaks, _ = find_peaks(filled, prominence=LEAST_FALL_BPM)
    found = []
    for peak, end in pairwise([*peaks, filled.size]):
        trough = peak + int(np.argmin(filled[peak:end]))
        onset = _onset(filled, int(peak), int(trough))
        fall = filled[onset] - filled[trough]
        if fall >= LEAST_FALL_BPM and np.isfinite(hr_bpm[peak : trough + 1]).all():
            found.append((onset, trough, fall))
    onset_s, trough_s, fall_bpm = np.array(found, dtype=float).reshape(-1, 3).T
    return Falls(onset_s, trough_s, fall_bpm)


def _onset(hr_bpm: FloatArray, peak: int, trough: int) -> int:
    """Return where between peak and trough the fall turns steep for the last time."""
    if trough - peak < 2 * _SLOPE_S:
        return peak
    slope = (hr_bpm[peak + _SLOPE_S : trough + 1] - hr_bpm[peak : trough + 1 - _SLOPE_S]) / _SLOPE_S
    is_gentle = slope > _STEEP_SHARE * slope.min()
    steepest = int(np.flatnonzero(slope <= _STEEPEST_SHARE * slope.min())[-1])
    gentle_before = np.flatnonzero(is_gentle[:steepest])
    return peak + (int(gentle_before[-1]) + 1 if gentle_before.size else 0)


def find_rounds(falls: Falls, plan: LadderPlan) -> tuple[Stretch, ...]:
    """Find the rounds between the falls.

    Parameters
    ----------
    falls
        Every fall that may be a rest.
    plan
        What is known of the rounds.

    Returns
    -------
    tuple of Stretch
        One for each round; empty if no row of falls fits.
    """
    if len(plan.round_s) < _FEWEST_ROUNDS or falls.onset_s.size < len(plan.round_s) - 1:
        return ()
    fit = _best_fit(falls, plan)
    if not _is_convincing(fit, falls, plan):
        return ()
    first, last = falls.onset_s[fit.rests[0]], falls.trough_s[fit.rests[-1]]
    begin = first - fit.pace * plan.round_s[0] if plan.start_s is None else plan.start_s
    starts = np.array([max(0.0, begin), *falls.trough_s[fit.rests]])
    ends = np.array([*falls.onset_s[fit.rests], min(last + fit.pace * plan.round_s[-1], plan.length_s)])
    return tuple(Stretch(float(a), float(b)) for a, b in zip(starts, ends, strict=True))


def _is_convincing(fit: "_Fit", falls: Falls, plan: LadderPlan) -> bool:
    """Say whether the falls look like this ladder's rests and like nothing else's.

    Any pulse has falls, and some row of them fits best. It is a ladder only if the rounds keep to one
    pace, the falls are deep, and hardly a fall within a round is as deep.
    """
    if not np.isfinite(fit.cost):
        return False
    work_s = falls.onset_s[fit.rests[1:]] - falls.trough_s[fit.rests[:-1]]
    off = np.log(work_s / (fit.pace * np.asarray(plan.round_s[1:-1])))
    if np.sqrt(np.mean(off**2)) > _MOST_UNEVEN:
        return False
    usual_bpm = float(np.median(falls.fall_bpm[fit.rests]))
    within = np.delete(falls.fall_bpm[fit.rests[0] : fit.rests[-1] + 1], np.subtract(fit.rests, fit.rests[0]))
    deep_within = int(np.count_nonzero(within >= _DEEP * usual_bpm))
    return usual_bpm >= _LEAST_USUAL_FALL_BPM and deep_within <= _MOST_DEEP_WITHIN * len(fit.rests)


@dataclass(frozen=True, slots=True)
class _Fit:
    """A row of falls taken for the rests: its cost, which falls they are, and the pace."""

    cost: float
    rests: list[int]
    pace: float


def _best_fit(falls: Falls, plan: LadderPlan) -> _Fit:
    return min((_fit(falls, plan, float(pace)) for pace in _PACES), key=lambda fit: fit.cost)


def _fit(falls: Falls, plan: LadderPlan, pace: float) -> _Fit:
    """Fit the rests at one pace."""
    of_rest = np.log(np.maximum(falls.trough_s - falls.onset_s, 1.0) / plan.rest_s) / _REST_SPREAD
    own = of_rest**2 - 2 * falls.fall_bpm / _FALL_BPM
    rounds_s = pace * np.asarray(plan.round_s)
    work_s = falls.onset_s[None, :] - falls.trough_s[:, None]  # from a trough (row) to a later onset (column)
    cost = _first_round(falls, plan, work_s, rounds_s[0]) + own
    came_from = []
    for round_s in rounds_s[1:-1]:
        total = cost[:, None] + _off(work_s, round_s)
        came_from.append(np.argmin(total, axis=0))
        cost = total.min(axis=0) + own
    cost = cost + _last_round(falls, plan, work_s, rounds_s[-1])
    rests = [int(np.argmin(cost))]
    best = float(cost[rests[0]])
    for back in reversed(came_from):
        rests.insert(0, int(back[rests[0]]))
    return _Fit(best, rests, pace)


def _first_round(falls: Falls, plan: LadderPlan, work_s: FloatArray, round_s: float) -> FloatArray:
    """Cost of beginning before each fall: at the known start, at a trough or the recording's begin, or unseen."""
    if plan.start_s is not None:
        return _off(falls.onset_s - plan.start_s, round_s)
    seen = np.minimum(_off(work_s, round_s).min(axis=0), _off(falls.onset_s, round_s))
    # A circuit may have begun a little before the recording, not half a round.
    return np.where(falls.onset_s >= 0.5 * round_s, np.minimum(seen, _UNSEEN), np.inf)


def _last_round(falls: Falls, plan: LadderPlan, work_s: FloatArray, round_s: float) -> FloatArray:
    """Cost of ending after each fall: in another fall, with the recording, or unseen."""
    left_s = plan.length_s - falls.trough_s
    seen = np.minimum(_off(work_s, round_s).min(axis=1), _off(left_s, round_s))
    return np.where(left_s >= 0.5 * round_s, np.minimum(seen, _UNSEEN), np.inf)


def _off(length_s: FloatArray, planned_s: float) -> FloatArray:
    """Cost of a round's length; infinite where it would not be after the one before."""
    off = np.log(np.maximum(length_s, 1e-9) / planned_s) / _ROUND_SPREAD
    return np.where(length_s > 0, off**2, np.inf)
