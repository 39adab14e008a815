"""Maximum heart rate by age.

Gellish et al. 2007, Med Sci Sports Exerc 39:822-9: 207 - 0.7 age (from memory; error of 5 to 8 bpm, from memory).
The table at 20, 30, ... 60 years is arithmetic on the equation, exact to the digit shown.
"""

import pytest

from rideready.intensity import MaximumEquation, predicted_maximum_bpm


@pytest.mark.parametrize(
    ("age_years", "expected_bpm"),
    list(zip((20, 30, 40, 50, 60), (193.0, 186.0, 179.0, 172.0, 165.0), strict=True)),
)
def test_the_predicted_maximum_falls_along_the_published_line(age_years: float, expected_bpm: float) -> None:
    assert predicted_maximum_bpm(age_years, MaximumEquation.GELLISH) == pytest.approx(expected_bpm, abs=1e-9)


def test_the_prediction_carries_its_standard_error() -> None:
    assert MaximumEquation.GELLISH.see_bpm == 8.0


@pytest.mark.parametrize(
    ("age_years", "expected_bpm"),
    list(zip((20, 30, 40, 50, 60), (193.5, 186.8, 180.1, 173.4, 166.7), strict=True)),
)
def test_the_regression_as_printed_is_kept_beside_the_rounded_one(
    age_years: float, expected_bpm: float
) -> None:
    found = predicted_maximum_bpm(age_years, MaximumEquation.GELLISH_REGRESSION)
    assert found == pytest.approx(expected_bpm, abs=1e-9)
