"""One heart: its reserve, how it rises, and how it falls."""

from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray
from rideready.simulate.programme import Posture

#: Resolution of a true curve, s.
STEP_S = 0.1

#: Time constant of the fall relative to sitting still: Barak et al. 2011, J Sports Sci Med 10:369-375,
#: athletes: seated 52.5 s, supine 32.0 s, supine with legs up 28.5 s. Standing is not in the paper; our assumption.
STILL_FACTOR = {
    Posture.SEATED: 1.0,
    Posture.LYING: 32.0 / 52.5,
    Posture.LYING_LEGS_UP: 28.5 / 52.5,
    Posture.STANDING: 1.05,
}
#: The same for pedalling on (74.1 s), applied to every way of moving on.
MOVING_FACTOR = 74.1 / 52.5


@dataclass(frozen=True, slots=True)
class HeartTraits:
    """One person's heart on one day.

    Parameters
    ----------
    resting_bpm, max_bpm
        Ends of the reserve, bpm.
    tau_rise_s
        Time constant of the rise, s.
    tau_fall_s
        Time constant of the fall, sitting still, s; other postures by `STILL_FACTOR`.
    tau_spread
        Relative standard deviation of the fall's time constant from one stop to the next.
    longest_delay_s
        Longest time before the fall begins after the hardest efforts, s. Each stop draws between
        0 and a limit that runs from a fifth of this at 60 % of the reserve to all of it at 90 %.
    slow_share, slow_tau_s
        Share and time constant (s) of a second, slow phase of the fall after maximal efforts; the
        share grows from 0 at 80 % of the reserve to this value at 100 %.
    drift_bpm, drift_tau_s
        Upward drift at rest level after endless work at full demand, bpm, and its time constant, s.
    """

    resting_bpm: float
    max_bpm: float
    tau_rise_s: float = 32.0
    tau_fall_s: float = 55.0
    tau_spread: float = 0.06
    longest_delay_s: float = 15.0
    slow_share: float = 0.35
    slow_tau_s: float = 240.0
    drift_bpm: float = 14.0
    drift_tau_s: float = 1200.0

    @property
    def reserve_bpm(self) -> float:
        """Maximum minus rest, bpm."""
        return self.max_bpm - self.resting_bpm

    def level_bpm(self, demand: float) -> float:
        """Heart rate at a fraction of the reserve, bpm (Karvonen 1957)."""
        return self.resting_bpm + demand * self.reserve_bpm

    def share_of_reserve(self, hr_bpm: float) -> float:
        """Fraction of the reserve at a heart rate."""
        return (hr_bpm - self.resting_bpm) / self.reserve_bpm


@dataclass(frozen=True, slots=True)
class Fall:
    """How one fall runs.

    Parameters
    ----------
    tau_s
        Time constant, s.
    delay_s
        Time before the fall begins, s.
    slow_share, slow_tau_s
        Share and time constant (s) of a second, slow phase; share 0 for a single exponential.
    """

    tau_s: float
    delay_s: float = 0.0
    slow_share: float = 0.0
    slow_tau_s: float = 240.0

    def hr_bpm(self, since_stop_s: FloatArray, *, start_bpm: float, end_bpm: float) -> FloatArray:
        """Heart rate after a stop.

        ``end + (start - end) * ((1 - s) * exp(-u / tau) + s * exp(-u / slow_tau))`` with
        ``u = max(t - delay, 0)``.

        Parameters
        ----------
        since_stop_s
            Any shape, s.
        start_bpm, end_bpm
            Level at the stop and level the fall runs to, bpm.

        Returns
        -------
        FloatArray
            The shape of ``since_stop_s``, bpm.

        References
        ----------
        Single phase: Pierpont, Stolpman, Gornick 2000, J Auton Nerv Syst 80:169-74. Two phases:
        Joseph, Kanthakumar, Tharion 2023, Indian J Physiol Pharmacol 67:125-130.

        Examples
        --------
        >>> float(Fall(50.0).hr_bpm(np.array([60.0]), start_bpm=185.0, end_bpm=90.0).round(3)[0])
        118.613
        """
        u = np.maximum(since_stop_s - self.delay_s, 0.0)
        fast = (1 - self.slow_share) * np.exp(-u / self.tau_s)
        slow = self.slow_share * np.exp(-u / self.slow_tau_s)
        return end_bpm + (start_bpm - end_bpm) * (fast + slow)
