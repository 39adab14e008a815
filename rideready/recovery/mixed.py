"""A robust linear mixed model: sessions as random effects, adjustments held by priors.

statsmodels has a mixed model (the tests use it as the reference), but none with a known measurement
error in each row, priors on coefficients or bounded influence, and it would be a heavy dependency.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from rideready.model.session import FloatArray
from rideready.recovery.restricted import (
    Rows,
    SessionPart,
    Solution,
    Spread,
    Weights,
    Within,
    solve,
    within_sessions,
)

# Huber 1964, Ann Math Stat 35:73-101: residuals beyond 2 standard deviations lose weight, which costs 1 % of
# efficiency under normal errors. Weights are divided by E[w r^2] = 0.9545, so that the spread keeps the
# scale of normal errors; the variance of a coefficient is then (E[psi^2] / E[psi']^2) / (0.9545 / E[w]) =
# 1.0103 / 0.9608 times what the weights alone would make it (at 2, by integration over the normal density).
_HUBER_K = 2.0
_HUBER_SCALE = 0.9545
_HUBER_VARIANCE = 1.0516
_HUBER_ROUNDS = 3

_LOG_LIMITS = (np.log(0.05), np.log(60.0))
#: Step of the difference quotients, in logarithms, and the decrease of minus twice the log likelihood that
#: is not worth another round; the deviations are then right to about 0.1 %.
_STEP, _GOOD_ENOUGH, _NEWTON_ROUNDS = 1e-3, 1e-5, 25
#: Shares of the between-session variance that may swing slowly.
_SLOW_SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class SpreadPrior:
    """What is assumed of the spread before the data speak.

    Parameters
    ----------
    between_sd, within_sd
        Medians of the standard deviation between and within sessions.
    log_sd
        Standard deviation of the logarithm of both; infinite for plain REML.
    mean_slow_share
        Mean of the exponential prior of the slow share; 0 to leave slow swings out.
    """

    between_sd: float = 1.0
    within_sd: float = 1.0
    log_sd: float = np.inf
    mean_slow_share: float = 0.0


PLAIN_REML = SpreadPrior()


@dataclass(frozen=True, slots=True, eq=False)
class MixedFit:
    """A fitted mixed model.

    Parameters
    ----------
    coefficients, covariance
        Shapes (p,) and (p, p).
    inflation
        What of the covariance is the correction for bounded influence, a factor; 1 at full weight.
    spread
        Standard deviations between and within sessions.
    freedom
        Degrees of freedom left between sessions: sessions less what the coefficients used up of them.
        A coefficient uses as much of one as the rows taught beyond its prior, and of that the share
        that lies between sessions.
    weights
        Of rows and sessions: equal for those in line with the rest, less for outliers.
    sessions
        The between-session part.
    minus_twice_log_likelihood
        Restricted, priors included, up to a constant.
    swing_evidence
        By how much slow swings would lower that, their prior aside; 0 if they were not considered.
    """

    coefficients: FloatArray
    covariance: FloatArray
    inflation: float
    spread: Spread
    freedom: float
    weights: Weights
    sessions: SessionPart
    minus_twice_log_likelihood: float
    swing_evidence: float = 0.0


def fit_reml(rows: Rows, *, prior: SpreadPrior = PLAIN_REML) -> MixedFit:
    """Fit by restricted maximum likelihood, every row at full weight.

    Parameters
    ----------
    rows
        At least one session more than coefficients without a prior.
    prior
        Of the spread; none by default.

    Returns
    -------
    MixedFit
        All weights 1.

    References
    ----------
    Patterson, Thompson 1971, Biometrika 58:545-54 (restricted likelihood). Penalised away from 0 in
    the manner of Chung et al. 2013, Psychometrika 78:685-709, where a prior is given.
    """
    weights = Weights(np.ones(rows.y.size), np.ones(rows.day.size))
    guess = max(float(np.std(rows.y)) / 2, 0.1)
    spread = _best_deviations(rows, weights, prior, Spread(guess, guess))
    if prior.mean_slow_share == 0:
        return _finish(rows, weights, prior, spread)
    candidates = [replace(spread, slow_share=share) for share in _SLOW_SHARES]
    scores = np.array([_score(rows, weights, prior, candidate) for candidate in candidates])
    without_prior = scores - [_slow_penalty(share, prior) for share in _SLOW_SHARES]
    chosen = candidates[int(np.argmin(scores))]
    if chosen != spread:
        spread = _best_deviations(rows, weights, prior, chosen)
    evidence = float(without_prior[0] - without_prior.min())
    return replace(_finish(rows, weights, prior, spread), swing_evidence=evidence)


def fit_robust(rows: Rows, *, prior: SpreadPrior = PLAIN_REML) -> MixedFit:
    """Fit with bounded influence of single recoveries and of single sessions.

    Reweighted by Huber's function at two standard deviations, within and between sessions; the covariance
    is corrected for what the weights take from the residuals.

    Parameters
    ----------
    rows, prior
        As for `fit_reml`.

    Returns
    -------
    MixedFit
        With the weights of the last round.

    References
    ----------
    Huber 1964, Ann Math Stat 35:73-101; in two strata as in Koller 2016, J Stat Softw 75(6).
    """
    fit = full = fit_reml(rows, prior=prior)
    for _ in range(_HUBER_ROUNDS):
        weights = _huber_weights(rows, fit)
        fit = _finish(rows, weights, prior, _best_deviations(rows, weights, prior, fit.spread))
    return replace(
        fit,
        covariance=fit.covariance * _HUBER_VARIANCE,
        inflation=_HUBER_VARIANCE,
        swing_evidence=full.swing_evidence,
    )


def _best_deviations(rows: Rows, weights: Weights, prior: SpreadPrior, start: Spread) -> Spread:
    """Maximise the restricted likelihood over both standard deviations, the slow share held.

    Newton's method on their logarithms by difference quotients. scipy's quasi-Newton needs more looks at the
    likelihood, and with several threads its linear algebra for two unknowns takes four times the rest.
    """

    @lru_cache(maxsize=4)  # the points of a difference quotient share it
    def within_at(within: float) -> Within:
        return within_sessions(rows, weights, within)

    def loss(logs: FloatArray) -> float:
        between, within = np.exp(logs).tolist()
        spread = Spread(between, within, start.slow_share)
        found = solve(rows, weights, spread, within=within_at(within))
        return found.minus_twice_log_likelihood + _penalty(spread, prior)

    at = np.log([start.between_sd, start.within_sd])
    here = loss(at)
    for _ in range(_NEWTON_ROUNDS):
        step, promised = _newton_step(loss, at, here)
        while promised > _GOOD_ENOUGH:
            there = np.clip(at + step, *_LOG_LIMITS)
            reached = loss(there)
            if reached <= here:
                break
            step, promised = step / 2, promised / 2
        if promised <= _GOOD_ENOUGH:
            break
        at, here = there, reached
    between, within = np.exp(at).tolist()
    return Spread(between, within, start.slow_share)


def _newton_step(
    loss: Callable[[FloatArray], float], at: FloatArray, here: float
) -> tuple[FloatArray, float]:
    """Return a step downhill and the decrease it promises."""
    right, up = np.eye(2) * _STEP
    east, west, north, south = (loss(at + d) for d in (right, -right, up, -up))
    gradient = np.array([east - west, north - south]) / (2 * _STEP)
    bend, lift = (east - 2 * here + west) / _STEP**2, (north - 2 * here + south) / _STEP**2
    twist = (loss(at + right + up) - east - north + here) / _STEP**2
    determinant = bend * lift - twist**2
    if bend > 0 and determinant > 0:
        step = -np.array([lift * gradient[0] - twist * gradient[1], bend * gradient[1] - twist * gradient[0]])
        step = step / determinant
    else:
        step = -gradient / max(float(np.abs(gradient).max()), 1e-12)
    step = step / max(1.0, float(np.abs(step).max()))
    return step, float(-gradient @ step) / 2


def _score(rows: Rows, weights: Weights, prior: SpreadPrior, spread: Spread) -> float:
    return solve(rows, weights, spread).minus_twice_log_likelihood + _penalty(spread, prior)


def _penalty(spread: Spread, prior: SpreadPrior) -> float:
    """Minus twice the log prior of the spread, up to a constant."""
    off = np.log([spread.between_sd / prior.between_sd, spread.within_sd / prior.within_sd])
    return float(np.sum((off / prior.log_sd) ** 2) + _slow_penalty(spread.slow_share, prior))


def _slow_penalty(slow_share: float, prior: SpreadPrior) -> float:
    return 2 * slow_share / prior.mean_slow_share if slow_share else 0.0


def _finish(rows: Rows, weights: Weights, prior: SpreadPrior, spread: Spread) -> MixedFit:
    solution = solve(rows, weights, spread)
    return MixedFit(
        solution.coefficients,
        solution.covariance,
        1.0,
        spread,
        _freedom(rows, solution),
        weights,
        solution.sessions,
        solution.minus_twice_log_likelihood + _penalty(spread, prior),
    )


def _freedom(rows: Rows, solution: Solution) -> float:
    learnt = 1 - solution.covariance.diagonal() / rows.prior_sd**2
    used = float(learnt @ solution.between_share)
    return max(rows.day.size - used, 1.0)


def _huber_weights(rows: Rows, fit: MixedFit) -> Weights:
    part, spread = fit.sessions, fit.spread
    full_variance = spread.between_sd**2 + part.error_variance * fit.weights.sessions
    # Best prediction of each session's own level, then what its rows leave of it.
    level = part.residual - part.error_variance * part.spread.weighed(part.residual)
    left = rows.y - rows.design @ fit.coefficients - level[rows.session]
    within = left / np.sqrt(spread.within_sd**2 + rows.se**2)
    return Weights(_huber(within), _huber(part.residual / np.sqrt(full_variance)))


def _huber(standardised: FloatArray) -> FloatArray:
    return np.minimum(1.0, _HUBER_K / np.maximum(np.abs(standardised), 1e-12)) / _HUBER_SCALE
