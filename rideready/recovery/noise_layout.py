"""Noise that remembers, at any times: its inverse correlation matrix, and where that repeats itself."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

__all__ = ["NoiseLayout", "inverse_ar1"]

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class NoiseLayout:
    """Inverse correlation matrix of AR(1) noise, and where it repeats itself.

    Inside a stretch of whole seconds all rows of the matrix are alike, so that their part of a product is
    one number times a running sum; the other samples are multiplied one by one.

    Parameters
    ----------
    diagonal, beside
        Shapes (p, n) and (p, n - 1): main and neighbouring diagonal.
    log_det
        Shape (p,): logarithm of the determinant of the correlation matrix.
    inside
        Shape (n,): samples with neighbours 1 s before and after; none where no running sums are at hand.
    joined
        Shape (n - 1,): pairs of neighbours 1 s apart, where running sums are at hand.
    inner_diagonal, inner_beside
        Shape (p,): the elements of all rows inside.
    """

    diagonal: Floats
    beside: Floats
    log_det: Floats
    inside: Flags
    joined: Flags
    inner_diagonal: Floats
    inner_beside: Floats

    @classmethod
    def of(cls, t_s: Floats, phis: Floats, *, running: bool) -> "NoiseLayout":
        """Lay out the matrix for times, shape (n,), s; ``running`` if running sums are at hand for them."""
        diagonal, beside, log_det = inverse_ar1(t_s, phis)
        joined = (np.diff(t_s) == 1.0) & running
        inside = np.zeros(len(t_s), dtype=np.bool_)
        inside[1:-1] = joined[1:] & joined[:-1]
        free = 1.0 - phis**2
        return cls(diagonal, beside, log_det, inside, joined, (1.0 + phis**2) / free, -phis / free)

    def times(self, y: Floats) -> Floats:
        """R^-1 y for each phi, shape (p, n)."""
        z = self.diagonal * y
        z[:, :-1] += self.beside * y[1:]
        z[:, 1:] += self.beside * y[:-1]
        return z


def inverse_ar1(t_s: Floats, phis: Floats) -> tuple[Floats, Floats, Floats]:
    """Inverse correlation matrix of AR(1) noise at uneven times.

    Two samples dt apart correlate by ``phi ** dt``; the inverse of that matrix is tridiagonal because
    the process is Markov.

    Parameters
    ----------
    t_s
        Shape (n,), s, strictly increasing.
    phis
        Shape (p,), correlation 1 s apart, 0 to below 1.

    Returns
    -------
    diagonal, beside, log_det
        Main diagonal (p, n), neighbouring diagonal (p, n - 1), log determinant of the matrix (p,).

    References
    ----------
    The first-order autoregression at uneven times, a textbook result (no paper).
    """
    rho = phis[:, None] ** np.diff(t_s)
    free = 1.0 - rho**2
    diagonal = np.ones((len(phis), len(t_s)))
    diagonal[:, 1:] = 1.0 / free
    diagonal[:, :-1] += rho**2 / free
    return diagonal, -rho / free, np.log(free).sum(axis=1)
