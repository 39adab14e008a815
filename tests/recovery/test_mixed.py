"""The mixed model where no library does the same: priors, known errors, outliers, slow swings."""

from dataclasses import replace

import numpy as np
import pytest

from rideready.model.session import FloatArray
from rideready.recovery.mixed import SpreadPrior, fit_reml, fit_robust
from rideready.recovery.restricted import Rows, Spread, Weights, solve

PRIOR = SpreadPrior(between_sd=3.0, within_sd=4.0, log_sd=1.0)


def season(rng: np.random.Generator, *, sessions: int = 24, recoveries: int = 4, slope: float = 0.0) -> Rows:
    """Day-to-day SD 3, within-session SD 4 of which 1.5 is told as measurement error; start steps of SD 0.8."""
    day = np.arange(sessions, dtype=np.float64) * 3.5
    session = np.repeat(np.arange(sessions), recoveries)
    start = rng.normal(0, 0.8, session.size)
    y = 35 + slope * day[session] / 7 + 5 * start + rng.normal(0, 3, sessions)[session]
    y += rng.normal(0, 4, session.size)
    design = np.column_stack([np.ones(session.size), (day[session] - day.mean()) / 7, start])
    no_prior = np.full(3, np.inf)
    return Rows(y, np.full(session.size, 1.5), session, day, design, np.zeros(3), no_prior)


def brute_force(rows: Rows, spread: Spread) -> tuple[FloatArray, FloatArray, float]:
    """Coefficients, covariance and likelihood from the covariance of all rows written out in full."""
    same = rows.session[:, None] == rows.session
    days = rows.day[rows.session]
    alike = np.exp(-np.abs(days[:, None] - days) / 7.0)
    v = spread.between_sd**2 * ((1 - spread.slow_share) * same + spread.slow_share * alike)
    v += np.diag(spread.within_sd**2 + rows.se**2)
    held = np.diag(rows.prior_sd**-2.0)
    normal = rows.design.T @ np.linalg.solve(v, rows.design) + held
    covariance = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    b = covariance @ (rows.design.T @ np.linalg.solve(v, rows.y) + held @ rows.prior_mean)
    left, off = rows.y - rows.design @ b, b - rows.prior_mean
    score = np.linalg.slogdet(v)[1] + np.linalg.slogdet(normal)[1]
    return b, covariance, float(score + left @ np.linalg.solve(v, left) + off @ held @ off)


