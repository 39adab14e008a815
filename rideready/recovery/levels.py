"""Where a fall starts and ends, as far as that is expected beforehand."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rideready.model.rider import Rider

__all__ = ["LevelPrior", "level_prior"]

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

    def on_height(self) -> tuple[Floats, Floats]:
        """Precision, shape (2, 2), and precision times mean, shape (2,), of (c, P - c) instead of (c, P)."""
        to_height = np.array([[1.0, 0.0], [1.0, 1.0]])
        return to_height.T @ self.precision @ to_height, to_height.T @ self.precision @ self.mean


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
