"""Where a fall starts and ends: what is expected beforehand, and what a heart rate says given a curve."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rideready.model.rider import Rider

__all__ = ["LevelPrior", "Levels", "level_prior", "solve_levels"]

Floats = npt.NDArray[np.float64]

#: Heart rate at the end of an effort before it is seen: 150 +- 40 bpm, so wide that it hardly counts.
PEAK_PRIOR_BPM = (150.0, 40.0)
#: Resting pulse of a rider who has not told it, and the day-to-day spread of one who has, bpm
#: (common practice, no source).
RESTING_BPM, RESTING_SD_BPM, KNOWN_REST_SD_BPM = 65.0, 12.0, 5.0
#: A fall of some minutes ends above rest, by a share of the way from rest to the peak: 0.44 to 0.49 six
#: minutes after 181 bpm (Sci Rep 2021, doi 10.1038/s41598-021-83071-w, Table 2), about 0.3 after 147 bpm
#: (Barak et al. 2011, with rest taken as 60). Above standing pulse the share is smaller.
SHARE_ABOVE_REST, SHARE_ABOVE_STANDING, SHARE_SD = 0.35, 0.28, 0.15
#: How far the peak lies above rest where that only sets the spread of the prior, bpm.
TYPICAL_RISE_BPM = 110.0


@dataclass(frozen=True, slots=True)
class LevelPrior:
    """Prior of the end level: ``c - share·P`` is ``offset_bpm`` give or take ``sd_bpm``.

    Parameters
    ----------
    share
        How much of each bpm of peak the end level keeps, 0 to 1.
    offset_bpm, sd_bpm
        Centre and standard deviation, bpm.
    precision, mean
        Shapes (2, 2) and (2,): inverse covariance and mean of (c, P).
    """

    share: float
    offset_bpm: float
    sd_bpm: float
    precision: Floats
    mean: Floats

    @classmethod
    def tied(cls, *, share: float, offset_bpm: float, sd_bpm: float) -> "LevelPrior":
        """Prior whose end level is tied to the peak by ``share``, with the peak itself nearly free."""
        tie = np.array([1.0, -share])
        peak, peak_sd = PEAK_PRIOR_BPM
        precision = np.outer(tie, tie) / sd_bpm**2 + np.diag([0.0, peak_sd**-2])
        return cls(share, offset_bpm, sd_bpm, precision, np.array([offset_bpm + share * peak, peak]))


def level_prior(rider: Rider | None) -> LevelPrior:
    """Where a rider's falls may be expected to end, from standing pulse, else resting pulse, else neither.

    Parameters
    ----------
    rider
        Whose pulse it is; None if unknown.

    Returns
    -------
    LevelPrior
        Wide (17 to 19 bpm): it matters only where the window shows no end of the fall.

    References
    ----------
    See ``SHARE_ABOVE_REST`` in this file.
    """
    standing = rider.standing_hr_bpm if rider else None
    resting = rider.resting_hr_bpm if rider else None
    if standing is not None:
        base, base_sd, share = standing, KNOWN_REST_SD_BPM, SHARE_ABOVE_STANDING
    elif resting is not None:
        base, base_sd, share = resting, KNOWN_REST_SD_BPM, SHARE_ABOVE_REST
    else:
        base, base_sd, share = RESTING_BPM, RESTING_SD_BPM, SHARE_ABOVE_REST
    spread = float(np.hypot((1 - share) * base_sd, SHARE_SD * TYPICAL_RISE_BPM))
    return LevelPrior.tied(share=share, offset_bpm=(1 - share) * base, sd_bpm=spread)


@dataclass(frozen=True, slots=True)
class Levels:
    """Gaussian posterior of (c, P) given a curve and the noise.

    Parameters
    ----------
    end, peak
        Means of c and P, bpm.
    end_variance, peak_variance, covariance
        Their spread, bpm squared.
    log_evidence
        Logarithm of the probability of the heart rate with both integrated out, but for terms that no
        curve changes.
    """

    end: Floats
    peak: Floats
    end_variance: Floats
    peak_variance: Floats
    covariance: Floats
    log_evidence: Floats


def solve_levels(
    one_one: Floats, one_fall: Floats, fall_fall: Floats, h: tuple[Floats, Floats], ridge: Floats
) -> Levels:
    """Solve the 2 by 2 system for columns ``1 - g`` and ``g``.

    Parameters
    ----------
    one_one, one_fall, fall_fall
        Products of ones and a curve g under the inverse covariance of the noise; shapes broadcast together.
    h
        Products of the two columns with the heart rate, plus precision times mean of the prior.
    ridge
        Shape (2, 2), precision of the prior.

    Returns
    -------
    Levels
        Of the broadcast shape.

    References
    ----------
    Gaussian linear model with conjugate prior, a textbook result (no paper).
    """
    q_cc = one_one - 2.0 * one_fall + fall_fall + ridge[0, 0]
    q_cp = one_fall - fall_fall + ridge[0, 1]
    q_pp = fall_fall + ridge[1, 1]
    det = q_cc * q_pp - q_cp * q_cp
    v_c, v_p, v_cp = q_pp / det, q_cc / det, -q_cp / det
    end, peak = v_c * h[0] + v_cp * h[1], v_cp * h[0] + v_p * h[1]
    evidence = 0.5 * (h[0] * end + h[1] * peak - np.log(det))
    return Levels(end, peak, v_c, v_p, v_cp, evidence)
