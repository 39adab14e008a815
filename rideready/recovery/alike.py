"""How session means scatter: each by itself, and in part slowly, so that days close together resemble each other.

The slow part is an exponential memory, which is a Markov process: the inverse of its correlation matrix has three
diagonals. With it a season is weighed in time that grows with its sessions, and not with their cube.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.linalg.lapack import dpttrf, dpttrs

from rideready.model.session import FloatArray

#: How long a slow swing lasts, days: correlation falls as exp(-days / this). An assumption, no source:
#: a week is a training rhythm, and about a cold.
SLOW_DAYS = 7.0


@dataclass(frozen=True, slots=True, eq=False)
class DayToDay:
    """Covariance of the session means, ``diag(own) + S R S`` with ``R = exp(-days apart / SLOW_DAYS)``.

    Parameters
    ----------
    own
        Shape (m,), variance of each session by itself.
    slow_sd
        Shape (m,), the diagonal of ``S``; empty if nothing swings slowly.
    date, first
        Shape (m,), number of each session's time, 0 to k - 1, rising; sessions at the same time share one.
        Shape (k,), the first session at each.
    diagonal, beside
        Shapes (k,) and (k - 1,): the factors of ``R^-1 + (what the sessions tell about each time)``.
    log_det
        Logarithm of the determinant of the covariance.

    References
    ----------
    The inverse by Woodbury's identity, the determinant by its companion, both textbook results (no paper).
    """

    own: FloatArray
    slow_sd: FloatArray
    date: npt.NDArray[np.int64]
    first: npt.NDArray[np.int64]
    diagonal: FloatArray
    beside: FloatArray
    log_det: float

    @classmethod
    def of(cls, day: FloatArray, *, own: FloatArray, slow: FloatArray) -> "DayToDay":
        """Prepare a covariance.

        Parameters
        ----------
        day
            Shape (m,), rising.
        own, slow
            Shape (m,), variance by itself, above 0, and variance with a memory, 0 for all or above 0 for all.
        """
        log_own = float(np.log(own).sum())
        if not slow.any():
            nothing, none = np.empty(0), np.empty(0, dtype=np.int64)
            return cls(own, nothing, none, none, nothing, nothing, log_own)
        date = np.cumsum(np.diff(day, prepend=day[0]) > 0, dtype=np.int64)
        first = np.flatnonzero(np.diff(date, prepend=-1))
        apart = np.diff(day[first])
        unlike: FloatArray = -np.expm1(-2 * apart / SLOW_DAYS)
        kept: FloatArray = np.exp(-apart / SLOW_DAYS)
        diagonal: FloatArray = 1.0 + np.add.reduceat(slow / own, first)
        diagonal[1:] += kept**2 / unlike
        diagonal[:-1] += kept**2 / unlike
        if apart.size:
            diagonal, beside, _ = dpttrf(diagonal, -kept / unlike)
        else:
            beside = apart  # the routine wants at least one
        log_det = log_own + float(np.log(diagonal).sum() + np.log(unlike).sum())
        return cls(own, np.sqrt(slow), date, first, diagonal, beside, log_det)

    def weighed(self, columns: FloatArray) -> FloatArray:
        """Multiply columns by the inverse of the covariance.

        Parameters
        ----------
        columns
            Shape (m,) or (m, q).
        """
        whole = columns.reshape(self.own.size, -1)
        by_itself = whole / self.own[:, None]
        if self.slow_sd.size:
            per_date = np.add.reduceat(self.slow_sd[:, None] * by_itself, self.first)
            if self.beside.size:
                per_date, _ = dpttrs(self.diagonal, self.beside, per_date)
            else:
                per_date /= self.diagonal
            by_itself -= (self.slow_sd / self.own)[:, None] * per_date[self.date]
        weighed: FloatArray = by_itself.reshape(columns.shape)
        return weighed
