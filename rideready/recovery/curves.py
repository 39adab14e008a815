"""How a pulse falls after an effort: the curves themselves, as pure functions.

Every curve takes times in s from the end of the effort, any shape, and returns an array of that shape.
A *unit fall* starts at 1 and runs to 0; the other curves carry bpm. None of them draws, fits or rounds.
"""

import numpy as np
import numpy.typing as npt

__all__ = ["lagged_unit_fall", "recovery_curve", "two_phase_curve", "unit_fall"]

Floats = npt.NDArray[np.float64]


def unit_fall(t_s: npt.ArrayLike, *, tau_s: npt.ArrayLike, delay_s: npt.ArrayLike = 0.0) -> Floats:
    """Share of an exponential fall that is still to come at each time.

    ``exp(-(t - d) / tau)`` for ``t >= d`` and 1 before. It misleads after maximal efforts, where the
    fall has two phases.

    Parameters
    ----------
    t_s
        Times from the end of the effort, s.
    tau_s
        Time constant, s, above 0. Broadcasts against ``t_s``.
    delay_s
        Time before the fall begins, s. Broadcasts against ``t_s``.

    Returns
    -------
    numpy.ndarray
        1 before the delay, falling to 0.

    Raises
    ------
    ValueError
        If a time constant is not above 0.

    References
    ----------
    Pierpont, Stolpman, Gornick 2000, J Auton Nerv Syst 80:169-74 (one exponential, and when it fails).

    Examples
    --------
    >>> float(unit_fall(55.0, tau_s=50.0, delay_s=5.0).round(6))
    0.367879
    """
    tau = _above_zero(tau_s)
    u = np.maximum(np.asarray(t_s, dtype=float) - delay_s, 0.0)
    left: Floats = np.exp(-u / tau)
    return left


def lagged_unit_fall(
    t_s: npt.ArrayLike, *, tau_s: npt.ArrayLike, delay_s: npt.ArrayLike = 0.0, lag_s: npt.ArrayLike = 0.0
) -> Floats:
    """Share of the fall that a sensor with first-order lag has still to show.

    The unit fall passed through ``L·y' = x - y``: with ``u = t - d``,
    ``(tau·exp(-u/tau) - L·exp(-u/L)) / (tau - L)``, and ``(1 + u/tau)·exp(-u/tau)`` where L equals tau.
    Written here as ``exp(-u/a)·(1 + (u/a)·(1 - exp(-x))/x)`` with a the larger of tau and L, b the
    smaller and ``x = u·(1/b - 1/a)``, which has no cancellation as L approaches tau. The result does
    not change when tau and L change places: a lag as long as the fall cannot be told from it.

    Parameters
    ----------
    t_s
        Times from the end of the effort, s.
    tau_s
        Time constant of the heart, s, above 0. Broadcasts against ``t_s``.
    delay_s
        Time before the fall begins, s. Broadcasts against ``t_s``.
    lag_s
        Time constant of the sensor, s, 0 or above. Broadcasts against ``t_s``.

    Returns
    -------
    numpy.ndarray
        1 before the delay, then an S falling to 0.

    Raises
    ------
    ValueError
        If a time constant is not above 0 or a lag is below 0.

    References
    ----------
    The response of two first-order systems in series, a textbook result (no paper); that optical
    sensors lag in this way is common practice, no source.

    Examples
    --------
    >>> float(lagged_unit_fall(60.0, tau_s=50.0, lag_s=8.0).round(6))  # (50·e^-1.2 - 8·e^-7.5) / 42
    0.358459
    """
    tau, lag = np.broadcast_arrays(_above_zero(tau_s), np.asarray(lag_s, dtype=float))
    if np.any(~(lag >= 0)):
        raise ValueError(f"lag_s must be 0 or above, got {lag.min()}")
    u = np.maximum(np.asarray(t_s, dtype=float) - delay_s, 0.0)
    slow = np.maximum(tau, lag)
    # A lag of 1 ms cannot be seen at any sampling rate in use and keeps 1/lag finite.
    fast = np.maximum(np.minimum(tau, lag), 1e-3)
    x = u * (1.0 / fast - 1.0 / slow)
    safe = np.where(x > 1e-12, x, 1.0)
    mean_decay = np.where(x > 1e-12, -np.expm1(-safe) / safe, 1.0)
    lagged = np.exp(-u / slow) * (1.0 + u / slow * mean_decay)
    shown: Floats = np.where(lag > 0, lagged, np.exp(-u / tau))
    return shown


