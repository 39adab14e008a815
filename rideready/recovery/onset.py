"""Where a pulse begins to rise: the start of a stretch of work after standing still.

A level, then a rise with one time constant and a slow drift after it, fitted to noise with a memory; the
start is what remains after averaging over the rest, like the knee of a fall (`rideready.recovery.knee`).
"""

from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray

#: Time constants of the rise that are tried, s (plausible, no source).
TAUS_S = (6.0, 10.0, 16.0, 25.0, 40.0, 60.0)
#: Correlation of the noise from second to second that the whitening assumes, as for the knee.
NOISE_PHI = 0.85
#: What is looked at before the earliest start, and must be known of the quiet before a start, s.
QUIET_S, LEAST_QUIET_S = 60, 12
#: Smallest rise that counts as one, bpm.
LEAST_RISE_BPM = 15.0
#: A line may drift by about this much in 100 s beside the rise, bpm.
_DRIFT_SD_BPM = 5.0
_LEAST_PAIRS = 30
#: The start is first looked for every so many seconds, then at every second this far around the likeliest.
COARSE_STEP_S, FINE_REACH_S = 8, 16.0


@dataclass(frozen=True, slots=True)
class Onset:
    """Where a rise begins and its standard error, s on the grid's clock."""

    at_s: float
    se_s: float


def find_onset(hr_bpm: FloatArray, *, earliest_s: float, latest_s: float, until_s: float) -> Onset | None:
    """Fit the start of a rise.

    Parameters
    ----------
    hr_bpm
        Shape (m,), clean heart rate on the 1 s grid, NaN where unknown.
    earliest_s, latest_s
        Where the start is looked for, s.
    until_s
        End of the work, s; nothing after it is looked at.

    Returns
    -------
    Onset or None
        None if the pulse does not rise by 15 bpm, or less than 12 s of the quiet before were recorded.
    """
    first = max(int(earliest_s) - QUIET_S, 0)
    last = min(int(until_s), hr_bpm.size)
    starts = np.arange(max(int(earliest_s), first + LEAST_QUIET_S), int(latest_s) + 1).astype(float)
    y = hr_bpm[first:last]
    pairs = np.isfinite(y[1:]) & np.isfinite(y[:-1])
    if not starts.size or np.count_nonzero(pairs) < _LEAST_PAIRS:
        return None
    white = (y[1:] - NOISE_PHI * y[:-1])[pairs]
    rough = _log_weight(starts[::COARSE_STEP_S], first, white, pairs)
    if not np.isfinite(rough).any():
        return None
    likely = starts[COARSE_STEP_S * int(np.argmax(rough.max(axis=1)))]
    starts = starts[np.abs(starts - likely) <= FINE_REACH_S]
    log_weight = _log_weight(starts, first, white, pairs)
    weight = np.exp(log_weight - log_weight.max()).sum(axis=1)
    weight /= weight.sum()
    at_s = float(weight @ starts)
    quiet = hr_bpm[max(int(at_s) - LEAST_QUIET_S, 0) : int(at_s)]
    is_at_edge = weight[0] > 0.05 and starts[0] <= max(int(earliest_s), first + LEAST_QUIET_S)
    if is_at_edge or np.isfinite(quiet).sum() < LEAST_QUIET_S / 2:
        return None
    return Onset(at_s, float(np.sqrt(weight @ (starts - at_s) ** 2)))


def _log_weight(starts: FloatArray, first: int, white: FloatArray, pairs: np.ndarray) -> FloatArray:
    """Return the log posterior weight of every start and time constant, shape (k, n_taus)."""
    return np.stack([_weigh(tau, starts - first, white, pairs) for tau in TAUS_S], axis=1)


def _weigh(tau_s: float, starts: FloatArray, white: FloatArray, pairs: np.ndarray) -> FloatArray:
    """Return the log posterior weight of every start for one time constant, shape (k,)."""
    since = np.maximum(np.arange(pairs.size + 1.0)[None, :] - starts[:, None], 0.0)
    shapes = np.stack([np.ones_like(since), 1.0 - np.exp(-since / tau_s), since / 100.0], axis=2)
    basis = (shapes[:, 1:] - NOISE_PHI * shapes[:, :-1])[:, pairs]
    gram = basis.transpose(0, 2, 1) @ basis
    # Weak priors: the level is free, the drift small against noise of about 1 bpm.
    gram += np.diag([1e-9, 1e-6, (1 - NOISE_PHI**2) / _DRIFT_SD_BPM**2])
    moment = basis.transpose(0, 2, 1) @ white
    coefficients = np.linalg.solve(gram, moment[..., None])[..., 0]
    residual = np.maximum(white @ white - np.einsum("ki,ki->k", moment, coefficients), 0.0)
    log_weight = -0.5 * (white.size - 3) * np.log(residual + 0.05 * white.size)
    return np.where(coefficients[:, 1] >= LEAST_RISE_BPM, log_weight, -np.inf)
