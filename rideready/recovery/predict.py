"""What a fit says, with its error, about the pulse and the drop at any time."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rideready.recovery.curves import lagged_unit_fall

__all__ = ["FallPosterior", "predict_drop", "predict_fall"]

Floats = npt.NDArray[np.float64]

#: Two-sided 95 % of a normal distribution.
Z95 = 1.959964


@dataclass(frozen=True, slots=True)
class FallPosterior:
    """A recovery's posterior: weighted curves, each with a Gaussian for its two levels.

    Parameters
    ----------
    tau_s, delay_s, lag_s
        Shape (k,), s: the curves.
    weight
        Shape (k,), sums to 1.
    end_bpm, peak_bpm
        Shape (k,), bpm: mean level the fall runs to, and level at the end of the effort.
    end_variance, peak_variance, covariance
        Shape (k,), bpm squared, of those two levels.
    """

    tau_s: Floats
    delay_s: Floats
    lag_s: Floats
    weight: Floats
    end_bpm: Floats
    peak_bpm: Floats
    end_variance: Floats
    peak_variance: Floats
    covariance: Floats


def predict_fall(posterior: FallPosterior, t_s: npt.ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Curve without noise at each time, with its 95 % band.

    The band is mean and 1.96 standard deviations of the posterior of the curve at each time by itself; it
    is not a band for single samples, which scatter further by the noise. Far beyond the window the true
    posterior is skewed towards higher pulses, which this band does not show.

    Parameters
    ----------
    posterior
        From `rideready.recovery.kinetics.fit_with_posterior`.
    t_s
        Shape (n,), s from the end of the effort; may lie beyond the window.

    Returns
    -------
    middle_bpm, low_bpm, high_bpm
        Shape (n,), bpm.

    References
    ----------
    Mean and variance of a mixture, textbook results (no paper).
    """
    t = np.atleast_1d(np.asarray(t_s, dtype=float))
    g = _falls(posterior, t)
    at_curve = posterior.end_bpm * (1.0 - g) + posterior.peak_bpm * g
    spread = (
        (1.0 - g) ** 2 * posterior.end_variance
        + g**2 * posterior.peak_variance
        + 2.0 * g * (1.0 - g) * posterior.covariance
    )
    middle, sd = _mix(posterior.weight, at_curve, spread)
    return middle, middle - Z95 * sd, middle + Z95 * sd


def predict_drop(posterior: FallPosterior, at_s: npt.ArrayLike) -> tuple[Floats, Floats]:
    """Drop from the end of the effort to each time, with its standard error.

    ``HR(0) - HR(t) = (P - c)·(1 - g(t))`` of the curve the sensor shows; a sensor with lag shows a smaller
    drop than the heart made, and nothing here undoes that.

    Parameters
    ----------
    posterior
        From `rideready.recovery.kinetics.fit_with_posterior`.
    at_s
        Shape (n,), s from the end of the effort, 0 or above.

    Returns
    -------
    drop_bpm, se_bpm
        Shape (n,), bpm.

    References
    ----------
    Mean and variance of a mixture, textbook results (no paper).
    """
    fallen = 1.0 - _falls(posterior, np.atleast_1d(np.asarray(at_s, dtype=float)))
    height = posterior.peak_bpm - posterior.end_bpm
    spread = posterior.peak_variance + posterior.end_variance - 2.0 * posterior.covariance
    return _mix(posterior.weight, height * fallen, spread * fallen**2)


def _falls(posterior: FallPosterior, t: Floats) -> Floats:
    return lagged_unit_fall(
        t[:, None], tau_s=posterior.tau_s, delay_s=posterior.delay_s, lag_s=posterior.lag_s
    )


def _mix(weight: Floats, mean: Floats, variance: Floats) -> tuple[Floats, Floats]:
    """Mean and standard deviation over curves (last axis)."""
    middle: Floats = mean @ weight
    spread: Floats = (variance + (mean - middle[:, None]) ** 2) @ weight
    return middle, np.sqrt(spread)
