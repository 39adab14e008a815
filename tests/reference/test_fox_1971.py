"""Maximum heart rate by age.

Fox, Naughton, Haskell 1971: 220 - age; error as in Robergs, Landwehr 2002, JEPonline 5(2):1-10 (SD 10 to 12 bpm).
The table at 20, 30, ... 60 years is arithmetic on the equation, exact to the digit shown.
"""

import pytest

from rideready.intensity import MaximumEquation, predicted_maximum_bpm


@pytest.mark.parametrize(
    ("age_years", "expected_bpm"), list(zip((20, 30, 40, 50, 60), (200, 190, 180, 170, 160), strict=True))
)
def test_the_predicted_maximum_falls_along_the_published_line(age_years: float, expected_bpm: float) -> None:
    assert predicted_maximum_bpm(age_years, MaximumEquation.FOX) == pytest.approx(expected_bpm, abs=1e-9)


def test_the_prediction_carries_its_standard_error() -> None:
    assert MaximumEquation.FOX.see_bpm == 11.0
