"""How large the noise is: its prior, its likeliest value given residuals, and what integrating it costs."""

import numpy as np
import numpy.typing as npt

__all__ = [
    "FEW_SAMPLES",
    "NOISE_PRIOR_BPM",
    "PSEUDO",
    "ROUNDING_SD_BPM",
    "likeliest_variance",
    "log_noise_mass",
    "mean_through_likeliest",
    "quick_log",
]

Floats = npt.NDArray[np.float64]

#: Median and log-SD of the noise's standard deviation, bpm; whole-bpm rounding alone is 12 ** -0.5.
NOISE_PRIOR_BPM = (1.5, 0.6)
ROUNDING_SD_BPM = 12**-0.5
#: The prior of the noise counts like 1.4 samples: var(log s) = 1 / (2·1.4) = 0.6 squared.
PSEUDO = 0.5 / NOISE_PRIOR_BPM[1] ** 2
#: With fewer samples each curve's own noise decides how much the prior of its levels counts.
FEW_SAMPLES = 40


def quick_log(x: Floats) -> Floats:
    """Return the natural logarithm to single precision, which takes a fifth of the time of double.

    The error of 3e-7, times half the number of samples, is small against the 8 units that tell curves apart.
    """
    logs: Floats = np.log(x.astype(np.float32)).astype(np.float64)
    return logs


def likeliest_variance(rest: Floats, n: int) -> Floats:
    """Return the likeliest variance of the noise for each sum of squares, bpm squared; rounding is its floor.

    The prior counts as chi-squared here, which has the likeliest value in closed form.
    """
    return np.maximum((rest + PSEUDO * NOISE_PRIOR_BPM[0] ** 2) / counted_samples(n), ROUNDING_SD_BPM**2)


def log_noise_mass(rest: Floats, n: int) -> tuple[Floats, Floats]:
    """Return log mass of each sum of squares under the prior of the noise SD, and the likeliest variance.

    With few samples the variance takes one step from the chi-squared prior to the normal one. The mass is
    that at the likeliest SD; what its neighbours add is the same for all.
    """
    variance = likeliest_variance(rest, n)
    log_variance = quick_log(variance)
    off = log_variance - 2.0 * np.log(NOISE_PRIOR_BPM[0])
    if n < FEW_SAMPLES:
        ratio = rest / variance
        step = (ratio - (n - 2) - PSEUDO * off) / (ratio + PSEUDO)
        step = np.maximum(step, 2.0 * np.log(ROUNDING_SD_BPM) - log_variance)
        log_variance += step
        off += step
        variance *= (1.0 + 0.5 * step) / (1.0 - 0.5 * step)  # exp(step), for steps of some tenths
    off *= off
    off *= -0.25 * PSEUDO
    log_variance *= -0.5 * n
    log_variance += off
    log_variance -= 0.5 * rest / variance
    return log_variance, variance


def counted_samples(n: int) -> float:
    """Return how many samples tell of the noise: two are spent on the levels, and its prior counts like some."""
    return n - 2 + PSEUDO


def mean_through_likeliest(n: int, *, power: int) -> float:
    """Return the mean of a power of the noise SD through that of its likeliest value.

    Normal in the logarithm with its lean to the third order: around the mode the log posterior of log s has
    second derivative -2·counted and third 4·(n - 2).
    """
    counted = counted_samples(n)
    return float(np.exp(power * 0.5 * (n - 2) / counted**2 + power**2 * 0.25 / counted))
