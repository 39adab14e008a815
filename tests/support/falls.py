"""Simulated recoveries with known truth, for tests of the fit.

The sensor is simulated by filtering a finely sampled fall, not by the formula the fit uses, so that an
error in that formula would show.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.signal import lfilter

Floats = npt.NDArray[np.float64]

#: Step of the simulated sensor, s.
FINE_S = 0.05


@dataclass(frozen=True, slots=True)
class SimulatedFall:
    """One recovery: what was recorded (``t_s``, ``hr_bpm``) and what was true."""

    t_s: Floats
    hr_bpm: Floats
    shown_bpm: Floats
    tau_s: float
    delay_s: float
    lag_s: float
    noise_sd_bpm: float
    noise_phi: float

    def drop_bpm(self, at_s: float) -> float:
        """Give the drop of the curve the sensor shows, without noise."""
        return float(np.interp(0.0, self.t_s, self.shown_bpm) - np.interp(at_s, self.t_s, self.shown_bpm))


@dataclass(frozen=True, slots=True)
class Ranges:
    """Uniform ranges a recovery's truth is drawn from; the defaults are those of issue 3."""

    tau_s: tuple[float, float] = (30.0, 110.0)
    delay_s: tuple[float, float] = (0.0, 15.0)
    lag_s: tuple[float, float] = (0.0, 8.0)
    end_bpm: tuple[float, float] = (85.0, 120.0)
    amplitude_bpm: tuple[float, float] = (40.0, 90.0)
    noise_sd_bpm: tuple[float, float] = (1.0, 2.5)
    noise_phi: tuple[float, float] = (0.5, 0.9)


def shown_fall(t_s: Floats, *, tau_s: float, delay_s: float, lag_s: float) -> Floats:
    """Filter a unit fall by a first-order sensor in steps of 0.05 s."""
    fine = np.arange(0.0, t_s[-1] + 2 * FINE_S, FINE_S)
    heart = np.exp(-np.maximum(fine - delay_s, 0.0) / tau_s)
    if lag_s <= 0:
        return np.interp(t_s, fine, heart)
    # Over one step the heart is taken as linear: mean of its two ends.
    driven = np.concatenate([[1.0], (heart[1:] + heart[:-1]) / 2])
    keep = np.exp(-FINE_S / lag_s)
    shown, _ = lfilter([1.0 - keep], [1.0, -keep], driven, zi=[keep])
    return np.interp(t_s, fine, shown)


def ar1_noise(rng: np.random.Generator, t_s: Floats, *, sd_bpm: float, phi: float) -> Floats:
    """Draw a first-order autoregression at any spacing: neighbours dt apart correlate by ``phi ** dt``."""
    rho = phi ** np.diff(t_s)
    fresh = rng.normal(size=len(t_s))
    noise = np.empty(len(t_s))
    noise[0] = fresh[0]
    for i, r in enumerate(rho):
        noise[i + 1] = r * noise[i] + np.sqrt(1.0 - r * r) * fresh[i + 1]
    return sd_bpm * noise


def simulate_fall(
    rng: np.random.Generator, t_s: Floats, *, ranges: Ranges = Ranges(), slow_share: float = 0.0
) -> SimulatedFall:
    """Draw one recovery, recorded in whole bpm.

    Parameters
    ----------
    rng
        Source of chance.
    t_s
        Sampling times, s from the end of the effort.
    ranges
        What its truth is drawn from.
    slow_share
        Share of the fall that has a second time constant, 4 to 8 times tau.
    """
    tau, delay, lag, end, height, sd, phi = (
        rng.uniform(*r)
        for r in (
            ranges.tau_s,
            ranges.delay_s,
            ranges.lag_s,
            ranges.end_bpm,
            ranges.amplitude_bpm,
            ranges.noise_sd_bpm,
            ranges.noise_phi,
        )
    )
    fall = shown_fall(t_s, tau_s=tau, delay_s=delay, lag_s=lag)
    if slow_share > 0:
        slow = shown_fall(t_s, tau_s=tau * rng.uniform(4, 8), delay_s=delay, lag_s=lag)
        fall = (1.0 - slow_share) * fall + slow_share * slow
    shown = end + height * fall
    hr = np.round(shown + ar1_noise(rng, t_s, sd_bpm=sd, phi=phi))
    return SimulatedFall(t_s, hr, shown, tau, delay, lag, sd, phi)
