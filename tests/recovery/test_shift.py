"""Sudden shifts: found where they are, seldom where they are not, and the search paid for."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from rideready.model.session import FloatArray
from rideready.recovery.mixed import MixedFit, SpreadPrior, fit_robust
from rideready.recovery.restricted import Rows, Spread, Weights, solve
from rideready.recovery.shift import _both_beyond, _candidates, _family_p, find_shift

DAY = np.sort(np.concatenate([np.arange(0, 84, 7), np.arange(2, 84, 7), np.arange(4, 84, 7)])).astype(float)
PRIOR = SpreadPrior(between_sd=3.0, within_sd=3.0, log_sd=1.0)


def rows_of(level: FloatArray) -> Rows:
    """One figure a session, with level and slope to fit."""
    m = level.size
    week = (DAY[:m] - DAY[:m].mean()) / 7
    design = np.column_stack([np.ones(m), week])
    return Rows(level, np.zeros(m), np.arange(m), DAY[:m], design, np.zeros(2), np.full(2, np.inf))


def steady_fit(level: FloatArray) -> MixedFit:
    """Fit level and slope, the spread found from the figures."""
    return fit_robust(rows_of(level), prior=PRIOR)


def test_a_clear_step_is_found_at_its_date() -> None:
    level = np.random.default_rng(1).normal(40, 2, 36) - 12.0 * (np.arange(36) >= 20)
    found = find_shift(steady_fit(level), DAY)
    assert found is not None
    assert found.is_called
    assert found.first == pytest.approx(20, abs=1)
    assert found.last == 35


def test_a_clear_spell_is_found_with_both_its_ends() -> None:
    index = np.arange(36)
    level = np.random.default_rng(2).normal(40, 2, 36) - 12.0 * ((index >= 14) & (index < 20))
    found = find_shift(steady_fit(level), DAY)
    assert found is not None
    assert found.is_called
    assert (found.first, found.last) == pytest.approx((14, 19), abs=1)
    assert found.column.sum() == found.last - found.first + 1


def test_a_steady_gain_is_not_taken_for_a_step() -> None:
    level = np.random.default_rng(3).normal(40, 2, 36) + 12.0 * DAY / 84
    found = find_shift(steady_fit(level), DAY)
    assert found is None or not found.is_called


def fit_at_known_spread(level: FloatArray) -> MixedFit:
    """Fit level and slope with the standard deviation told, so that only the search is on trial."""
    rows = rows_of(level)
    weights = Weights(np.ones(level.size), np.ones(level.size))
    spread = Spread(between_sd=1e-6, within_sd=3.0)
    found = solve(rows, weights, spread)
    return MixedFit(found.coefficients, found.covariance, 1.0, spread, 1e6, weights, found.sessions, 0.0)


def test_seasons_without_a_shift_show_one_no_more_often_than_said() -> None:
    rng = np.random.default_rng(4)
    found = [find_shift(fit_at_known_spread(rng.normal(40, 3, 36)), DAY) for _ in range(400)]
    suspected = sum(shift is not None for shift in found)
    called = sum(shift is not None and shift.is_called for shift in found)
    # Binomial(400, 0.10) stays at or below 60 and Binomial(400, 0.01) at or below 11 in 999 of 1,000 runs;
    # the bound may be conservative, but by less than half: Binomial(400, 0.05) is above 8 as surely.
    assert 8 < suspected <= 60
    assert called <= 11


def test_too_few_sessions_on_either_side_give_nothing_to_look_for() -> None:
    assert _candidates(DAY[:7]) is None
    assert find_shift(steady_fit(np.array([40.0, 41, 39, 30, 31, 29, 30])), DAY[:7]) is None


def test_spells_last_at_most_four_weeks_and_leave_sessions_on_both_sides() -> None:
    candidates = _candidates(DAY)
    assert candidates is not None
    spells = [(first, last) for first, last in candidates.bounds if last < 35]
    assert spells
    for first, last in spells:
        assert DAY[last] - DAY[first] <= 28
        assert first >= 3
        assert last <= 32
        assert last - first + 1 >= 3
    assert (candidates.parent < np.arange(1, len(candidates.bounds))).all()


def test_each_spell_is_likened_to_one_that_is_a_session_shorter_or_earlier() -> None:
    candidates = _candidates(DAY)
    assert candidates is not None
    bounds = [tuple(pair) for pair in candidates.bounds.tolist()]
    likened = 0
    for place, (first, last) in enumerate(bounds):
        nearest = [pair for pair in ((first, last - 1), (first - 1, last)) if pair in bounds[:place]]
        if last < 35 and nearest:
            assert bounds[candidates.parent[place - 1]] == nearest[0]
            likened += 1
    assert likened > 100  # all spells but the very first


def test_a_fit_whose_days_resemble_each_other_is_not_searched() -> None:
    rows, weights = rows_of(np.random.default_rng(5).normal(40, 3, 36)), Weights(np.ones(36), np.ones(36))
    spread = Spread(between_sd=3.0, within_sd=3.0, slow_share=0.5)
    found = solve(rows, weights, spread)
    fit = MixedFit(found.coefficients, found.covariance, 1.0, spread, 30.0, weights, found.sessions, 0.0)
    with pytest.raises(ValueError, match="independent days"):
        find_shift(fit, DAY)


@pytest.mark.parametrize("correlation", [0.0, 0.3, 0.8, 0.97, -0.6])
@pytest.mark.parametrize("c", [1.0, 2.5, 3.5])
def test_the_chance_that_two_scores_both_exceed_agrees_with_scipy(c: float, correlation: float) -> None:
    covariance = [[1, correlation], [correlation, 1]]
    corner = multivariate_normal(cov=covariance).cdf
    # scipy 1.17.1's bivariate normal, four quadrants by symmetry, to about 1e-8.
    mirrored = multivariate_normal(cov=[[1, -correlation], [-correlation, 1]]).cdf
    expected = 2 * corner([-c, -c]) + 2 * mirrored([-c, -c])
    assert _both_beyond(c, np.array([correlation]))[0] == pytest.approx(float(expected), rel=1e-4, abs=1e-9)


def test_looking_twice_at_the_same_thing_costs_nothing_and_at_two_things_costs_double() -> None:
    same, apart = np.array([1.0 - 1e-13]), np.array([0.0])
    assert _family_p(0.01, same) == pytest.approx(0.01, rel=0.01)
    assert _family_p(0.01, apart) == pytest.approx(0.02, rel=0.01)
