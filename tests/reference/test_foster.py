"""Session-RPE load, monotony and strain.

Foster et al. 2001, J Strength Cond Res 15:109-15 (load); Foster 1998, Med Sci Sports Exerc 30:1164-8
(monotony, strain). The products 7 x 60 and 75 x 7 are in the paper's manner; the weeks were computed with the
sample standard deviation, rounded as shown (the papers' own example week could not be read).
"""

import pytest

from rideready.load import monotony, session_rpe_load, strain


@pytest.mark.parametrize(("rpe", "minutes", "expected"), [(7, 60, 420), (7, 75, 525), (0, 30, 0)])
def test_session_load_is_rating_times_minutes(rpe: float, minutes: float, expected: float) -> None:
    assert session_rpe_load(rpe, minutes) == expected


@pytest.mark.parametrize(
    ("daily_loads", "expected_monotony", "expected_strain"),
    [
        ([300, 0, 420, 180, 0, 600, 240], 1.1428, 1988.40),
        ([400, 150, 0, 350, 200, 0, 0], 0.9277, 1020.51),
        ([250] * 6 + [0], 2.2678, 3401.68),
        # By hand: mean 1500/7, squares 590000, variance (590000 - 1500**2 / 7) / 6 = 44761.905.
        ([300, 0, 400, 0, 300, 500, 0], (1500 / 7) / 44761.905**0.5, 1500 * (1500 / 7) / 44761.905**0.5),
    ],
)
def test_a_week_has_the_tabulated_monotony_and_strain(
    daily_loads: list[float], expected_monotony: float, expected_strain: float
) -> None:
    assert monotony(daily_loads) == pytest.approx(expected_monotony, abs=5e-5)
    assert strain(daily_loads) == pytest.approx(expected_strain, abs=5e-3)
