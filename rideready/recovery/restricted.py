"""Restricted likelihood of recoveries nested in sessions, solved for the coefficients at a given spread.

``y = X b + u[session] + e``: ``b`` with flat or normal priors, ``u`` between sessions (part of it swinging
slowly from day to day), ``e`` within a session with its own variance on top of each row's known error.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray

IntArray = npt.NDArray[np.int64]

#: How long a slow swing lasts, days: correlation falls as exp(-days / this). An assumption, no source:
#: a week is a training rhythm, and about a cold.
SLOW_DAYS = 7.0


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """What a mixed model is fitted to, one row a recovery.

    Parameters
    ----------
    y, se
        Shape (n,), the response and its known standard error (0 if there is none).
    session
        Shape (n,), number of each row's session: 0 to m - 1, each occurring.
    day
        Shape (m,), day of each session.
    design
        Shape (n, p), columns of the coefficients.
    prior_mean, prior_sd
        Shape (p,), normal prior of each coefficient; mean 0 and an infinite deviation for none.
    """

    y: FloatArray
    se: FloatArray
    session: IntArray
    day: FloatArray
    design: FloatArray
    prior_mean: FloatArray
    prior_sd: FloatArray


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations between and within sessions, and the share of the first that swings slowly.

    Parameters
    ----------
    between_sd, within_sd
        In the unit of the response, above 0.
    slow_share
        Share of the between-session variance with the memory `SLOW_DAYS`, 0 to 1.
    """

    between_sd: float
    within_sd: float
    slow_share: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Weights:
    """How much each row, shape (n,), and each session, shape (m,), counts; 1 in full."""

    rows: FloatArray
    sessions: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class SessionPart:
    """Session means under a model: what a column that is constant within sessions is tested on.

    Parameters
    ----------
    whitening
        Shape (m, m), lower triangular; makes the session means independent with variance 1.
    design, residual
        Shapes (m, p) and (m,), weighted means of the design and of what the coefficients leave.
    error_variance
        Shape (m,), the part of each mean's variance that more recoveries in the session would lessen.
    """

    whitening: FloatArray
    design: FloatArray
    residual: FloatArray
    error_variance: FloatArray

    def whiten(self, columns: FloatArray) -> FloatArray:
        """Bring columns given per session, shape (m, k), to independent units."""
        white: FloatArray = self.whitening @ columns
        return white


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Coefficients at a given spread.

    Parameters
    ----------
    coefficients, covariance
        Shapes (p,) and (p, p).
    between_share
        Shape (p,), share of what the rows tell about each column that lies between sessions.
    sessions
        The between-session part.
    minus_twice_log_likelihood
        Restricted, priors of the coefficients included, up to a constant.
    """

    coefficients: FloatArray
    covariance: FloatArray
    between_share: FloatArray
    sessions: SessionPart
    minus_twice_log_likelihood: float


def solve(rows: Rows, weights: Weights, spread: Spread) -> Solution:
    """Solve for the coefficients at a given spread.

    Session means and deviations from them are independent, so the likelihood falls into two parts; the
    priors join as further normal equations.

    Parameters
    ----------
    rows, weights, spread
        Shapes as in their classes.

    Returns
    -------
    Solution
        Generalised least squares, and how likely the rows are.

    References
    ----------
    Patterson, Thompson 1971, Biometrika 58:545-54 (restricted likelihood).
    """
    precision = weights.rows / (spread.within_sd**2 + rows.se**2)
    share = (rows.session == np.arange(rows.day.size)[:, None]) * precision
    per_session = share.sum(axis=1)
    table = np.column_stack([rows.design, rows.y])
    means = share @ table / per_session[:, None]
    deviations = (table - means[rows.session]) * np.sqrt(precision)[:, None]
    error_variance = 1 / per_session / weights.sessions
    whitening = _whitening(rows.day, weights.sessions, spread, error_variance)
    white = whitening @ means
    within, between = deviations.T @ deviations, white.T @ white
    held = rows.prior_sd**-2.0
    coefficients, covariance, log_det = _normal_equations(within + between, held, rows.prior_mean)
    to_residual = np.append(-coefficients, 1.0)
    left = np.square(white @ to_residual).sum() + np.square(deviations @ to_residual).sum()
    left += held @ np.square(coefficients - rows.prior_mean)
    log_det += np.log(per_session).sum() - np.log(precision).sum() - 2 * np.log(whitening.diagonal()).sum()
    part = SessionPart(whitening, means[:, :-1], means @ to_residual, error_variance)
    between_share = between.diagonal()[:-1] / (within + between).diagonal()[:-1]
    return Solution(coefficients, covariance, between_share, part, float(log_det + left))


def _normal_equations(
    gram: FloatArray, held: FloatArray, prior_mean: FloatArray
) -> tuple[FloatArray, FloatArray, float]:
    """Return coefficients, covariance and the log determinant of the normal matrix."""
    normal = gram[:-1, :-1] + np.diag(held)
    # Columns differ by orders of magnitude, so the matrix is scaled before it is factored.
    scale = 1 / np.sqrt(normal.diagonal())
    factor = np.linalg.cholesky(normal * np.outer(scale, scale))
    half = np.linalg.inv(factor) * scale
    covariance: FloatArray = half.T @ half
    coefficients = covariance @ (gram[:-1, -1] + held * prior_mean)
    return coefficients, covariance, float(2 * np.log(factor.diagonal() / scale).sum())


def _whitening(day: FloatArray, session_weights: FloatArray, spread: Spread, error: FloatArray) -> FloatArray:
    """Inverse of the lower Cholesky factor of the covariance of the session means."""
    own = spread.between_sd**2 * (1 - spread.slow_share) / session_weights + error
    if spread.slow_share == 0:
        return np.diag(own**-0.5)
    alike = np.exp(-np.abs(day[:, None] - day) / SLOW_DAYS)
    alike *= spread.between_sd**2 * spread.slow_share / np.sqrt(np.outer(session_weights, session_weights))
    whitening: FloatArray = np.linalg.inv(np.linalg.cholesky(alike + np.diag(own)))
    return whitening
