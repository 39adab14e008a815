"""How many beats fell into a stretch of a recording, and how sure that is.

A rider counts at the wrist; a recording gives the rate, and beats are its integral over the minutes. Four
things make the count uncertain: where the stop was, since a falling pulse makes an earlier count a higher
one; noise with a memory; seconds that had to be bridged; and the recorder's own lag, which is allowed for.
"""

from dataclasses import dataclass

import numpy as np

from rideready.model.clean import CleanSignal
from rideready.model.fieldtest import PulseCount
from rideready.model.reason import Reason, because
from rideready.model.session import FloatArray
from rideready.recovery.indices import USUAL_NOISE_SD_BPM
from rideready.recovery.turns import noise_sd_bpm

#: A recorder shows the pulse of some seconds ago: straps 1 to 3 s, wrist sensors 4 to 10 (plausible, no
#: source). Windows are moved later by this much, s, and its error (s) enters theirs.
USUAL_LAG_S, LAG_SE_S = 3.0, 2.0
#: Seconds of a count that may be bridged by a straight line; over 10 s a fall bends by less than 1 bpm.
LONGEST_BRIDGE_S = 10
_BRIDGE_SE_BPM = 3.0
#: Correlation of the noise from one second to the next (as in the room's other figures).
_NOISE_PHI = 0.8
#: Values this far outside the window may hold a bridge at its edge, s.
_MARGIN_S = 15.0


@dataclass(frozen=True, slots=True)
class RecordedCount:
    """A count from a recording, or why there is none.

    Parameters
    ----------
    count
        Beats with their standard error; None if they could not be counted.
    per_second
        Beats by which the count falls for each second that the window is moved later.
    own_se_beats
        Part of the error that has nothing to do with the place of the window.
    missing_s
        Seconds that were bridged or, without a count, that were too many to bridge.
    reason
        What limits it; None if nothing does.
    """

    count: PulseCount | None
    per_second: float
    own_se_beats: float
    missing_s: int
    reason: Reason | None


def count_beats(
    signal: CleanSignal, stop_s: float, *, start_s: float, length_s: float, stop_se_s: float
) -> RecordedCount:
    """Count the beats in a stretch after a stop.

    ``beats = integral of the heart rate over the stretch / 60``. It misleads where the recorder lags by
    much more than usual.

    Parameters
    ----------
    signal
        Clean heart rate on its 1 s grid.
    stop_s, stop_se_s
        Where the stop was and its standard error, s.
    start_s, length_s
        Begin of the stretch after the stop and its length, s.

    Returns
    -------
    RecordedCount
        The count; or none, with a reason, if the recording ends too early or more than 10 s are missing.

    Examples
    --------
    A pulse of 120 held for a minute:

    >>> from rideready.model.session import Session
    >>> from rideready.signal.clean import clean
    >>> signal = clean(Session.from_arrays(range(100), [120.0, 121.0, 119.0, 120.0] * 25))
    >>> counted = count_beats(signal, 10.0, start_s=2.5, length_s=60.0, stop_se_s=1.0)
    >>> round(counted.count.beats)
    120
    """
    begin = stop_s + start_s + USUAL_LAG_S
    end = begin + length_s
    short_s = end - float(signal.t_s[-1]) if signal.t_s.size else end
    if short_s > 0:
        return _none(because("fieldtest.ends_early", short=float(np.ceil(short_s))), 0)
    missing_s = _missing(signal, begin, end)
    known = np.isfinite(signal.hr_bpm) & (np.abs(signal.t_s - (begin + end) / 2) <= length_s / 2 + _MARGIN_S)
    t_s, hr_bpm = signal.t_s[known], signal.hr_bpm[known]
    if missing_s > LONGEST_BRIDGE_S or not t_s.size or t_s[0] > begin or t_s[-1] < end:
        return _none(
            because("fieldtest.hole", missing=float(missing_s), length=length_s, start=start_s), missing_s
        )
    beats = _integral(t_s, hr_bpm, begin, end) / 60.0
    per_second = float(np.interp(begin, t_s, hr_bpm) - np.interp(end, t_s, hr_bpm)) / 60.0
    noise = _noise_sd(t_s, hr_bpm) * float(np.sqrt((1 + _NOISE_PHI) / (1 - _NOISE_PHI) * length_s)) / 60.0
    own_se = float(np.hypot(noise, _BRIDGE_SE_BPM * missing_s / 60.0))
    se = float(np.hypot(own_se, per_second * np.hypot(stop_se_s, LAG_SE_S)))
    reason = because("fieldtest.small_hole", missing=float(missing_s)) if missing_s else None
    return RecordedCount(PulseCount(start_s, length_s, beats, se), per_second, own_se, missing_s, reason)


def _none(reason: Reason, missing_s: int) -> RecordedCount:
    return RecordedCount(None, 0.0, 0.0, missing_s, reason)


def _missing(signal: CleanSignal, begin_s: float, end_s: float) -> int:
    """Return the number of whole seconds of a stretch without a trustworthy value."""
    inside = (signal.t_s >= begin_s) & (signal.t_s <= end_s)
    return int(np.count_nonzero(~np.isfinite(signal.hr_bpm[inside])))


def _noise_sd(t_s: FloatArray, hr_bpm: FloatArray) -> float:
    """Return the size of the noise around the course of the fall, bpm."""
    if t_s.size < 8:
        return USUAL_NOISE_SD_BPM
    middle = (t_s - t_s.mean()) / max(float(np.ptp(t_s)), 1.0)
    course = np.polynomial.polynomial.polyfit(middle, hr_bpm, 3)
    return noise_sd_bpm(hr_bpm - np.polynomial.polynomial.polyval(middle, course))


def _integral(t_s: FloatArray, hr_bpm: FloatArray, begin_s: float, end_s: float) -> float:
    """Return the integral of a line through the values, bpm s."""
    inside = (t_s > begin_s) & (t_s < end_s)
    times = np.concatenate(([begin_s], t_s[inside], [end_s]))
    return float(np.trapezoid(np.interp(times, t_s, hr_bpm), times))
