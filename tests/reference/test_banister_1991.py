"""Training impulse.

Banister 1991; Morton, Fitz-Clarke, Banister 1990, J Appl Physiol 69:1171-7 (structure read; constants from
memory): minutes x a e^(b x), men 0.64 and 1.92, women 0.86 and 1.67. The table was computed with the formula
to three decimals; 100.4 for men at 150, rest 60, maximum 190, one hour, by hand.
"""

import pytest

from rideready.load import trimp
from rideready.model.rider import Rider, Sex
from tests.support.heart_rates import clean_signal


@pytest.mark.parametrize(
    ("minutes", "hr_bpm", "rest_and_maximum", "men_and_women"),
    [
        (30, 150, (50, 190), (54.048, 60.750)),
        (45, 150, (60, 190), (75.330, 85.138)),
        (60, 140, (60, 200), (65.732, 76.569)),
        (10, 170, (60, 190), (27.491, 29.898)),
    ],
)
def test_a_steady_session_has_the_tabulated_impulse(
    minutes: int, hr_bpm: float, rest_and_maximum: tuple[int, int], men_and_women: tuple[float, float]
) -> None:
    signal = clean_signal([hr_bpm] * (minutes * 60))
    rest, maximum = rest_and_maximum
    riders = [Rider(max_hr_bpm=maximum, resting_hr_bpm=rest, sex=sex) for sex in (Sex.MALE, Sex.FEMALE)]
    assert [trimp(signal, rider) for rider in riders] == pytest.approx(men_and_women, abs=5e-4)


def test_an_hour_at_150_between_60_and_190_is_100_for_men() -> None:
    rider = Rider(max_hr_bpm=190, resting_hr_bpm=60, sex=Sex.MALE)
    assert trimp(clean_signal([150.0] * 3600), rider) == pytest.approx(100.4, abs=0.05)
