"""How many more sessions would it take to see a gain."""

import numpy as np
from scipy.special import ndtri, stdtrit

from rideready.model.session import FloatArray

#: The gain worth seeing, bpm a week: 6 bpm in 12 weeks, what a season of preparation may bring. Our choice.
GAIN_BPM_PER_WEEK = 0.5
#: Seen in this share of seasons.
POWER = 0.8
_MOST = 150


def sessions_needed(
    information: FloatArray, weeks: FloatArray, *, session_variance: float, freedom: float
) -> int | None:
    """Say how many more sessions would show `GAIN_BPM_PER_WEEK` with probability `POWER`.

    The sessions to come are taken to follow at the pace and with the variance of those there are:
    the information of each on level and slope is added until the slope's standard error is small enough.

    Parameters
    ----------
    information
        Shape (2, 2), inverse covariance of level and slope (per week) so far.
    weeks
        Shape (m,), when the sessions so far were, in the weeks that the slope counts in; rising.
    session_variance
        Variance of one session's figure around the course, bpm squared.
    freedom
        Degrees of freedom so far.

    Returns
    -------
    int or None
        0 if the sessions there are suffice, None if 150 more would not.
    """
    pace = max(float(np.mean(np.diff(weeks))) if weeks.size > 1 else 0.0, 1 / 7)
    total = information.copy()
    for n_more in range(_MOST + 1):
        if n_more:
            row = np.array([1.0, weeks[-1] + n_more * pace])
            total = total + np.outer(row, row) / session_variance
        if np.linalg.matrix_rank(total) < 2 or freedom + n_more < 1:
            continue
        se = float(np.sqrt(np.linalg.inv(total)[1, 1]))
        if GAIN_BPM_PER_WEEK / se >= stdtrit(freedom + n_more, 0.975) + ndtri(POWER):
            return n_more
    return None
