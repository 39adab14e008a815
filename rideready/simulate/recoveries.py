"""Single recoveries with known truth, for checking whatever measures them."""

from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray
from rideready.simulate.sensor import noise_with_memory

#: Lowest and highest value of an evenly drawn quantity; the same twice holds it fixed.
Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class RecoveryTruth:
    """What made one simulated recovery.

    Parameters
    ----------
    tau_s, delay_s, lag_s
        Time constant of the fall, time before it begins, first-order lag of the sensor, s.
    end_bpm, amplitude_bpm
        Level the fall runs to, and its height above that, bpm.
    noise_sd_bpm, noise_phi
        Standard deviation, bpm, and lag-one (1 s) correlation of the noise.
    window_s
        Length of the window, s.
    hrr60_bpm
        The heart's own drop 60 s after the stop, without lag or noise, bpm, whether or not the
        window is that long.
    """

    tau_s: float
    delay_s: float
    lag_s: float
    end_bpm: float
    amplitude_bpm: float
    noise_sd_bpm: float
    noise_phi: float
    window_s: float
    hrr60_bpm: float


@dataclass(frozen=True, slots=True, eq=False)
class SimulatedRecovery:
    """One window of samples and what made it.

    Parameters
    ----------
    t_s, hr_bpm
        Shape (n,), s from the end of the effort and whole bpm.
    truth
        What made it.
    """

    t_s: FloatArray
    hr_bpm: FloatArray
    truth: RecoveryTruth


def lagged_fall_bpm(
    t_s: FloatArray, *, end_bpm: float, amplitude_bpm: float, tau_s: float, delay_s: float, lag_s: float
) -> FloatArray:
    """Exponential fall after a delay, seen through a first-order lag, in closed form.

    ``end + A`` until the delay is over, then
    ``end + A * (tau * exp(-u/tau) - L * exp(-u/L)) / (tau - L)`` with ``u = t - delay``; for
    ``L = tau`` its limit ``end + A * (1 + u/tau) * exp(-u/tau)``.

    Parameters
    ----------
    t_s
        Any shape, s from the end of the effort.
    end_bpm, amplitude_bpm
        Level the fall runs to and its height above that, bpm.
    tau_s, delay_s, lag_s
        Time constant of the fall, above 0; delay and lag, 0 or more, s.

    Returns
    -------
    FloatArray
        The shape of ``t_s``, bpm.

    References
    ----------
    The step response of two first-order systems in series; any textbook of control.

    Examples
    --------
    >>> fall = lagged_fall_bpm(np.array([60.0]), end_bpm=90, amplitude_bpm=95, tau_s=50, delay_s=0, lag_s=0)
    >>> float(fall.round(3)[0])
    118.613
    """
    u = np.maximum(t_s - delay_s, 0.0)
    if lag_s <= 1e-9 * tau_s:
        shape = np.exp(-u / tau_s)
    elif abs(tau_s - lag_s) < 1e-6 * tau_s:
        shape = (1 + u / tau_s) * np.exp(-u / tau_s)
    else:
        shape = (tau_s * np.exp(-u / tau_s) - lag_s * np.exp(-u / lag_s)) / (tau_s - lag_s)
    return end_bpm + amplitude_bpm * shape


def simulated_recoveries(
    rng: np.random.Generator,
    n: int,
    *,
    tau_s: Span = (30, 110),
    delay_s: Span = (0, 15),
    lag_s: Span = (0, 8),
    end_bpm: Span = (75, 115),
    amplitude_bpm: Span = (40, 90),
    noise_sd_bpm: Span = (1.0, 2.5),
    noise_phi: Span = (0.5, 0.9),
    window_s: Span = (60, 180),
    spacing_s: int = 1,
    resolution_bpm: float = 1.0,
) -> list[SimulatedRecovery]:
    """Draw recoveries with everything known about them.

    Parameters
    ----------
    rng
        Source of every draw.
    n
        How many.
    tau_s, delay_s, lag_s, end_bpm, amplitude_bpm, noise_sd_bpm, noise_phi, window_s
        Limits between which each is drawn evenly, one draw a recovery. Windows are cut to whole s.
    spacing_s
        A sample every so many seconds.
    resolution_bpm
        Values are rounded to multiples of this, bpm; 0 for no rounding.

    Returns
    -------
    list of SimulatedRecovery
        Samples from 0 to the end of the window, both included.

    References
    ----------
    Default limits: the ranges of the project's own coverage study; time constants of 28 to 91 s by
    posture in Barak et al. 2011, J Sports Sci Med 10:369-375, and 60 to above 100 s after maximal
    work (from memory).
    """
    return [
        _one(
            rng,
            tau=_draw(rng, tau_s),
            delay=_draw(rng, delay_s),
            lag=_draw(rng, lag_s),
            end=_draw(rng, end_bpm),
            amplitude=_draw(rng, amplitude_bpm),
            sd=_draw(rng, noise_sd_bpm),
            phi=_draw(rng, noise_phi),
            window=int(_draw(rng, window_s)),
            spacing=spacing_s,
            resolution=resolution_bpm,
        )
        for _ in range(n)
    ]


def _draw(rng: np.random.Generator, span: Span) -> float:
    return float(rng.uniform(*span))


def _one(
    rng: np.random.Generator,
    *,
    tau: float,
    delay: float,
    lag: float,
    end: float,
    amplitude: float,
    sd: float,
    phi: float,
    window: int,
    spacing: int,
    resolution: float,
) -> SimulatedRecovery:
    seconds = np.arange(window + 1, dtype=float)
    curve = lagged_fall_bpm(
        seconds, end_bpm=end, amplitude_bpm=amplitude, tau_s=tau, delay_s=delay, lag_s=lag
    )
    hr = curve + noise_with_memory(rng, seconds.size, sd_bpm=sd, phi=phi)
    hr = np.rint(hr / resolution) * resolution if resolution else hr
    hrr60 = amplitude * (1 - float(np.exp(-max(60 - delay, 0.0) / tau)))
    truth = RecoveryTruth(tau, delay, lag, end, amplitude, sd, phi, float(window), hrr60)
    return SimulatedRecovery(seconds[::spacing], hr[::spacing], truth)
