"""Has the level changed suddenly: a step or a spell, looked for at every date and judged for having looked."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri, stdtr

from rideready.model.session import FloatArray
from rideready.recovery.mixed import MixedFit

#: Sessions a step needs on either side.
_STEP_SESSIONS = 4
#: A spell (illness, say) has this many sessions at least, as many beside it, and lasts this long at most.
_SPELL_SESSIONS, _SPELL_DAYS = 3, 28.0
#: A shift is taken out of the course when a season without one would show it this seldom.
CALLED = 0.01
#: One that is less clear than that, up to here, is named as possible beside a verdict and taken out of nothing.
SUSPECTED = 0.10


@dataclass(frozen=True, slots=True, eq=False)
class FoundShift:
    """Where the level shifted.

    Parameters
    ----------
    first, last
        First and last session at the other level; ``last`` is the season's last for a step.
    column
        Shape (m,), 1 at the other level, else 0.
    relatives
        Shape (k - 1,), correlation of each candidate's score with that of the one it is nearest to.
    p
        Chance that a season without any shift shows one as clear, at any date searched.
    """

    first: int
    last: int
    column: FloatArray
    relatives: FloatArray
    p: float

    @property
    def is_called(self) -> bool:
        """Whether it is clear enough to be taken out of the course."""
        return self.p <= CALLED

    @property
    def is_suspected(self) -> bool:
        """Whether it is worth naming."""
        return self.p <= SUSPECTED

    def confirmed_by(self, t: float, freedom: float) -> "FoundShift":
        """Judge the shift anew by its t value in a model that contains it, the search still paid for.

        Parameters
        ----------
        t, freedom
            Size over standard error, and degrees of freedom.
        """
        single = float(2 * stdtr(freedom, -abs(t)))
        return replace(self, p=_family_p(single, self.relatives))


@dataclass(frozen=True, slots=True, eq=False)
class _Candidates:
    bounds: npt.NDArray[np.int64]  # (k, 2), first and last session at the other level
    parent: npt.NDArray[np.int64]  # (k - 1,), for each but the first, a relative earlier in the list


def find_shift(fit: MixedFit, day: FloatArray) -> FoundShift | None:
    """Look for the clearest sudden shift beside a fitted steady course.

    Each candidate's column is added to the model by its score; the largest score is judged by the
    Hunter-Worsley bound, which counts how many were looked at and how alike they are. The bound is an
    upper one, so the false-alarm rate is at most nominal.

    Parameters
    ----------
    fit
        The steady course, with or without adjustments; its days independent of each other.
    day
        Shape (m,), day of each session, rising.

    Returns
    -------
    FoundShift or None
        None if there is not even a suspicion (`SUSPECTED`).

    Raises
    ------
    ValueError
        If days resemble each other in the fit: a search among them would see every shift as such a swing.

    References
    ----------
    Worsley 1982, Biometrika 69:297-302 (improved Bonferroni inequality for a change point).
    """
    candidates = _candidates(day)
    if candidates is None:
        return None
    part, bounds = fit.sessions, candidates.bounds
    if part.spread.slow_sd.size:
        raise ValueError("shifts are looked for among independent days")
    weight = 1 / part.spread.own
    # What the model explains of a candidate is not the candidate's own; half of the product, so that
    # products of two candidates are products of these columns.
    half = np.linalg.cholesky(fit.covariance / fit.inflation).T
    taken = half @ _between(weight[:, None] * part.design, bounds).T
    whole = _between(weight, bounds)
    variance = whole - np.square(taken).sum(axis=0)
    # One that the model all but contains (a change of recorder, say) has no variance left.
    sd = np.sqrt(np.where(variance > 1e-3 * whole, variance, np.inf))
    score = _between(weight * part.residual, bounds) / sd
    best = int(np.argmax(np.abs(score)))
    single = _single_p(float(score[best]), fit.freedom)
    if single > SUSPECTED:
        return None
    child, parent = np.arange(1, sd.size), candidates.parent
    both = np.column_stack(
        [
            np.maximum(bounds[child, 0], bounds[parent, 0]),
            np.minimum(bounds[child, 1], bounds[parent, 1]),
        ]
    )
    alike = _between(weight, both) - np.sum(taken[:, child] * taken[:, parent], axis=0)
    relatives = alike / (sd[child] * sd[parent])
    p = _family_p(single, relatives)
    if p > SUSPECTED:
        return None
    first, last = bounds[best].tolist()
    column = np.zeros(day.size)
    column[first : last + 1] = 1.0
    return FoundShift(first, last, column, relatives, p)


def _between(values: FloatArray, bounds: npt.NDArray[np.int64]) -> FloatArray:
    """Sum values, shape (m, ...), from a first to a last session, shape (k, 2); 0 where last comes before first."""
    so_far = np.concatenate([np.zeros((1, *values.shape[1:])), np.cumsum(values, axis=0)])
    sums: FloatArray = so_far[np.maximum(bounds[:, 1] + 1, bounds[:, 0])] - so_far[bounds[:, 0]]
    return sums


def _candidates(day: FloatArray) -> _Candidates | None:
    """Every step and spell, each with a close relative before it in the list."""
    m = day.size
    steps = np.arange(_STEP_SESSIONS, m - _STEP_SESSIONS + 1)
    if not steps.size:
        return None
    starts = np.arange(_SPELL_SESSIONS, m)
    shortest = starts + _SPELL_SESSIONS - 1
    longest = np.searchsorted(day, day[starts] + _SPELL_DAYS, side="right") - 1
    longest = np.minimum(longest, m - _SPELL_SESSIONS - 1)
    lengths = np.maximum(longest - shortest + 1, 0)
    place = steps.size + np.append(0, np.cumsum(lengths)[:-1])  # of the shortest spell from each start
    first = np.repeat(starts, lengths)
    last = np.arange(first.size) - np.repeat(place - steps.size - shortest, lengths)
    # Each is nearest to the one before it, but the first from a start to the one from a session earlier.
    parent = np.arange(steps.size - 1 + first.size)
    also_from_before = np.flatnonzero((lengths[1:] > 0) & (longest[:-1] >= shortest[1:])) + 1
    parent[place[also_from_before] - 1] = place[also_from_before - 1] + 1
    ends = np.column_stack([np.append(steps, first), np.append(np.full(steps.size, m - 1), last)])
    return _Candidates(ends, parent)


def _single_p(score: float, freedom: float) -> float:
    """Two-sided p-value of one candidate, its own effect taken out of the variance."""
    left = freedom - score**2
    if left <= 0 or freedom <= 1:
        return 0.0 if freedom > 1 else 1.0
    t = abs(score) * np.sqrt((freedom - 1) / left)
    return float(2 * stdtr(freedom - 1, -t))


def _family_p(single: float, relatives: FloatArray) -> float:
    """Hunter-Worsley bound: the sum over candidates less what each shares with its relative."""
    shared = _both_beyond(float(-ndtri(max(single, 1e-300) / 2)), relatives)
    return float(min(1.0, (relatives.size + 1) * single - shared.sum()))


def _both_beyond(c: float, correlation: FloatArray) -> FloatArray:
    """P(|Z1| > c, |Z2| > c) of standard normal pairs, by Plackett's integral over the correlation.

    References
    ----------
    Plackett 1954, Biometrika 41:351-60. scipy.stats has the bivariate normal, one pair at a time.
    """
    node, weight = np.polynomial.legendre.leggauss(40)
    top = np.arcsin(np.clip(np.abs(correlation), 0, 1 - 1e-12))
    angle = top[:, None] * (node + 1) / 2
    # Upper-right and upper-left corners; the other two mirror them.
    same = np.exp(-(c**2) / (1 + np.sin(angle))) @ weight * top / 2
    opposite = np.exp(-(c**2) / (1 - np.sin(angle))) @ weight * top / 2
    both: FloatArray = 4 * ndtr(-c) ** 2 + (same - opposite) / np.pi
    return both
