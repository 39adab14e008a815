"""Where the work stopped, as power, cadence or speed tell."""

from dataclasses import dataclass, replace

import numpy as np

from rideready.model.clean import CleanSignal
from rideready.model.recovery import Evidence, Mode
from rideready.model.session import FloatArray

#: The stop is looked for this long before and after the knee of the pulse, s.
BEFORE_KNEE_S, AFTER_KNEE_S = 25, 8
#: What is compared on each side of a stop, s.
SIDE_S = 15
#: Work and rest on both sides of a stop that counts without a knee last at least this long, s.
SUSTAINED_S = 30
#: Of those seconds, at least this share must have been recorded.
LEAST_SEEN = 0.8
#: Least working level, and the share of it that counts as stopped.
LEAST_WORK = {Evidence.POWER: 60.0, Evidence.CADENCE: 25.0, Evidence.SPEED: 0.8}
STOPPED_SHARE = 0.65
#: Work has resumed when the mean of 10 s is back at this share of the working level.
RESUMED_SHARE = 0.75
#: Moving after standing, or the other way round, for this long is a change, s.
CHANGED_FOR_S = 10
#: Below these the rider stands or sits still.
STILL_BELOW = {Evidence.POWER: 10.0, Evidence.CADENCE: 10.0, Evidence.SPEED: 0.5}


@dataclass(frozen=True, slots=True)
class Stop:
    """A drop of power, cadence or speed that ends an effort.

    Parameters
    ----------
    at_s
        Time of the drop: between the last sample of work and the first of rest, s.
    work_level
        Mean level before it, in the channel's unit.
    evidence
        Which channel.
    """

    at_s: float
    work_level: float
    evidence: Evidence


def channel_of(signal: CleanSignal, evidence: Evidence) -> FloatArray:
    """Return the grid channel that stands for a kind of evidence."""
    table = {
        Evidence.POWER: signal.power_w,
        Evidence.CADENCE: signal.cadence_rpm,
        Evidence.SPEED: signal.speed_m_s,
    }
    return table[evidence]


def find_stop(signal: CleanSignal, knee_s: float, *, not_before_s: float) -> Stop | None:
    """Return the stop of work that belongs to a knee of the pulse.

    The pulse begins to fall 0 to some 20 s after the work stops, and a sensor adds a few more. Power
    speaks first, then cadence, then speed: coasting has speed without work, pedalling lightly has
    cadence without much.

    Parameters
    ----------
    signal
        Clean signal with at least one of the three channels.
    knee_s
        Where the pulse begins to fall, s.
    not_before_s
        While the pulse still climbs steeply the work goes on; a drop before this time, s, is another one.

    Returns
    -------
    Stop or None
        None where no channel drops near the knee.
    """
    for evidence in (Evidence.POWER, Evidence.CADENCE, Evidence.SPEED):
        values = channel_of(signal, evidence)
        if not np.isfinite(values).any():
            continue
        stop = _find_drop(values, round(knee_s), evidence, earliest=int(not_before_s))
        if stop is not None:
            # A held channel drops with the first sample of rest; the stop lies half a step before it.
            return replace(stop, at_s=stop.at_s - _half_step_before(signal, stop.at_s))
    return None


def _find_drop(values: FloatArray, knee: int, evidence: Evidence, *, earliest: int) -> Stop | None:
    """Return the cut between a working level and a stopped one that explains the channel best."""
    low = max(knee - BEFORE_KNEE_S, earliest, 3)
    high = min(knee + AFTER_KNEE_S, values.size - 3)
    cuts = np.arange(low, high + 1)
    if not cuts.size:
        return None
    first = max(low - SIDE_S, 0)
    near = values[first : high + SIDE_S]
    known = np.isfinite(near)
    count = np.concatenate(([0], np.cumsum(known)))
    total = np.concatenate(([0.0], np.cumsum(np.where(known, near, 0.0))))
    begin, cut, end = (
        np.maximum(cuts - SIDE_S, 0) - first,
        cuts - first,
        np.minimum(cuts - first + SIDE_S, near.size),
    )
    n_before, n_after = count[cut] - count[begin], count[end] - count[cut]
    work = (total[cut] - total[begin]) / np.maximum(n_before, 1)
    rest = (total[end] - total[cut]) / np.maximum(n_after, 1)
    is_drop = (
        (n_before >= 3) & (n_after >= 3) & (work >= LEAST_WORK[evidence]) & (rest <= STOPPED_SHARE * work)
    )
    # Least squares for a step: between-side variance, weighed by the smaller side.
    score = np.where(
        is_drop, (work - rest) ** 2 * n_before * n_after / np.maximum(n_before + n_after, 1), -1.0
    )
    best = int(score.argmax())
    # A drop that is largest at the earliest time allowed lies before it.
    if not is_drop[best] or (cuts[best] == earliest and earliest > 0):
        return None
    return Stop(float(cuts[best]), float(work[best]), evidence)


