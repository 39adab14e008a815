"""Where each effort ends, found once, from the pulse and from what the legs did."""

from dataclasses import replace

import numpy as np

from rideready.model.clean import CleanSignal
from rideready.model.recovery import Effort, Evidence
from rideready.model.session import FloatArray
from rideready.recovery.knee import Knee, find_knee
from rideready.recovery.slow_falls import with_work_stops
from rideready.recovery.stops import Stop, find_stop, resumed_at
from rideready.recovery.turns import Fall, find_falls, smooth_5s, steep_starts
from rideready.recovery.watching import watched_until

#: Least fall within a minute, and least rise before it, for a stretch of work to count, bpm.
LEAST_DROP_BPM = 12.0
LEAST_RISE_BPM = 8.0
#: A fall that begins in a hole longer than this, s, has no known end of effort.
LONGEST_BLIND_S = 20.0
#: Two efforts end at least this far apart, s.
LEAST_APART_S = 15.0
#: A pulse this far below its peak, bpm, or 0.3 of the rise if that is more, is still climbing.
STILL_CLIMBING_BPM = 12.0
#: The turn itself must have been recorded: this share of the 30 s from the knee on.
LEAST_SEEN_OF_TURN = 0.3


def find_efforts(signal: CleanSignal) -> list[Effort]:
    """Find every effort whose end shows in the pulse.

    A fall of at least 12 bpm within a minute from a pulse at least 8 bpm above its lowest since the last effort, ripples aside, is the
    end of an effort. Its knee is fitted (`rideready.recovery.knee`); where power, cadence or speed
    drop near it, the drop is the end.

    Parameters
    ----------
    signal
        As from `rideready.signal.clean.clean`.

    Returns
    -------
    list of Effort
        In order of time, never two for one fall; empty if nothing in the session counts.
    """
    hr_bpm = signal.hr_bpm
    smooth = smooth_5s(hr_bpm)
    efforts: list[Effort] = []
    for fall in find_falls(hr_bpm):
        last_fall_s = efforts[-1].end_s if efforts else 0.0
        for descent, steep in _descents(smooth, fall):
            knee = find_knee(hr_bpm, steep=steep, bottom=descent.bottom)
            not_before_s = efforts[-1].end_s + LEAST_APART_S if efforts else 0.0
            if knee is None or knee.at_s < not_before_s:
                continue
            effort = _describe(signal, smooth, descent, knee, not_before_s=last_fall_s)
            if effort is not None and effort.end_s >= not_before_s:
                efforts.append(effort)
    return with_work_stops(signal, smooth, efforts)


def _descents(smooth: FloatArray, fall: Fall) -> list[tuple[Fall, int]]:
    """Split a fall into its descents, each with the start of its steepest half minute."""
    starts = steep_starts(smooth, fall)
    bottoms = [*starts[1:], fall.bottom]
    return [
        (replace(fall, bottom=bottom, is_closed=fall.is_closed or bottom != fall.bottom), steep)
        for steep, bottom in zip(starts, bottoms, strict=False)
    ]


def _describe(
    signal: CleanSignal, smooth: FloatArray, descent: Fall, knee: Knee, *, not_before_s: float
) -> Effort | None:
    """Return the effort that ends in a descent, or None if it does not count."""
    start = _start_of_rise(smooth, knee, not_before_s=not_before_s)
    rise_bpm = float(np.nanmax(smooth[start : int(knee.at_s) + 1]) - smooth[start])
    stop = _stop_of_work(signal, smooth, knee, start=start)
    end_s = knee.at_s if stop is None else stop.at_s
    until_s, cut_by = watched_until(signal, descent, stop, end_s=end_s)
    drop_bpm = knee.level_bpm - _level_at_end(smooth, knee.at_s, min(until_s, knee.at_s + 60.0))
    seen = np.isfinite(signal.hr_bpm[int(knee.at_s) : int(knee.at_s) + 30])
    if drop_bpm < LEAST_DROP_BPM or rise_bpm < LEAST_RISE_BPM or seen.mean() < LEAST_SEEN_OF_TURN:
        return None
    if _began_unseen(smooth, knee):
        return None
    return Effort(
        start_s=float(start),
        end_s=end_s,
        knee_s=knee.at_s,
        peak_bpm=knee.level_bpm,
        peak_se_bpm=knee.level_se_bpm,
        rise_bpm=rise_bpm,
        lag_s=knee.lag_s,
        evidence=Evidence.HEART_RATE if stop is None else stop.evidence,
        window_s=until_s - end_s,
        cut_by=cut_by,
    )


def _began_unseen(smooth: FloatArray, knee: Knee) -> bool:
    """Whether the pulse had come down by more than a little in a hole shortly before a knee."""
    first = max(int(knee.at_s) - 90, 0)
    known = first + np.flatnonzero(np.isfinite(smooth[first : int(knee.at_s) + 10]))
    holes = np.flatnonzero(np.diff(known) > LONGEST_BLIND_S)
    return any(smooth[known[i]] - smooth[known[i + 1]] > LEAST_RISE_BPM for i in holes)


def _start_of_rise(smooth: FloatArray, knee: Knee, *, not_before_s: float) -> int:
    """Return where the pulse was lowest between the last effort's end and a knee."""
    first = int(not_before_s)
    before = smooth[first : int(knee.at_s) + 1]
    return first + int(np.nanargmin(before))


def _stop_of_work(signal: CleanSignal, smooth: FloatArray, knee: Knee, *, start: int) -> Stop | None:
    """Return the stop of work behind a knee, None if no channel shows one that lasts until the knee."""
    climb = smooth[start : int(knee.at_s) + 1]
    climbing_below = knee.level_bpm - max(STILL_CLIMBING_BPM, 0.3 * (knee.level_bpm - float(smooth[start])))
    low = np.flatnonzero(climb < climbing_below)
    still_climbing_s = start + float(low[-1]) if low.size else 0.0
    stop = find_stop(signal, knee.at_s, not_before_s=still_climbing_s)
    if stop is None or resumed_at(signal, stop, until_s=knee.at_s + 10.0) is not None:
        return None
    return stop


def _level_at_end(smooth: FloatArray, start_s: float, end_s: float) -> float:
    """Return the mean of the last 6 s known of a stretch, the lowest of which would be a noise peak, bpm."""
    values = smooth[int(start_s) : int(end_s) + 1]
    known = values[np.isfinite(values)]
    return float(known[-6:].mean()) if known.size else np.inf
