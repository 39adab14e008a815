"""Join the room: efforts, fit, indices and grade to recoveries."""

import numpy as np

from rideready.intensity import reserve_fraction, target_bpm
from rideready.model.clean import CleanSignal
from rideready.model.reason import Reason, because
from rideready.model.recovery import Effort, Mode, Recovery, RecoveryFit
from rideready.model.rider import Rider
from rideready.model.session import FloatArray, Session
from rideready.recovery import grade as grading
from rideready.recovery.efforts import find_efforts
from rideready.recovery.indices import (
    DENSE_ENOUGH_S,
    Reading,
    SettleTime,
    drop_after,
    level_at,
    median_spacing,
    settle_time,
    t30,
)
from rideready.recovery.kinetics import fit_recoveries
from rideready.recovery.stops import mode_after, steady_until
from rideready.recovery.turns import smooth_5s
from rideready.signal.clean import clean

#: The level at the end of the effort is fitted on lines drawn between samples, which look like a sample a second;
#: its error grows with the spacing to this power. At 10 s, 1.96 errors of the drop held the truth in 68 % without
#: and in 95 % with it (simulated, 140 recoveries; measured, no source).
SE_BY_SPACING = 0.25


def find_recoveries(session: Session, rider: Rider) -> list[Recovery]:
    """Find and measure the recovery after every effort of a session.

    Parameters
    ----------
    session
        As read; raw samples.
    rider
        Maximum and resting heart rate, if known, place the efforts in the reserve and inform short fits.

    Returns
    -------
    list of Recovery
        In order of time; figures that cannot be had are None, with a reason.

    Examples
    --------
    A pulse of 170 that falls to 90 with a time constant of 50 s, after four minutes of work:

    >>> import numpy as np
    >>> t = np.arange(600.0)
    >>> work = 170 - 70 * np.exp(-t[:300] / 40)
    >>> rest = 90 + 80 * np.exp(-np.arange(300) / 50)
    >>> found = find_recoveries(Session.from_arrays(t, np.append(work, rest)), Rider(190, 60))
    >>> len(found), round(found[0].hrr60_bpm)
    (1, 56)
    """
    return measure(clean(session), rider)


def measure(signal: CleanSignal, rider: Rider) -> list[Recovery]:
    """Find and measure the recovery after every effort in a clean signal.

    Parameters
    ----------
    signal
        From `rideready.signal.clean.clean`.
    rider
        As for `find_recoveries`.

    Returns
    -------
    list of Recovery
        In order of time.
    """
    efforts = find_efforts(signal)
    windows = [_samples(signal, effort, until_s=effort.window_s) for effort in efforts]
    modes = [mode_after(signal, effort.end_s, window_s=effort.window_s) for effort in efforts]
    fits = fit_recoveries(
        [
            _samples(
                signal,
                effort,
                until_s=steady_until(signal, effort.end_s, window_s=effort.window_s, mode=mode),
            )
            for effort, mode in zip(efforts, modes, strict=True)
        ],
        rider=rider,
    )
    found = zip(efforts, windows, modes, fits, strict=True)
    return [
        _measure_one(signal, effort, window, fit, rider, mode=mode, order=order)
        for order, (effort, window, mode, fit) in enumerate(found, 1)
    ]


def _samples(signal: CleanSignal, effort: Effort, *, until_s: float) -> tuple[FloatArray, FloatArray]:
    """Return the kept raw samples of a recovery, times from the end of the effort."""
    t_s = signal.raw_t_s - effort.end_s
    inside = (t_s >= 0) & (t_s <= until_s)
    return t_s[inside], signal.raw_hr_bpm[inside]


