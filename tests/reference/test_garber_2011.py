"""Intensity classes.

Garber et al. 2011, Med Sci Sports Exerc 43:1334-59, doi 10.1249/MSS.0b013e318213fefb, table of relative
intensities, read in reprints (the very-light row and the 96 % bound in PMC8581515; one copy prints 95).
The paper prints whole percentages (30-39, 40-59, ...); 39.9 % is read as light, so classes are half open.
"""

import pytest

from rideready.intensity import IntensityClass, classify
from rideready.model.rider import Rider

BY_RESERVE = Rider(max_hr_bpm=160, resting_hr_bpm=60)  # 1 bpm is 1 % of the reserve
BY_MAXIMUM = Rider(max_hr_bpm=200)  # 2 bpm are 1 % of the maximum


@pytest.mark.parametrize(
    ("percent_of_reserve", "expected"),
    [
        (-5, "very light"),
        (29.9, "very light"),
        (30, "light"),
        (39.9, "light"),
        (40, "moderate"),
        (59.9, "moderate"),
        (60, "vigorous"),
        (89.9, "vigorous"),
        (90, "near-maximal to maximal"),
        (104, "near-maximal to maximal"),
    ],
)
def test_classes_by_reserve_begin_where_the_table_says(percent_of_reserve: float, expected: str) -> None:
    found = IntensityClass(int(classify(60 + percent_of_reserve, BY_RESERVE)))
    assert found.label == expected


@pytest.mark.parametrize(
    ("percent_of_maximum", "expected"),
    [
        (56.9, IntensityClass.VERY_LIGHT),
        (57, IntensityClass.LIGHT),
        (63.9, IntensityClass.LIGHT),
        (64, IntensityClass.MODERATE),
        (76.9, IntensityClass.MODERATE),
        (77, IntensityClass.VIGOROUS),
        (95.9, IntensityClass.VIGOROUS),
        (96, IntensityClass.NEAR_MAXIMAL),
    ],
)
def test_without_a_resting_rate_the_classes_go_by_percent_of_maximum(
    percent_of_maximum: float, expected: IntensityClass
) -> None:
    assert classify(2 * percent_of_maximum, BY_MAXIMUM) == expected
