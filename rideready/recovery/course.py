"""The rider's course over the season: level, slope, a sudden shift if there is one, and what was allowed for."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import stdtrit

from rideready.model.session import FloatArray
from rideready.model.trend import Adjustment, LevelShift, TrendPoint
from rideready.recovery.mixed import MixedFit, SpreadPrior, fit_robust
from rideready.recovery.restricted import Rows
from rideready.recovery.shift import FoundShift, find_shift
from rideready.recovery.standardise import Comparable

# A one-minute drop of 25 to 35 bpm has a standard error of measurement of about 20 % (Bosquet, Gamelin,
# Berthoin 2008, Int J Sports Med 29:238-43), that is 5 to 7 bpm in all; 3 between and 4 within sessions make
# 5. The prior is a factor of e wide. A third of the day-to-day variance may swing slowly: an assumption.
SPREAD_PRIOR = SpreadPrior(between_sd=3.0, within_sd=4.0, log_sd=1.0, mean_slow_share=0.35)
# Of the 5 % that an interval may miss, this much is set aside for having searched for a shift first: 0.7 % of
# seasons without any change show one (simulated), and its column then takes part of the slope with it.
_SEARCH_COSTS = 0.0075
# Seasons of independent days show this much evidence of swings one time in seven. Where days have a memory of a
# week, about half of the false calls come with this caution or another (measured in tests/validation).
_SWINGS_SUSPECTED = 1.0
WITHOUT_SWINGS = replace(SPREAD_PRIOR, mean_slow_share=0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """A fitted course.

    Parameters
    ----------
    recoveries
        What it was fitted to.
    fit
        Coefficients of the columns of ``steady`` first, then of ``recoveries.terms``.
    steady
        Shape (m, q), columns per session: level, week (from the middle), shift; as many as were fitted.
    shift
        The sudden shift that was taken out.
    suspicion
        A shift that is not clear enough for that.
    """

    recoveries: Comparable
    fit: MixedFit
    steady: FloatArray
    shift: FoundShift | None = None
    suspicion: FoundShift | None = None

    @property
    def may_swing(self) -> bool:
        """Whether days close together may resemble each other without the fit having allowed for it."""
        return self.fit.spread.slow_share == 0 and self.fit.swing_evidence > _SWINGS_SUSPECTED

    @property
    def t95(self) -> float:
        """Half width of a 95 % interval in standard errors, the search for a shift paid for."""
        return float(stdtrit(self.fit.freedom, 1 - (0.05 - _SEARCH_COSTS) / 2))

    def interval(self, k: int) -> tuple[float, float, float]:
        """Coefficient ``k`` and the ends of its 95 % interval."""
        value, half = float(self.fit.coefficients[k]), self.t95 * float(np.sqrt(self.fit.covariance[k, k]))
        return value, value - half, value + half


def fit_level(recoveries: Comparable) -> Course:
    """Fit a level without a slope, to standardise recoveries that are too few for more.

    Parameters
    ----------
    recoveries
        At least one.
    """
    return _fit(recoveries, np.ones((recoveries.day.size, 1)))


def fit_course(recoveries: Comparable) -> Course:
    """Fit level and slope, look for a sudden shift, and if there is one fit all three.

    The search takes days as independent, or slow swings would hide every shift; the shift is then judged
    in a model that allows for swings beside it, so that swings are not sold as shifts either.

    Parameters
    ----------
    recoveries
        From at least four sessions on different days.
    """
    week = (recoveries.day - recoveries.day.mean()) / 7
    steady = np.column_stack([np.ones_like(week), week])
    course = _fit(recoveries, steady)
    swings = course.fit.spread.slow_share > 0
    blind = _fit(recoveries, steady, prior=WITHOUT_SWINGS) if swings else course
    found = find_shift(blind.fit, recoveries.day)
    if found is None:
        return course
    shifted = _fit(recoveries, np.column_stack([steady, found.column]))
    t = shifted.fit.coefficients[2] / np.sqrt(shifted.fit.covariance[2, 2])
    found = found.confirmed_by(float(t), shifted.fit.freedom)
    return replace(shifted, shift=found) if found.is_called else replace(course, suspicion=found)


def _fit(recoveries: Comparable, steady: FloatArray, *, prior: SpreadPrior = SPREAD_PRIOR) -> Course:
    free = steady.shape[1]
    rows = Rows(
        y=recoveries.hrr60_bpm,
        se=recoveries.se_bpm,
        session=recoveries.session,
        day=recoveries.day,
        design=np.column_stack([steady[recoveries.session], *(term.column for term in recoveries.terms)]),
        prior_mean=np.array([0.0] * free + [term.prior_mean_bpm for term in recoveries.terms]),
        prior_sd=np.array([np.inf] * free + [term.prior_sd_bpm for term in recoveries.terms]),
    )
    return Course(recoveries, fit_robust(rows, prior=prior), steady)


def points_of(course: Course) -> tuple[TrendPoint, ...]:
    """Give each session's standardised drop, and the course's level and band that day.

    Differences between recorders and a shift stay in the points and in the course, where they can be seen.

    Parameters
    ----------
    course
        With or without a slope; without one the points carry no fitted level.
    """
    recoveries, fit = course.recoveries, course.fit
    m, free = recoveries.day.size, course.steady.shape[1]
    drop = recoveries.hrr60_bpm.copy()
    seen = [course.steady]
    for term, bpm in zip(recoveries.terms, fit.coefficients[free:], strict=True):
        if not term.is_recorder:
            drop -= term.column * bpm
        first_row = np.searchsorted(recoveries.session, np.arange(m))
        seen.append((term.column[first_row] * term.is_recorder)[:, None])
    precision = fit.weights.rows / (fit.spread.within_sd**2 + recoveries.se_bpm**2)
    per_session = np.bincount(recoveries.session, precision)
    mean = np.bincount(recoveries.session, precision * drop) / per_session
    counts = np.bincount(recoveries.session)
    design = np.column_stack(seen)
    level = design @ fit.coefficients
    half = course.t95 * np.sqrt(np.einsum("ij,jk,ik->i", design, fit.covariance, design))
    has_slope = free > 1
    return tuple(
        TrendPoint(
            day=float(recoveries.day[i]),
            session_id=int(recoveries.session_ids[i]),
            hrr60_bpm=float(mean[i]),
            se_bpm=float(per_session[i] ** -0.5),
            n_recoveries=int(counts[i]),
            fitted_bpm=float(level[i]) if has_slope else None,
            fitted_low_bpm=float(level[i] - half[i]) if has_slope else None,
            fitted_high_bpm=float(level[i] + half[i]) if has_slope else None,
        )
        for i in range(m)
    )


def adjustments_of(course: Course) -> tuple[Adjustment, ...]:
    """Give what was allowed for, largest effect first.

    Parameters
    ----------
    course
        Any.
    """
    free = course.steady.shape[1]
    se = np.sqrt(course.fit.covariance.diagonal())
    found = [
        Adjustment(term.name, term.per, float(bpm), float(error), term.is_recorder)
        for term, bpm, error in zip(
            course.recoveries.terms, course.fit.coefficients[free:], se[free:], strict=True
        )
    ]
    return tuple(sorted(found, key=lambda adjustment: -abs(adjustment.bpm)))


def level_shift_of(course: Course) -> LevelShift | None:
    """Give the sudden shift with its size, None if there is none.

    Parameters
    ----------
    course
        From `fit_course`.
    """
    if course.shift is None:
        return None
    day = course.recoveries.day
    lasts = course.shift.last == day.size - 1
    size, low, high = course.interval(2)
    return LevelShift(
        from_day=float(day[course.shift.first]),
        until_day=None if lasts else float(day[course.shift.last]),
        bpm=size,
        low_bpm=low,
        high_bpm=high,
        p=course.shift.p,
    )
