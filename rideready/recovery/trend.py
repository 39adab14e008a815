"""Is recovery getting faster over the season, and is the change more than noise."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from rideready.model.rider import Rider
from rideready.model.trend import RankTrend, Trend, TrendPoint, Verdict
from rideready.recovery.course import (
    SPREAD_PRIOR,
    Course,
    adjustments_of,
    fit_course,
    fit_level,
    level_shift_of,
    points_of,
)
from rideready.recovery.outlook import sessions_needed
from rideready.recovery.rank_trend import kendall, theil_sen
from rideready.recovery.same_weeks import same_weeks
from rideready.recovery.standardise import Comparable, standardise
from rideready.recovery.trend_reasons import LEAST_SESSIONS, LEAST_WEEKS, Findings, reasons_of
from rideready.recovery.typical_error import typical_error

if TYPE_CHECKING:
    import pandas as pd

#: An interval that reaches further than this to either side of its middle says too little to be called
#: "no clear change": twice the gain a season may bring, bpm per week. Our choice.
WIDEST_BPM_PER_WEEK = 1.0


def recovery_trend(
    table: "pd.DataFrame",
    rider: Rider,
    *,
    weekly_load: Mapping[dt.date, float] | None = None,
    resting_pulse: Mapping[dt.date, float] | None = None,
) -> Trend:
    """Say whether the one-minute drop grows over a season, and by how much.

    A robust mixed model: ``drop = level + slope * week + adjustments + session + rest``. Sessions are random
    effects, so recoveries of one session do not count as independent; each recovery's own standard
    error is part of its variance. The adjustments (start, movement, posture, kind, order, heat,
    altitude, recorder) are held by priors, see `rideready.recovery.standardise`. A sudden shift is looked
    for and kept apart from the slope. "Faster" and "slower" are said when the 95 % interval of the slope
    leaves out 0.

    It misleads where the day-to-day state swings for weeks: only part of that can be told from a trend.
    A straight line stands for any course, so a gain that comes early and stops is spread over the season.

    Parameters
    ----------
    table
        One row a recovery: session_id (int), start_utc (datetime64, UTC), device, kind, posture, mode, order,
        peak_bpm, peak_reserve, hrr60_bpm, hrr60_se_bpm, grade, altitude_m, temperature_c (NaN if unknown).
    rider
        Rest and maximum, for the standard start; a medicine, for the caution.
    weekly_load
        First day of each week and its load, any unit, weeks of rest as 0.
    resting_pulse
        Day and resting pulse, bpm.

    Returns
    -------
    Trend
        Verdict, interval and reasons; figures are None where too few sessions give them.

    Raises
    ------
    ValueError
        If the table lacks a column.

    References
    ----------
    Why drops and not time constants: Mongin et al. 2021, Res Sports Med 31:157-170. Why load and resting
    pulse stand beside: Bellenger et al. 2016, Sports Med 46:1461-86. Typical error: Hopkins 2000, Sports
    Med 30:1-15.
    """
    recoveries = standardise(table, rider)
    course = _course(recoveries)
    if course is None or course.steady.shape[1] == 1:
        trend = _too_few(recoveries, course)
    else:
        trend = _fitted(recoveries, course)
    beside = None
    if recoveries.day.size:
        end = recoveries.date_of(float(recoveries.day[-1]))
        beside = same_weeks(end, weekly_load=weekly_load, resting_pulse=resting_pulse)
    return replace(trend, reasons=reasons_of(Findings(trend, recoveries, beside, rider, course)))


def _course(recoveries: Comparable) -> Course | None:
    if not recoveries.day.size:
        return None
    enough = recoveries.day.size >= LEAST_SESSIONS and recoveries.weeks >= LEAST_WEEKS
    return fit_course(recoveries) if enough else fit_level(recoveries)


def _too_few(recoveries: Comparable, course: Course | None) -> Trend:
    """Give what can be said without a slope; the outlook rests on the prior spread."""
    m = recoveries.day.size
    more = None
    if m:
        variance = SPREAD_PRIOR.between_sd**2 + SPREAD_PRIOR.within_sd**2 * m / recoveries.session.size
        week = recoveries.day / 7
        rows = np.column_stack([np.ones(m), week])
        more = sessions_needed(rows.T @ rows / variance, week, session_variance=variance, freedom=m - 2)
        more = None if more is None else max(more, LEAST_SESSIONS - m)
    return Trend(
        direction=Verdict.TOO_FEW,
        slope_bpm_per_week=None,
        low=None,
        high=None,
        change_bpm=None,
        typical_error_bpm=None,
        minimal_detectable_bpm=None,
        standard_reserve=recoveries.standard_reserve,
        n_recoveries=recoveries.session.size,
        n_sessions=m,
        weeks=recoveries.weeks,
        points=() if course is None else points_of(course),
        reasons=(),
        standard_bpm=recoveries.standard_bpm,
        adjustments=() if course is None else adjustments_of(course),
        recorders=_recorders(recoveries),
        more_sessions=more,
    )


def _fitted(recoveries: Comparable, course: Course) -> Trend:
    slope, low, high = course.interval(1)
    points = points_of(course)
    fit = course.fit
    week = course.steady[:, 1]
    session_variance = fit.spread.between_sd**2 + float(np.median(fit.sessions.error_variance))
    return Trend(
        direction=_verdict(low, high),
        slope_bpm_per_week=slope,
        low=low,
        high=high,
        change_bpm=slope * recoveries.weeks,
        typical_error_bpm=_typical_error(points),
        minimal_detectable_bpm=(high - low) / 2 * recoveries.weeks,
        standard_reserve=recoveries.standard_reserve,
        n_recoveries=recoveries.session.size,
        n_sessions=recoveries.day.size,
        weeks=recoveries.weeks,
        points=points,
        reasons=(),
        standard_bpm=recoveries.standard_bpm,
        shift=level_shift_of(course),
        adjustments=adjustments_of(course),
        rank=_rank_trend(points),
        recorders=_recorders(recoveries),
        more_sessions=sessions_needed(
            np.asarray(np.linalg.inv(fit.covariance[:2, :2]), dtype=float),
            week,
            session_variance=session_variance,
            freedom=fit.freedom,
        ),
    )


def _verdict(low: float, high: float) -> Verdict:
    if low > 0:
        return Verdict.FASTER
    if high < 0:
        return Verdict.SLOWER
    return Verdict.TOO_FEW if (high - low) / 2 > WIDEST_BPM_PER_WEEK else Verdict.NO_CLEAR_CHANGE


def _typical_error(points: tuple[TrendPoint, ...]) -> float:
    """From successive sessions, each less its fitted level, so that trend and shift drop out."""
    left = np.array([p.hrr60_bpm - p.fitted_bpm for p in points if p.fitted_bpm is not None])
    return typical_error(left[:-1], left[1:])


def _rank_trend(points: tuple[TrendPoint, ...]) -> RankTrend | None:
    drops = np.array([p.hrr60_bpm for p in points]).round(9)  # rounding errors are no ranks
    if np.ptp(drops) == 0:
        return None
    line = theil_sen([p.day / 7 for p in points], drops)
    return RankTrend(line.slope, line.low, line.high, kendall(drops).p)


def _recorders(recoveries: Comparable) -> tuple[str, ...]:
    return tuple(str(name) for name in dict.fromkeys(recoveries.recorder.tolist()))