def recovery_curve(
    t_s: npt.ArrayLike,
    *,
    end_bpm: float,
    amplitude_bpm: float,
    tau_s: float,
    delay_s: float = 0.0,
    lag_s: float = 0.0,
) -> Floats:
    """Heart rate of a recovery at each time.

    ``HR(t) = end + A·g(t)`` with g the lagged unit fall.

    Parameters
    ----------
    t_s
        Times from the end of the effort, s.
    end_bpm
        Level the fall runs to, bpm.
    amplitude_bpm
        Height of the fall, bpm.
    tau_s
        Time constant, s, above 0.
    delay_s
        Time before the fall begins, s.
    lag_s
        Time constant of the sensor, s, 0 or above.

    Returns
    -------
    numpy.ndarray
        Heart rate, bpm.

    Raises
    ------
    ValueError
        If the time constant is not above 0 or the lag is below 0.

    References
    ----------
    Bosquet, Gamelin, Berthoin 2008, Int J Sports Med 29:238-43 (three parameters, 5 min passive);
    Barak et al. 2011, J Sports Sci Med 10:369-75.

    Examples
    --------
    >>> float(recovery_curve(60.0, end_bpm=90.0, amplitude_bpm=95.0, tau_s=50.0).round(3))
    118.613
    """
    return end_bpm + amplitude_bpm * lagged_unit_fall(t_s, tau_s=tau_s, delay_s=delay_s, lag_s=lag_s)


def two_phase_curve(
    t_s: npt.ArrayLike,
    *,
    end_bpm: float,
    fast_bpm: float,
    fast_tau_s: float,
    slow_bpm: float,
    slow_tau_s: float,
    delay_s: float = 0.0,
    lag_s: float = 0.0,
) -> Floats:
    """Heart rate of a recovery with a fast and a slow phase at each time.

    ``HR(t) = end + A1·g(t; tau1) + A2·g(t; tau2)`` with one delay and one lag for both.

    Parameters
    ----------
    t_s
        Times from the end of the effort, s.
    end_bpm
        Level the fall runs to, bpm.
    fast_bpm, fast_tau_s
        Height (bpm) and time constant (s) of the fast phase.
    slow_bpm, slow_tau_s
        Height (bpm) and time constant (s) of the slow phase.
    delay_s
        Time before the fall begins, s.
    lag_s
        Time constant of the sensor, s, 0 or above.

    Returns
    -------
    numpy.ndarray
        Heart rate, bpm.

    Raises
    ------
    ValueError
        If a time constant is not above 0 or the lag is below 0.

    References
    ----------
    Joseph, Kanthakumar, Tharion 2023, Indian J Physiol Pharmacol 67:125-30 (two exponentials fit 5 min
    after maximal exercise better than one).

    Examples
    --------
    >>> float(
    ...     two_phase_curve(
    ...         0.0, end_bpm=80.0, fast_bpm=60.0, fast_tau_s=40.0, slow_bpm=35.0, slow_tau_s=200.0
    ...     )
    ... )
    175.0
    """
    fast = lagged_unit_fall(t_s, tau_s=fast_tau_s, delay_s=delay_s, lag_s=lag_s)
    slow = lagged_unit_fall(t_s, tau_s=slow_tau_s, delay_s=delay_s, lag_s=lag_s)
    return end_bpm + fast_bpm * fast + slow_bpm * slow


def _above_zero(tau_s: npt.ArrayLike) -> Floats:
    tau = np.asarray(tau_s, dtype=float)
    if np.any(~(tau > 0)):
        raise ValueError(f"tau_s must be above 0, got {tau.min()}")
    return tau
