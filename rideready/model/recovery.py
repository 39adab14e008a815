"""Efforts and the recovery after each, with uncertainty, grade and reasons."""

from dataclasses import dataclass
from enum import StrEnum

from rideready.model.reason import Reason


class Grade(StrEnum):
    """How far a recovery's figures can be trusted; criteria in ``rideready.recovery.grade``."""

    GOOD = "good"
    FAIR = "fair"
    ROUGH = "rough"
    NONE = "none"


class Mode(StrEnum):
    """What the rider did in the minute after the effort."""

    STILL = "still"
    MOVING = "moving"
    UNKNOWN = "unknown"


class Evidence(StrEnum):
    """Which channel told where the effort ended."""

    POWER = "power"
    SPEED = "speed"
    CADENCE = "cadence"
    HEART_RATE = "heart rate"


class CutBy(StrEnum):
    """What ended the window in which the fall could be watched."""

    NEXT_EFFORT = "next effort"
    GAP = "gap"
    END = "end of recording"
    LIMIT = "window limit"


@dataclass(frozen=True, slots=True)
class Effort:
    """A stretch of work ending in a peak.

    Parameters
    ----------
    start_s, end_s
        Begin of the rise and end of the effort, s from the start of the session.
    knee_s
        Where the pulse begins to fall: at ``end_s`` or up to some 20 s after it, s.
    peak_bpm, peak_se_bpm
        Heart rate at the end of the effort and its standard error, bpm.
    rise_bpm
        From the lowest heart rate before the rise to the peak, bpm.
    lag_s
        How far the sensor seems to run behind the heart, s.
    evidence
        Which channel told the end.
    window_s
        How long the fall can be watched before the next effort, a gap or the end, s.
    cut_by
        What ended that window.
    """

    start_s: float
    end_s: float
    knee_s: float
    peak_bpm: float
    peak_se_bpm: float
    rise_bpm: float
    lag_s: float
    evidence: Evidence
    window_s: float
    cut_by: CutBy


@dataclass(frozen=True, slots=True)
class RecoveryFit:
    """Delay, sensor lag and exponential fall, fitted to one recovery.

    Parameters
    ----------
    tau_s, tau_low_s, tau_high_s
        Time constant of the fall: posterior median and the ends of its 95 % interval, s.
    end_bpm
        Level the fall runs to, bpm.
    amplitude_bpm
        Height of the fall from the end of the effort to that level, bpm.
    delay_s
        Time before the fall begins, s.
    lag_s
        First-order smoothing of the sensor, s.
    noise_sd_bpm, noise_phi
        Standard deviation and lag-one (1 s) correlation of the residuals.
    window_s, n_samples
        Length and number of samples fitted.
    misfit
        Why the curve does not describe the fall; None if it does.
    """

    tau_s: float
    tau_low_s: float
    tau_high_s: float
    end_bpm: float
    amplitude_bpm: float
    delay_s: float
    lag_s: float
    noise_sd_bpm: float
    noise_phi: float
    window_s: float
    n_samples: int
    misfit: Reason | None = None


@dataclass(frozen=True, slots=True)
class Recovery:
    """The fall of the heart rate after one effort. None means not measurable; ``reasons`` say why.

    Parameters
    ----------
    end_of_effort_s
        Where the effort ended, s from the start of the session.
    peak_bpm, peak_reserve
        Heart rate there, and the same as a fraction of the rider's reserve (None if unknown).
    window_s
        How long the fall could be watched, s.
    clean_share
        Share of the first 60 s (or of the window, if shorter) with trustworthy values, 0 to 1.
    spacing_s
        Median spacing of the samples in the window, s.
    hrr30_bpm, hrr60_bpm, hrr120_bpm
        Drop 30, 60 and 120 s after the end of the effort, bpm, with standard errors ``*_se_bpm``.
    t30_s
        Time constant of ln(heart rate) over the first 30 s, s.
    settle_s
        Time until the pulse stays at or below the settle level for 5 s, s.
    settle_is_extrapolated
        Whether ``settle_s`` lies beyond the window and comes from the fit.
    settle_is_censored
        Whether the level was not reached; ``settle_s`` is then the time watched.
    tau_s, tau_low_s, tau_high_s
        Time constant and the ends of its 95 % interval, s.
    fit
        The whole fit; None if none was possible.
    mode
        Standing still or moving on.
    evidence
        Which channel told the end of the effort.
    cut_by
        What ended the window.
    order
        1 for the session's first recovery, 2 for the second, and so on.
    grade, reasons
        How far the figures can be trusted, and why not further.
    """

    end_of_effort_s: float
    peak_bpm: float
    peak_reserve: float | None
    window_s: float
    clean_share: float
    spacing_s: float
    hrr30_bpm: float | None
    hrr30_se_bpm: float | None
    hrr60_bpm: float | None
    hrr60_se_bpm: float | None
    hrr120_bpm: float | None
    hrr120_se_bpm: float | None
    t30_s: float | None
    settle_s: float | None
    settle_is_extrapolated: bool
    settle_is_censored: bool
    tau_s: float | None
    tau_low_s: float | None
    tau_high_s: float | None
    fit: RecoveryFit | None
    mode: Mode
    evidence: Evidence
    cut_by: CutBy
    order: int
    grade: Grade
    reasons: tuple[Reason, ...]
