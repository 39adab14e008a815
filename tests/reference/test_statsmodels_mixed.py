"""The mixed model against an independent one.

Reference: statsmodels 0.15.0, called here, ``MixedLM(y, X, groups=session).fit(reml=True)``, whose own
optimiser stops at about five digits; the tolerance is that. The restricted likelihood is compared after
adding the constant (n - p) ln(2 pi) that ours leaves out.
"""

from typing import Any

import numpy as np
import pytest
from scipy.stats import linregress
from statsmodels.regression.mixed_linear_model import MixedLM

from rideready.recovery.mixed import fit_reml
from rideready.recovery.restricted import Rows


def simulated_rows(seed: int, *, between_sd: float, sessions: int = 24, recoveries: int = 4) -> Rows:
    rng = np.random.default_rng(seed)
    day = np.arange(sessions, dtype=np.float64) * 3.5
    session = np.repeat(np.arange(sessions), recoveries)
    start = rng.normal(0, 0.8, session.size)
    y = 35 + 0.4 * day[session] / 7 + 4 * start + rng.normal(0, 4, session.size)
    y += rng.normal(0, between_sd, sessions)[session]
    design = np.column_stack([np.ones(session.size), day[session] / 7, start])
    free = np.full(3, np.inf)
    return Rows(y, np.zeros(session.size), session, day, design, np.zeros(3), free)


def textbook_covariance(rows: Rows, expected: Any) -> np.ndarray:
    """Inverse of X' V^-1 X written out in full at statsmodels' variances.

    Its own ``bse_fe`` comes from the joint Hessian with the variances and differs by up to 0.5 %.
    """
    same = rows.session[:, None] == rows.session
    v = float(expected.cov_re[0, 0]) * same + float(expected.scale) * np.eye(rows.y.size)
    return np.asarray(np.linalg.inv(rows.design.T @ np.linalg.solve(v, rows.design)))


@pytest.mark.parametrize("seed", range(3))
def test_estimates_errors_and_likelihood_agree_with_statsmodels(seed: int) -> None:
    rows = simulated_rows(seed, between_sd=3.0)
    expected = MixedLM(rows.y, rows.design, groups=rows.session).fit(reml=True)
    found = fit_reml(rows)
    assert found.spread.between_sd == pytest.approx(float(expected.cov_re[0, 0]) ** 0.5, rel=1e-3)
    assert found.spread.within_sd == pytest.approx(float(expected.scale) ** 0.5, rel=1e-3)
    np.testing.assert_allclose(found.coefficients, expected.fe_params, rtol=1e-4, atol=1e-5)
    np.testing.assert_allclose(found.covariance, textbook_covariance(rows, expected), rtol=2e-3, atol=1e-6)
    constant = (rows.y.size - 3) * np.log(2 * np.pi)
    assert found.minus_twice_log_likelihood + constant == pytest.approx(-2 * float(expected.llf), abs=1e-3)


def test_in_a_balanced_set_the_slope_is_that_of_the_session_means_with_two_degrees_used() -> None:
    rows = simulated_rows(7, between_sd=3.0)
    plain = Rows(rows.y, rows.se, rows.session, rows.day, rows.design[:, :2], np.zeros(2), np.full(2, np.inf))
    means = rows.y.reshape(24, 4).mean(axis=1)
    expected = linregress(rows.day / 7, means)
    found = fit_reml(plain)
    assert found.coefficients[1] == pytest.approx(expected.slope, rel=1e-6)
    assert np.sqrt(found.covariance[1, 1]) == pytest.approx(expected.stderr, rel=1e-3)
    assert found.freedom == pytest.approx(24 - 2)
