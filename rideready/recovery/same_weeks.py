"""What else changed in the same weeks: load and resting pulse, beside which a verdict is to be read."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray
from rideready.recovery.typical_error import minimal_detectable_change, typical_error

#: Overreaching builds over about two weeks of more work than usual, so the last two are set against the
#: four before. Common practice, no source.
_RECENT_DAYS, _USUAL_DAYS = 14, 28
#: A load this much above the usual is called a jump. Common practice (weekly steps of about 10 %), no source.
LOAD_JUMP = 1.3
#: A smaller shift of the resting pulse than this is never called, bpm. Common practice, no source.
_LEAST_PULSE_SHIFT_BPM = 3.0
_LEAST_PULSES = 3


@dataclass(frozen=True, slots=True)
class SameWeeks:
    """What load and resting pulse did at the end of the trend; None where it cannot be said.

    Parameters
    ----------
    load_ratio
        Mean weekly load of the last two weeks over that of the four before.
    pulse_shift_bpm
        Resting pulse of the last two weeks less that of the four before, bpm (medians).
    pulse_detectable_bpm
        Shift that stands out of the pulse's own day-to-day variation, bpm.
    """

    load_ratio: float | None = None
    pulse_shift_bpm: float | None = None
    pulse_detectable_bpm: float | None = None

    @property
    def load_jumped(self) -> bool:
        """Whether the load rose enough to be named."""
        return self.load_ratio is not None and self.load_ratio >= LOAD_JUMP

    @property
    def pulse_shifted(self) -> bool:
        """Whether the resting pulse rose or fell enough to be named."""
        if self.pulse_shift_bpm is None or self.pulse_detectable_bpm is None:
            return False
        return abs(self.pulse_shift_bpm) >= self.pulse_detectable_bpm


def same_weeks(
    end: dt.date,
    *,
    weekly_load: Mapping[dt.date, float] | None = None,
    resting_pulse: Mapping[dt.date, float] | None = None,
) -> SameWeeks:
    """Compare the last two weeks' load and resting pulse with the four weeks before.

    Parameters
    ----------
    end
        Day of the trend's last session; what came later is not looked at.
    weekly_load
        First day of each week and its load, any unit; weeks without training must be there as 0.
    resting_pulse
        Day and resting pulse, bpm; any spacing.

    Returns
    -------
    SameWeeks
        None for what has too little to go by: two full earlier weeks of load, three pulses on each side.

    References
    ----------
    Why it matters: Bellenger et al. 2016, Sports Med 46:1461-86 (recovery speeds up in overreaching too).
    """
    pulse_shift, detectable = _pulse_shift(end, resting_pulse or {})
    return SameWeeks(_load_ratio(end, weekly_load or {}), pulse_shift, detectable)


def _load_ratio(end: dt.date, weekly_load: Mapping[dt.date, float]) -> float | None:
    # Counted from six days earlier, so that a week counts once it is over: the last one hardly ever is.
    recent, usual = _split(end - dt.timedelta(days=6), weekly_load)
    if recent.size < 1 or usual.size < 2 or usual.mean() <= 0:
        return None
    return float(recent.mean() / usual.mean())


def _pulse_shift(end: dt.date, resting_pulse: Mapping[dt.date, float]) -> tuple[float | None, float | None]:
    recent, usual = _split(end, resting_pulse)
    if min(recent.size, usual.size) < _LEAST_PULSES:
        return None, None
    own = typical_error(usual[:-1], usual[1:])
    # Medians of n values vary like means of 2 n / pi (normal errors).
    fewer = min(recent.size, usual.size) * 2 / np.pi
    detectable = minimal_detectable_change(own) / float(np.sqrt(max(fewer, 1.0)))
    shift = float(np.median(recent) - np.median(usual))
    return shift, max(detectable, _LEAST_PULSE_SHIFT_BPM)


def _split(end: dt.date, by_day: Mapping[dt.date, float]) -> tuple[FloatArray, FloatArray]:
    """Values of the last two weeks up to a day, and of the four weeks before, in order of time."""
    recent: list[float] = []
    usual: list[float] = []
    for day in sorted(by_day):
        age = (end - day).days
        if np.isfinite(by_day[day]) and 0 <= age < _RECENT_DAYS + _USUAL_DAYS:
            (recent if age < _RECENT_DAYS else usual).append(by_day[day])
    return np.array(recent), np.array(usual)
