"""Heart-rate reserve.

Karvonen, Kentala, Mustala 1957, Ann Med Exp Biol Fenn 35:307-15: target = rest + p (max - rest). The worked
examples are from teaching pages that use it with 220 - age; 175 bpm was computed with the formula. They
are exact but for rounding to the digits shown.
"""

import numpy as np
import pytest

from rideready.intensity import MaximumEquation, predicted_maximum_bpm, reserve_fraction, target_bpm
from rideready.model.rider import Rider


@pytest.mark.parametrize(
    ("maximum_bpm", "rest_bpm", "fraction", "expected_bpm"),
    [
        (200, 60, 0.6, 144),
        (200, 75, 0.6, 150),  # age 20
        (200, 75, 0.8, 175),  # age 20
        (193, 70, 0.7, 156.1),  # age 27
    ],
)
def test_the_target_is_rest_plus_a_fraction_of_the_reserve(
    maximum_bpm: float, rest_bpm: float, fraction: float, expected_bpm: float
) -> None:
    rider = Rider(max_hr_bpm=maximum_bpm, resting_hr_bpm=rest_bpm)
    assert target_bpm(fraction, rider) == pytest.approx(expected_bpm, abs=1e-9)
    assert reserve_fraction(expected_bpm, rider) == pytest.approx(fraction, abs=1e-12)


def test_at_twenty_with_rest_fifty_a_rate_of_150_is_67_percent_of_the_reserve() -> None:
    rider = Rider(max_hr_bpm=predicted_maximum_bpm(20, MaximumEquation.FOX), resting_hr_bpm=50)
    assert reserve_fraction(150.0, rider) == pytest.approx(0.667, abs=5e-4)


def test_an_array_keeps_its_shape_and_its_holes() -> None:
    found = reserve_fraction(np.array([60.0, np.nan, 200.0]), Rider(max_hr_bpm=200, resting_hr_bpm=60))
    np.testing.assert_allclose(found, [0, np.nan, 1])
