"""A cleaned signal: an even 1 s grid, each second with its reason."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray


class Flag(IntEnum):
    """Why a second carries no trustworthy heart rate; OK if it does."""

    OK = 0
    ABSENT = 1  # no value, or the format's own code for none
    IMPLAUSIBLE = 2  # outside what a heart can do
    SPIKE = 3  # a short jump away from its neighbours and back
    STUCK = 4  # the same value far too long
    DROPOUT = 5  # a sudden fall or rise no heart can make, and what lies behind it
    CADENCE_LOCK = 6  # follows the cadence instead of the heart
    GAP = 7  # nothing was recorded
    PAUSED = 8  # the recorder was stopped


@dataclass(frozen=True, slots=True, eq=False)
class CleanSignal:
    """Heart rate second by second, with what was left out and why.

    Parameters
    ----------
    t_s
        Shape (m,), 0, 1, 2, ... s from the start of the session.
    hr_bpm
        Shape (m,), bpm; NaN wherever ``flags`` is not OK.
    flags
        Shape (m,), values of `Flag`.
    power_w, cadence_rpm, speed_m_s
        Shape (m,), on the same grid; all NaN if not recorded.
    raw_t_s, raw_hr_bpm
        The samples that were kept, at their own times.
    spacing_s
        Median spacing of the heart-rate samples, s.
    longest_bridge_s
        The longest step between two kept samples that the grid was drawn across, s.
    """

    t_s: FloatArray
    hr_bpm: FloatArray
    flags: npt.NDArray[np.uint8]
    power_w: FloatArray
    cadence_rpm: FloatArray
    speed_m_s: FloatArray
    raw_t_s: FloatArray
    raw_hr_bpm: FloatArray
    spacing_s: float
    longest_bridge_s: float

    @property
    def seconds_by_flag(self) -> dict[Flag, int]:
        """How many seconds carry each flag; flags that do not occur are left out."""
        return {flag: n for flag in Flag if (n := int(np.count_nonzero(self.flags == flag)))}

    @property
    def clean_share(self) -> float:
        """Share of the recorded seconds (pauses aside) with a trustworthy heart rate, 0 to 1."""
        recorded = self.flags != Flag.PAUSED
        return float(np.mean(self.flags[recorded] == Flag.OK)) if recorded.any() else 0.0