def _measure_one(
    signal: CleanSignal,
    effort: Effort,
    window: tuple[FloatArray, FloatArray],
    fit: RecoveryFit | None,
    rider: Rider,
    *,
    mode: Mode,
    order: int,
) -> Recovery:
    t_s, hr_bpm = window
    spacing_s = median_spacing(t_s) or signal.spacing_s
    is_dense = spacing_s <= DENSE_ENOUGH_S
    peak = Reading(effort.peak_bpm, effort.peak_se_bpm * max(spacing_s, 1.0) ** SE_BY_SPACING)
    drops = {
        at_s: _drop(effort, peak, window, at_s, spacing_s=spacing_s, fit=fit) for at_s in (30.0, 60.0, 120.0)
    }
    if not is_dense:
        drops[30.0] = None
    settle_bpm = target_bpm(rider.settle_reserve, rider)
    settle = None if settle_bpm is None else _settle(signal, effort, settle_bpm=settle_bpm, fit=fit)
    evidence = grading.Evidence(
        peak_bpm=effort.peak_bpm,
        window_s=effort.window_s,
        cut_by=effort.cut_by,
        clean_share=_clean_share(signal, effort),
        spacing_s=spacing_s,
        mode=mode,
        channel=effort.evidence,
        hrr60_se_bpm=None if drops[60.0] is None else drops[60.0].se,
        fit=fit,
    )
    grade, reasons = grading.grade(evidence, rider)
    time_constant = t30(t_s, hr_bpm) if effort.window_s >= 30.0 else None
    missing = _what_is_missing(drops, time_constant, fit, has_level=settle_bpm is not None, settle=settle)
    return Recovery(
        end_of_effort_s=effort.end_s,
        peak_bpm=effort.peak_bpm,
        peak_reserve=_reserve(effort.peak_bpm, rider),
        window_s=effort.window_s,
        clean_share=evidence.clean_share,
        spacing_s=spacing_s,
        hrr30_bpm=_value(drops[30.0]),
        hrr30_se_bpm=_error(drops[30.0]),
        hrr60_bpm=_value(drops[60.0]),
        hrr60_se_bpm=_error(drops[60.0]),
        hrr120_bpm=_value(drops[120.0]),
        hrr120_se_bpm=_error(drops[120.0]),
        t30_s=time_constant,
        settle_s=None if settle is None else settle.settle_s,
        settle_is_extrapolated=settle is not None and settle.is_extrapolated,
        settle_is_censored=settle is not None and settle.is_censored,
        tau_s=None if fit is None else fit.tau_s,
        tau_low_s=None if fit is None else fit.tau_low_s,
        tau_high_s=None if fit is None else fit.tau_high_s,
        fit=fit,
        mode=evidence.mode,
        evidence=effort.evidence,
        cut_by=effort.cut_by,
        order=order,
        grade=grade,
        reasons=(*reasons, *(reason for reason in missing if reason not in reasons)),
    )


def _drop(
    effort: Effort,
    peak: Reading,
    window: tuple[FloatArray, FloatArray],
    at_s: float,
    *,
    spacing_s: float,
    fit: RecoveryFit | None,
) -> Reading | None:
    """Return the drop of the heart: a sensor that runs behind it is read that much later, as far as it can be."""
    if at_s > effort.window_s:
        return None
    late_s = min(effort.lag_s, effort.window_s - at_s)
    return drop_after(peak, level_at(*window, at_s + late_s, spacing_s=spacing_s, fit=fit))


def _value(reading: Reading | None) -> float | None:
    return None if reading is None else reading.value


def _error(reading: Reading | None) -> float | None:
    return None if reading is None else reading.se


def _reserve(peak_bpm: float, rider: Rider) -> float | None:
    fraction = reserve_fraction(peak_bpm, rider)
    return fraction if np.isfinite(fraction) else None


def _clean_share(signal: CleanSignal, effort: Effort) -> float:
    """Return the share of trustworthy seconds in the first minute, or in the window if it is shorter."""
    first = int(effort.end_s)
    seconds = signal.hr_bpm[first : first + int(min(effort.window_s, 60.0)) + 1]
    return float(np.isfinite(seconds).mean()) if seconds.size else 0.0


def _settle(
    signal: CleanSignal, effort: Effort, *, settle_bpm: float, fit: RecoveryFit | None
) -> SettleTime | None:
    first = int(effort.end_s)
    smooth = smooth_5s(signal.hr_bpm[first : first + int(effort.window_s) + 1])
    return settle_time(
        np.arange(float(smooth.size)), smooth, settle_bpm=settle_bpm, window_s=effort.window_s, fit=fit
    )


def _what_is_missing(
    drops: dict[float, Reading | None],
    time_constant: float | None,
    fit: RecoveryFit | None,
    *,
    has_level: bool,
    settle: SettleTime | None,
) -> list[Reason]:
    """Return a reason for each figure that could not be had."""
    missing = []
    if drops[60.0] is None:
        missing.append(because("recovery.no_hrr60"))
    if drops[30.0] is None:
        missing.append(because("recovery.no_hrr30"))
    if time_constant is None:
        missing.append(because("recovery.no_t30"))
    if fit is None:
        missing.append(because("recovery.no_tau"))
    if has_level and settle is None:
        missing.append(because("recovery.settled_at_once"))
    return missing