def _half_step_before(signal: CleanSignal, at_s: float) -> float:
    """Return half the step between the samples on both sides of the moment just before ``at_s``, s."""
    after = int(np.searchsorted(signal.raw_t_s, at_s - 0.5))
    if not 0 < after < signal.raw_t_s.size:
        return 0.5
    return float(min(signal.raw_t_s[after] - signal.raw_t_s[after - 1], signal.longest_bridge_s)) / 2


def work_stops(signal: CleanSignal) -> list[Stop]:
    """Return every clear stop of pedalling power, whatever the pulse does after it.

    A pulse may fall so late and slowly that no knee shows (patients pedalling on, heat, medicine);
    power tells the stop all the same. Cadence and speed do not: coasting and traffic stop them too.

    Returns
    -------
    list of Stop
        By time; empty without power.
    """
    values = signal.power_w
    if not np.isfinite(values).any():
        return []
    known = np.isfinite(values)
    total = np.concatenate(([0.0], np.cumsum(np.where(known, values, 0.0))))
    count = np.concatenate(([0], np.cumsum(known)))
    cuts = np.arange(SUSTAINED_S, values.size - SUSTAINED_S)
    n_work, n_rest = count[cuts] - count[cuts - SUSTAINED_S], count[cuts + SUSTAINED_S] - count[cuts]
    work = (total[cuts] - total[cuts - SUSTAINED_S]) / np.maximum(n_work, 1)
    rest = (total[cuts + SUSTAINED_S] - total[cuts]) / np.maximum(n_rest, 1)
    # A hole in the recording is no stop.
    is_seen = np.minimum(n_work, n_rest) >= LEAST_SEEN * SUSTAINED_S
    is_stop = is_seen & (work >= LEAST_WORK[Evidence.POWER]) & (rest <= STOPPED_SHARE * work)
    fall = np.where(is_stop, work - rest, 0.0)
    stops: list[Stop] = []
    for i in np.flatnonzero(fall > 0):
        near = fall[max(i - SUSTAINED_S, 0) : i + SUSTAINED_S + 1]
        if fall[i] == near.max() and (not stops or cuts[i] - stops[-1].at_s > SUSTAINED_S):
            stops.append(
                Stop(
                    float(cuts[i]) - _half_step_before(signal, float(cuts[i])), float(work[i]), Evidence.POWER
                )
            )
    return stops


def resumed_at(signal: CleanSignal, stop: Stop, *, until_s: float) -> float | None:
    """Return when work is taken up again after a stop, s; None if it is not before ``until_s``."""
    values = channel_of(signal, stop.evidence)[int(stop.at_s) : int(until_s) + 10]
    filled = np.where(np.isfinite(values), values, 0.0)
    if filled.size < 20:
        return None
    mean_10s = np.convolve(filled, np.ones(10) / 10, mode="valid")
    back = np.flatnonzero(mean_10s[10:] >= RESUMED_SHARE * stop.work_level)
    if not back.size:
        return None
    at = stop.at_s + 10.0 + float(back[0])
    return at if at < until_s else None


def mode_after(signal: CleanSignal, end_s: float, *, window_s: float) -> Mode:
    """Say what the rider did in the minute after an effort.

    Still if every recorded channel stays low for most of it, moving if one does not, unknown if
    none was recorded.
    """
    # The first seconds belong to slowing down.
    span = slice(int(end_s) + 5, int(end_s + min(window_s, 60.0)) + 1)
    means = {
        evidence: float(np.nanmean(channel_of(signal, evidence)[span]))
        for evidence in STILL_BELOW
        if np.isfinite(channel_of(signal, evidence)[span]).any()
    }
    if not means:
        return Mode.UNKNOWN
    is_still = all(mean < STILL_BELOW[evidence] for evidence, mean in means.items())
    return Mode.STILL if is_still else Mode.MOVING


def steady_until(signal: CleanSignal, end_s: float, *, window_s: float, mode: Mode) -> float:
    """Say how long the rider goes on doing what he did in the first minute, s from the end of the effort.

    Standing and then walking is two falls towards two levels; one curve through both is none.

    Parameters
    ----------
    signal
        Clean signal.
    end_s, window_s
        End of the effort, s, and how long the fall can be watched, s.
    mode
        What `mode_after` says of the first minute.

    Returns
    -------
    float
        ``window_s`` if no channel shows a change, or none was recorded.
    """
    start = int(end_s)
    is_moving = np.zeros(int(window_s) + 1, dtype=np.bool_)
    for evidence, still_below in STILL_BELOW.items():
        values = channel_of(signal, evidence)[start : start + is_moving.size]
        is_moving[: values.size] |= np.where(np.isfinite(values), values, 0.0) >= still_below
    if mode == Mode.UNKNOWN or is_moving.size <= CHANGED_FOR_S:
        return window_s
    has_changed = is_moving if mode == Mode.STILL else ~is_moving
    run = np.convolve(has_changed, np.ones(CHANGED_FOR_S), mode="valid")
    # The first seconds belong to slowing down.
    changed = np.flatnonzero(run[SIDE_S:] == CHANGED_FOR_S)
    return float(changed[0] + SIDE_S) if changed.size else window_s
