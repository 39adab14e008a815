"""Maximum heart rate by age.

Tanaka, Monahan, Seals 2001, J Am Coll Cardiol 37:153-6: 208 - 0.7 age (from memory; SEE about 10 bpm, from memory).
The table at 20, 30, ... 60 years is arithmetic on the equation, exact to the digit shown.
"""

import pytest

from rideready.intensity import MaximumEquation, predicted_maximum_bpm


@pytest.mark.parametrize(
    ("age_years", "expected_bpm"),
    list(zip((20, 30, 40, 50, 60), (194.0, 187.0, 180.0, 173.0, 166.0), strict=True)),
)
def test_the_predicted_maximum_falls_along_the_published_line(age_years: float, expected_bpm: float) -> None:
    assert predicted_maximum_bpm(age_years, MaximumEquation.TANAKA) == pytest.approx(expected_bpm, abs=1e-9)


def test_the_prediction_carries_its_standard_error() -> None:
    assert MaximumEquation.TANAKA.see_bpm == 10.0


def test_it_meets_the_older_line_at_forty() -> None:
    assert predicted_maximum_bpm(40) == predicted_maximum_bpm(40, MaximumEquation.FOX)
