"""Drops, T30 and settle time of one recovery, each with its error."""

from dataclasses import dataclass

import numpy as np

from rideready.model.recovery import RecoveryFit
from rideready.model.session import FloatArray
from rideready.recovery.curves import recovery_curve

#: Half width of the line through the samples around a reading, s; narrow where the fall still bends.
EARLY_HALF_WIDTH_S, LATE_HALF_WIDTH_S, EARLY_UNTIL_S = 6.0, 8.0, 45.0
#: Noise assumed where no fit estimates it (whole-bpm chest strap at work; plausible, no source).
USUAL_NOISE_SD_BPM, USUAL_NOISE_PHI = 1.5, 0.8
#: Rounding to whole bpm adds this variance, bpm^2.
ROUNDING_VAR = 1.0 / 12.0
T30_WINDOW_S = 30.0
#: T30 and HRR30 need a sample in each stretch of this length, s.
DENSE_ENOUGH_S = 5.0
SETTLED_FOR_S = 5
LONGEST_EXTRAPOLATION_S = 900.0


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure with its standard error, in the same unit."""

    value: float
    se: float


@dataclass(frozen=True, slots=True)
class SettleTime:
    """When the pulse was down.

    Parameters
    ----------
    settle_s
        Time from the end of the effort, s; the time watched if the level was not reached.
    is_extrapolated
        Whether it lies beyond the window and comes from the fit.
    is_censored
        Whether the level was not reached and cannot be extrapolated.
    """

    settle_s: float
    is_extrapolated: bool
    is_censored: bool


def median_spacing(t_s: FloatArray) -> float | None:
    """Return the median step between samples, s; None for a single one."""
    if t_s.size < 2:
        return None
    steps = np.sort(np.diff(t_s))  # np.median takes several times as long over so few
    return float(0.5 * (steps[(steps.size - 1) // 2] + steps[steps.size // 2]))


def level_at(
    t_s: FloatArray,
    hr_bpm: FloatArray,
    at_s: float,
    *,
    spacing_s: float | None = None,
    fit: RecoveryFit | None = None,
) -> Reading | None:
    """Read the heart rate at one moment of a recovery.

    A straight line through the samples around the moment, read there: on a smooth fall the same as
    the mean over 5 s to about 0.2 bpm, but resting on more samples.

    Parameters
    ----------
    t_s, hr_bpm
        Shape (n,), clean samples, s from the end of the effort and bpm.
    at_s
        The moment, s.
    spacing_s
        Median step between the samples, if it is known already, s.
    fit
        Gives the noise; the usual noise is assumed without.

    Returns
    -------
    Reading or None
        bpm. None without a sample within 5 s (one spacing, if that is coarser) on both sides.
    """
    half_s = EARLY_HALF_WIDTH_S if at_s < EARLY_UNTIL_S else LATE_HALF_WIDTH_S
    spacing_s = spacing_s or median_spacing(t_s) or 1.0
    reach_s = max(DENSE_ENOUGH_S, spacing_s)
    near = np.abs(t_s - at_s) <= max(half_s, 1.5 * spacing_s)
    offset, values = t_s[near] - at_s, hr_bpm[near]
    is_framed = ((offset >= -reach_s) & (offset <= 0)).any() and ((offset <= reach_s) & (offset >= 0)).any()
    if not is_framed:
        return None
    if values.size < 3:
        value = float(np.interp(at_s, t_s, hr_bpm))
    else:
        value = float(_weights_of_line(offset) @ values)
    sd, phi = (fit.noise_sd_bpm, fit.noise_phi) if fit is not None else (USUAL_NOISE_SD_BPM, USUAL_NOISE_PHI)
    return Reading(value, float(np.sqrt(_variance_of_line(offset, sd, phi))))


def _variance_of_line(offset_s: FloatArray, sd_bpm: float, phi: float) -> float:
    """Return the variance at 0 of a line through samples whose noise has a memory, bpm^2."""
    weights = (
        _weights_of_line(offset_s) if offset_s.size >= 3 else 1.0 / offset_s.size * np.ones_like(offset_s)
    )
    covariance = sd_bpm**2 * phi ** np.abs(offset_s[:, None] - offset_s[None, :])
    return float(weights @ covariance @ weights + ROUNDING_VAR * weights @ weights)


def _weights_of_line(offset_s: FloatArray) -> FloatArray:
    """Return what each sample adds to the least squares line where the offset is 0."""
    mean = offset_s.mean()
    centred = offset_s - mean
    weights: FloatArray = 1.0 / offset_s.size - mean / (centred @ centred) * centred
    return weights


def drop_after(peak: Reading, at: Reading | None) -> Reading | None:
    """Return the drop from the end of the effort, bpm, with its standard error.

    Definition: heart rate at the end of the effort minus heart rate t s later (Cole et al. 1999,
    N Engl J Med 341:1351-7).
    """
    return None if at is None else Reading(peak.value - at.value, float(np.hypot(peak.se, at.se)))


def t30(t_s: FloatArray, hr_bpm: FloatArray) -> float | None:
    """Return T30: minus the reciprocal slope of ln(heart rate) over the first 30 s, s.

    Parameters
    ----------
    t_s, hr_bpm
        Shape (n,), clean samples, s from the end of the effort and bpm.

    Returns
    -------
    float or None
        None if a stretch of 5 s in the window has no sample, or if the pulse does not fall.

    References
    ----------
    Imai et al. 1994, J Am Coll Cardiol 24:1529-35 (window 0 to 30 s; from memory).
    """
    inside = (t_s >= 0) & (t_s <= T30_WINDOW_S)
    times, log_hr = t_s[inside], np.log(hr_bpm[inside])
    edges = np.concatenate(([0.0], times, [T30_WINDOW_S]))
    if times.size < 3 or np.diff(edges).max() > DENSE_ENOUGH_S:
        return None
    centred = times - times.mean()
    slope = float(centred @ log_hr / (centred @ centred))
    return -1.0 / slope if slope < 0 else None


def settle_time(
    t_s: FloatArray, hr_bpm: FloatArray, *, settle_bpm: float, window_s: float, fit: RecoveryFit | None
) -> SettleTime | None:
    """Return when the pulse stayed at or below a level for 5 s.

    Parameters
    ----------
    t_s, hr_bpm
        Shape (m,), 0, 1, 2, ... s from the end of the effort, and 5 s means, NaN where unknown.
    settle_bpm
        The level, bpm.
    window_s
        How long the fall can be watched, s.
    fit
        Used to extrapolate where the level was not reached in the window.

    Returns
    -------
    SettleTime or None
        None if the effort ended at or below the level.
    """
    watched = t_s <= window_s
    below = np.where(np.isfinite(hr_bpm), hr_bpm <= settle_bpm, False) & watched
    if below[:SETTLED_FOR_S].all():
        return None
    runs = np.convolve(below.astype(int), np.ones(SETTLED_FOR_S, dtype=int), mode="valid")
    settled = np.flatnonzero(runs == SETTLED_FOR_S)
    if settled.size:
        return SettleTime(float(t_s[settled[0]]), is_extrapolated=False, is_censored=False)
    beyond_s = None if fit is None or fit.misfit is not None else _crosses(fit, settle_bpm)
    if beyond_s is not None and beyond_s > window_s:
        return SettleTime(beyond_s, is_extrapolated=True, is_censored=False)
    return SettleTime(window_s, is_extrapolated=False, is_censored=True)


def _crosses(fit: RecoveryFit, settle_bpm: float) -> float | None:
    """Return when the fitted curve reaches a level, s; None if it stays clear of it by less than 3 bpm."""
    if fit.end_bpm > settle_bpm - 3.0:
        return None
    t_s = np.arange(0.0, LONGEST_EXTRAPOLATION_S)
    curve = recovery_curve(
        t_s,
        end_bpm=fit.end_bpm,
        amplitude_bpm=fit.amplitude_bpm,
        tau_s=fit.tau_s,
        delay_s=fit.delay_s,
        lag_s=fit.lag_s,
    )
    reached = np.flatnonzero(curve <= settle_bpm)
    return float(t_s[reached[0]]) if reached.size else None
