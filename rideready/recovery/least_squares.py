"""Ordinary least squares for curves whose levels enter linearly: the core of comparisons between curves.

Levels are solved for exactly at every step (variable projection), so only time constants and delays are
searched. ``scipy.optimize.least_squares`` does the search; it alone cannot use that the levels are linear,
and needs starting values for them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

__all__ = ["LeastSquaresFit", "fit_least_squares"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LeastSquaresFit:
    """Parameters with the smallest sum of squares.

    Parameters
    ----------
    shape, shape_se
        Shape (q,): the searched parameters and their standard errors.
    levels, levels_se
        Shape (k,): the linear parameters and their standard errors.
    sum_of_squares
        Of the residuals.
    """

    shape: Floats
    shape_se: Floats
    levels: Floats
    levels_se: Floats
    sum_of_squares: float


def fit_least_squares(
    columns: Callable[[Floats], Floats], y: npt.ArrayLike, *, start: npt.ArrayLike, tolerance: float = 1e-15
) -> LeastSquaresFit:
    """Fit ``y = columns(shape) @ levels`` by least squares.

    Standard errors are the ordinary ones: they take the noise as independent, which the noise of a pulse
    is not; see `rideready.recovery.kinetics` for intervals that hold.

    Parameters
    ----------
    columns
        Gives the design matrix, shape (n, k), for searched parameters of shape (q,).
    y
        Shape (n,), finite.
    start
        Shape (q,), where the search begins; none may be 0.
    tolerance
        Relative change of the sum of squares and of the parameters at which the search ends. The default
        searches on until nothing changes any more.

    Returns
    -------
    LeastSquaresFit
        The nearest minimum.

    Raises
    ------
    ValueError
        If there are not more values than parameters.

    References
    ----------
    Golub, Pereyra 1973, SIAM J Numer Anal 10:413-432 (variable projection; from memory).
    """
    from scipy.optimize import least_squares

    values, first = np.asarray(y, dtype=float), np.asarray(start, dtype=float)
    n_parameters = len(first) + columns(first).shape[1]
    if len(values) <= n_parameters:
        raise ValueError(f"{n_parameters} parameters need more than {len(values)} values")

    def levels_at(shape: Floats) -> Floats:
        q, r = np.linalg.qr(columns(shape))
        solved: Floats = np.linalg.solve(r, q.T @ values)
        return solved

    def residuals(scaled: Floats) -> Floats:
        shape = scaled * first
        left: Floats = columns(shape) @ levels_at(shape) - values
        return left

    # Two-sided slopes cost twice as much and are needed only where every digit is.
    slopes: Literal["2-point", "3-point"] = "3-point" if tolerance < 1e-8 else "2-point"
    found = least_squares(
        residuals, np.ones_like(first), jac=slopes, ftol=tolerance, xtol=tolerance, gtol=tolerance
    )
    shape = found.x * first
    levels = levels_at(shape)
    sum_of_squares = float(np.sum(residuals(found.x) ** 2))
    jacobian = np.hstack([_slopes(lambda s: columns(s) @ levels, shape), columns(shape)])
    spread = np.linalg.pinv(jacobian.T @ jacobian) * sum_of_squares / (len(values) - n_parameters)
    se = np.sqrt(np.maximum(np.diag(spread), 0.0))
    return LeastSquaresFit(shape, se[: len(shape)], levels, se[len(shape) :], sum_of_squares)


def _slopes(curve: Callable[[Floats], Floats], at: Floats) -> Floats:
    """Central differences of a curve in each parameter, shape (n, q)."""
    steps = np.diag(1e-6 * np.abs(at))
    return np.column_stack([(curve(at + step) - curve(at - step)) / (2.0 * step.sum()) for step in steps])
