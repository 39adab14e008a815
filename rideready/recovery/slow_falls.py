"""Efforts whose pulse falls too late or too slowly for a knee, told by power."""

from dataclasses import replace

import numpy as np

from rideready.model.clean import CleanSignal
from rideready.model.recovery import Effort
from rideready.model.session import FloatArray
from rideready.recovery.stops import Stop, work_stops
from rideready.recovery.turns import Fall, noise_sd_bpm
from rideready.recovery.watching import watched_until

#: A knee this long after a stop of power, s, still belongs to it.
LATEST_KNEE_S = 90.0
#: An effort that ends this long after the stop, s, is ended at the stop.
LATE_BY_S = 8.0
#: Least fall within two minutes of the stop, bpm, and least window, s, for an effort without a knee.
LEAST_SLOW_DROP_BPM, SLOW_DROP_WITHIN_S, LEAST_WINDOW_S = 8.0, 120.0, 30.0
#: Least climb since the last effort, bpm: a stop in the middle of a fall ends no effort.
LEAST_CLIMB_BPM = 8.0


def with_work_stops(signal: CleanSignal, smooth: FloatArray, efforts: list[Effort]) -> list[Effort]:
    """Add the efforts that only power shows, and end those at the stop whose knee came late.

    Parameters
    ----------
    signal
        Clean signal; without power the efforts come back as they are.
    smooth
        Shape (m,), 5 s means of the heart rate, bpm.
    efforts
        Found by their knees, in order of time.

    Returns
    -------
    list of Effort
        In order of time, still one for each fall.
    """
    found = list(efforts)
    for stop in work_stops(signal):
        near = [e for e in found if -20.0 <= e.knee_s - stop.at_s <= LATEST_KNEE_S]
        if not near:
            slow = _slow_effort(
                signal,
                smooth,
                stop,
                after_s=max((e.end_s for e in found if e.end_s < stop.at_s), default=0.0),
            )
            found += [] if slow is None else [slow]
        elif (
            len(near) == 1
            and near[0].end_s > stop.at_s + LATE_BY_S
            and _stays_up(signal, smooth, stop, near[0])
        ):
            late = near[0]
            found[found.index(late)] = replace(
                late,
                end_s=stop.at_s,
                peak_bpm=_level_around(signal, stop),
                window_s=late.window_s + late.end_s - stop.at_s,
                evidence=stop.evidence,
            )
    return sorted(found, key=lambda effort: effort.end_s)


def _stays_up(signal: CleanSignal, smooth: FloatArray, stop: Stop, late: Effort) -> bool:
    """Whether the pulse neither falls nor climbs much between a stop and a late knee."""
    between = smooth[int(stop.at_s) : int(late.knee_s) + 1]
    known = between[np.isfinite(between)]
    if not np.isfinite(_level_around(signal, stop)):
        return False
    return bool(known.size and np.abs(known - late.peak_bpm).max() <= 0.3 * late.rise_bpm)


def _level_around(signal: CleanSignal, stop: Stop) -> float:
    """Return the mean heart rate of the 17 s around a stop, bpm; NaN if less than 5 s of them are known."""
    around = signal.hr_bpm[max(int(stop.at_s) - 8, 0) : int(stop.at_s) + 9]
    around = around[np.isfinite(around)]
    return float(around.mean()) if around.size >= 5 else float("nan")


def _slow_effort(signal: CleanSignal, smooth: FloatArray, stop: Stop, *, after_s: float) -> Effort | None:
    at = int(stop.at_s)
    before = smooth[int(after_s) : at + 1]
    after = smooth[at : at + int(SLOW_DROP_WITHIN_S) + 1]
    peak_bpm = _level_around(signal, stop)
    if not np.isfinite(peak_bpm) or not np.isfinite(after).any():
        return None
    bottom = at + int(np.nanargmin(after))
    descent = Fall(foot=int(after_s), top=at, bottom=bottom, is_closed=False)
    until_s, cut_by = watched_until(signal, descent, stop, end_s=stop.at_s)
    reached = smooth[at : int(min(until_s, at + SLOW_DROP_WITHIN_S)) + 1]
    drop_bpm = peak_bpm - float(np.nanmin(reached))
    start = int(after_s) + int(np.nanargmin(before))
    rise_bpm = peak_bpm - float(smooth[start])
    if rise_bpm < LEAST_CLIMB_BPM or drop_bpm < LEAST_SLOW_DROP_BPM or until_s - stop.at_s < LEAST_WINDOW_S:
        return None
    return Effort(
        start_s=float(start),
        end_s=stop.at_s,
        knee_s=stop.at_s,
        peak_bpm=peak_bpm,
        # Noise with the usual memory of 0.8 leaves about 0.7 of its SD in the mean of 17 s.
        peak_se_bpm=0.7 * noise_sd_bpm(signal.hr_bpm),
        rise_bpm=rise_bpm,
        lag_s=0.0,
        evidence=stop.evidence,
        window_s=until_s - stop.at_s,
        cut_by=cut_by,
    )
