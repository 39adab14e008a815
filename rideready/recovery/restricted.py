"""Restricted likelihood of recoveries nested in sessions, solved for the coefficients at a given spread.

``y = X b + u[session] + e``: ``b`` with flat or normal priors, ``u`` between sessions (part of it swinging
slowly from day to day), ``e`` within a session with its own variance on top of each row's known error.
"""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray
from rideready.recovery.alike import DayToDay

IntArray = npt.NDArray[np.int64]

#: A product of more multiplications than this is spread over threads by the library, which on a busy machine
#: was seen to take ten times as long.
_ONE_THREAD = 250_000


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """What a mixed model is fitted to, one row a recovery.

    Parameters
    ----------
    y, se
        Shape (n,), the response and its known standard error (0 if there is none).
    session
        Shape (n,), number of each row's session, rising: 0 to m - 1, each occurring.
    day
        Shape (m,), day of each session.
    design
        Shape (n, p), columns of the coefficients.
    prior_mean, prior_sd
        Shape (p,), normal prior of each coefficient; mean 0 and an infinite deviation for none.
    first, centre, off_centre
        Made from these. Shape (m,): the first row of each session. Shapes (m, p + 1) and (n, p + 1): the plain
        mean in each session of the design's columns and the response, and what each row differs from it.
    """

    y: FloatArray
    se: FloatArray
    session: IntArray
    day: FloatArray
    design: FloatArray
    prior_mean: FloatArray
    prior_sd: FloatArray
    first: IntArray = field(init=False)
    centre: FloatArray = field(init=False)
    off_centre: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        """Set apart what does not change from one look at the likelihood to the next."""
        table = np.column_stack([self.design, self.y])
        first = np.searchsorted(self.session, np.arange(self.day.size))
        counts = np.diff(first, append=self.session.size)
        centre = np.add.reduceat(table, first) / counts[:, None]
        object.__setattr__(self, "first", first)
        object.__setattr__(self, "centre", centre)
        object.__setattr__(self, "off_centre", table - centre[self.session])


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
    spread
        How the session means scatter, and which resemble each other.
    design, residual
        Shapes (m, p) and (m,), weighted means of the design and of what the coefficients leave.
    error_variance
        Shape (m,), the part of each mean's variance that more recoveries in the session would lessen.
    """

    spread: DayToDay
    design: FloatArray
    residual: FloatArray
    error_variance: FloatArray


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


@dataclass(frozen=True, slots=True, eq=False)
class Within:
    """What the rows of each session say about it and about each other, at a given spread within sessions.

    Parameters
    ----------
    per_session
        Shape (m,), precision of each session's mean, its own swings aside.
    means
        Shape (m, p + 1), weighted means of the design's columns and the response.
    gram
        Shape (p + 1, p + 1), products of the deviations from them.
    log_det
        Logarithm of the determinant of the rows' covariance that is left beside the means'.
    """

    per_session: FloatArray
    means: FloatArray
    gram: FloatArray
    log_det: float


def within_sessions(rows: Rows, weights: Weights, within_sd: float) -> Within:
    """Gather what does not depend on the spread between sessions.

    Parameters
    ----------
    rows, weights
        Shapes as in their classes.
    within_sd
        Standard deviation within sessions, above 0.
    """
    precision = weights.rows / (within_sd**2 + rows.se**2)
    per_session = np.add.reduceat(precision, rows.first)
    weighted = precision[:, None] * rows.off_centre
    off = np.add.reduceat(weighted, rows.first) / per_session[:, None]
    gram = _product(rows.off_centre, weighted) - (per_session[:, None] * off).T @ off
    log_det = float(np.log(per_session).sum() - np.log(precision).sum())
    return Within(per_session, rows.centre + off, gram, log_det)


def solve(rows: Rows, weights: Weights, spread: Spread, *, within: Within | None = None) -> Solution:
    """Solve for the coefficients at a given spread.

    Session means and deviations from them are independent, so the likelihood falls into two parts; the
    priors join as further normal equations.

    Parameters
    ----------
    rows, weights, spread
        Shapes as in their classes.
    within
        From `within_sessions` of the same, where it is at hand.

    Returns
    -------
    Solution
        Generalised least squares, and how likely the rows are.

    References
    ----------
    Patterson, Thompson 1971, Biometrika 58:545-54 (restricted likelihood).
    """
    part = within_sessions(rows, weights, spread.within_sd) if within is None else within
    error_variance = 1 / part.per_session / weights.sessions
    day_to_day = DayToDay.of(
        rows.day,
        own=spread.between_sd**2 * (1 - spread.slow_share) / weights.sessions + error_variance,
        slow=spread.between_sd**2 * spread.slow_share / weights.sessions,
    )
    between = part.means.T @ day_to_day.weighed(part.means)
    gram = part.gram + between
    held = rows.prior_sd**-2.0
    coefficients, covariance, log_det = _normal_equations(gram, held, rows.prior_mean)
    to_residual = np.append(-coefficients, 1.0)
    left = to_residual @ gram @ to_residual + held @ np.square(coefficients - rows.prior_mean)
    log_det += part.log_det + day_to_day.log_det
    sessions = SessionPart(day_to_day, part.means[:, :-1], part.means @ to_residual, error_variance)
    between_share = between.diagonal()[:-1] / gram.diagonal()[:-1]
    return Solution(coefficients, covariance, between_share, sessions, float(log_det + left))


def _product(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return ``first.T @ second``, shape (p, p), summed over blocks of rows, each on one thread."""
    n, p = first.shape
    block = max(_ONE_THREAD // p**2, 1)
    product = np.zeros((p, p))
    for start in range(0, n, block):
        product += first[start : start + block].T @ second[start : start + block]
    return product


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