@pytest.mark.parametrize("slow_share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("prior_sd", [np.inf, 0.3])
def test_the_split_into_means_and_deviations_changes_nothing(slow_share: float, prior_sd: float) -> None:
    rows = season(np.random.default_rng(1), sessions=9, recoveries=3)
    mean = 4.5 if np.isfinite(prior_sd) else 0.0
    rows = replace(rows, prior_mean=np.array([0, 0, mean]), prior_sd=np.array([np.inf, np.inf, prior_sd]))
    spread = Spread(2.5, 3.5, slow_share)
    b, covariance, score = brute_force(rows, spread)
    found = solve(rows, Weights(np.ones(rows.y.size), np.ones(9)), spread)
    np.testing.assert_allclose(found.coefficients, b, rtol=1e-8)
    np.testing.assert_allclose(found.covariance, covariance, rtol=1e-6, atol=1e-12)
    assert found.minus_twice_log_likelihood == pytest.approx(score, abs=1e-7)


def test_known_measurement_error_is_not_counted_twice() -> None:
    fits = [fit_reml(season(np.random.default_rng(seed), sessions=40)) for seed in range(12)]
    within = np.sqrt(np.mean([fit.spread.within_sd**2 for fit in fits]))
    # Truth: sqrt(4^2 - 1.5^2) = 3.71; 12 x 120 degrees of freedom give it to 2 %, three of those are allowed.
    assert within == pytest.approx(np.sqrt(16 - 2.25), rel=0.06)


def test_few_rows_lean_on_the_prior_and_many_speak_for_themselves() -> None:
    held = np.array([np.inf, np.inf, 1.0])
    few = replace(season(np.random.default_rng(2), sessions=6, recoveries=1), prior_sd=held)
    many = replace(season(np.random.default_rng(2), sessions=60, recoveries=8), prior_sd=held)
    leaning, speaking = (fit_reml(rows, prior=PRIOR).coefficients[2] for rows in (few, many))
    assert abs(leaning) < 1.5  # pulled to the prior's 0
    # 480 rows know it to 4 / (0.8 sqrt(480)) = 0.23, so the prior pulls it to 5 / (1 + 0.23^2) = 4.75; 3 errors.
    assert speaking == pytest.approx(4.75, abs=0.7)


def test_one_wild_recovery_moves_the_slope_little() -> None:
    rows = season(np.random.default_rng(3), sessions=15)
    wild = replace(rows, y=rows.y + np.where(np.arange(rows.y.size) == rows.y.size - 1, 60.0, 0.0))
    slope = fit_robust(rows, prior=PRIOR).coefficients[1]
    bounded = fit_robust(wild, prior=PRIOR).coefficients[1] - slope
    unbounded = fit_reml(wild, prior=PRIOR).coefficients[1] - slope
    assert abs(bounded) < 0.3 * abs(unbounded)


def test_one_wild_session_weighs_less_than_the_others() -> None:
    rows = season(np.random.default_rng(4), sessions=20)
    wild = replace(rows, y=rows.y - 25.0 * (rows.session == 11))
    weights = fit_robust(wild, prior=PRIOR).weights.sessions
    assert int(np.argmin(weights)) == 11
    assert weights[11] < 0.5 * np.median(weights)


def test_without_outliers_the_robust_interval_keeps_the_width_of_the_plain_one() -> None:
    rng = np.random.default_rng(5)
    ratios, spreads = [], []
    for _ in range(10):
        rows = season(rng)
        plain, robust = fit_reml(rows, prior=PRIOR), fit_robust(rows, prior=PRIOR)
        ratios.append(robust.covariance[1, 1] / plain.covariance[1, 1])
        spreads.append(robust.spread.within_sd / plain.spread.within_sd)
    # By theory the robust variance is 1.0103 times the plain one; single seasons scatter by about 8 %.
    assert np.mean(ratios) == pytest.approx(1.01, abs=3 * 0.08 / np.sqrt(10))
    # The spread keeps the scale of normal errors; single seasons scatter by about 3 %.
    assert np.mean(spreads) == pytest.approx(1.0, abs=3 * 0.03 / np.sqrt(10))


def test_with_one_recovery_a_session_an_outlier_is_shared_between_row_and_session() -> None:
    rows = season(np.random.default_rng(8), sessions=30, recoveries=1)
    wild = replace(rows, y=rows.y + 30.0 * (rows.session == 12))
    weights = fit_robust(wild, prior=PRIOR).weights
    assert weights.rows[12] < 0.8 * weights.rows.max()
    assert weights.sessions[12] < 0.8 * weights.sessions.max()


def test_days_that_resemble_their_neighbours_are_noticed_and_widen_the_interval() -> None:
    rng = np.random.default_rng(6)
    rows = season(rng, sessions=60)
    alike = np.exp(-np.abs(rows.day[:, None] - rows.day) / 7.0)
    swing = 8 * np.linalg.cholesky(alike) @ rng.standard_normal(60)
    rows = replace(rows, y=rows.y + swing[rows.session])
    blind = fit_reml(rows, prior=PRIOR)
    aware = fit_reml(rows, prior=replace(PRIOR, mean_slow_share=0.35))
    assert aware.spread.slow_share >= 0.5
    assert aware.covariance[1, 1] > 1.5 * blind.covariance[1, 1]


def test_evidence_of_swings_is_kept_where_the_prior_keeps_them_out() -> None:
    rng = np.random.default_rng(9)
    rows = season(rng, sessions=36)
    alike = np.exp(-np.abs(rows.day[:, None] - rows.day) / 7.0)
    swing = 6 * np.linalg.cholesky(alike) @ rng.standard_normal(36)
    swinging = replace(rows, y=rows.y + swing[rows.session])
    unwilling = replace(PRIOR, mean_slow_share=0.01)
    found = fit_robust(swinging, prior=unwilling)
    assert found.spread.slow_share == 0
    assert found.swing_evidence > 5
    assert fit_robust(rows, prior=unwilling).swing_evidence < 2


def test_days_that_do_not_resemble_each_other_are_left_independent() -> None:
    fits = [
        fit_reml(season(np.random.default_rng(s)), prior=replace(PRIOR, mean_slow_share=0.35))
        for s in range(8)
    ]
    assert np.mean([fit.spread.slow_share > 0 for fit in fits]) <= 0.25


def test_a_coefficient_held_by_its_prior_uses_up_no_degree_of_freedom() -> None:
    rows = season(np.random.default_rng(7))
    a_recorder = np.repeat((np.arange(24) % 2 == 0).astype(float), 4)[:, None]
    rows = replace(rows, design=np.column_stack([rows.design, a_recorder]), prior_mean=np.zeros(4))
    free = fit_reml(replace(rows, prior_sd=np.full(4, np.inf)), prior=PRIOR).freedom
    held = fit_reml(replace(rows, prior_sd=np.array([np.inf, np.inf, np.inf, 1e-3])), prior=PRIOR).freedom
    assert held - free == pytest.approx(1, abs=0.02)
