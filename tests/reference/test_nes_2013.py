"""Maximum heart rate by age.

Nes et al. 2013, Scand J Med Sci Sports 23:697-704, n = 3320: 211 - 0.64 age, SEE 10.8 bpm.
The table at 20, 30, ... 60 years is arithmetic on the equation, exact to the digit shown.
"""

import pytest

from rideready.intensity import MaximumEquation, predicted_maximum_bpm


@pytest.mark.parametrize(
    ("age_years", "expected_bpm"),
    list(zip((20, 30, 40, 50, 60), (198.2, 191.8, 185.4, 179.0, 172.6), strict=True)),
)
def test_the_predicted_maximum_falls_along_the_published_line(age_years: float, expected_bpm: float) -> None:
    assert predicted_maximum_bpm(age_years, MaximumEquation.NES) == pytest.approx(expected_bpm, abs=1e-9)


def test_the_prediction_carries_its_standard_error() -> None:
    assert MaximumEquation.NES.see_bpm == 10.8
