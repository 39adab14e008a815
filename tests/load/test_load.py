"""Training impulse and weekly figures beyond the published examples."""

import numpy as np
import pytest

from rideready.errors import BadInput
from rideready.load import monotony, session_rpe_load, strain, trimp, why_no_trimp
from rideready.model.rider import Rider, Sex
from tests.support.heart_rates import clean_signal

RIDER = Rider(max_hr_bpm=190, resting_hr_bpm=60, sex=Sex.MALE)


def test_intervals_weigh_more_than_their_mean_heart_rate() -> None:
    intervals = trimp(clean_signal([120.0, 180.0] * 900), RIDER)
    steady = trimp(clean_signal([150.0] * 1800), RIDER)
    assert intervals is not None
    assert steady is not None
    # Jensen's inequality; by hand, 15 min each at x = 0.46154 and 0.92308: 10.748 + 52.145.
    assert intervals == pytest.approx(62.893, abs=0.001)
    assert steady == pytest.approx(50.220, abs=0.001)


def test_holes_and_seconds_below_rest_add_nothing() -> None:
    whole = trimp(clean_signal([150.0] * 600), RIDER)
    with_holes = trimp(clean_signal([150.0] * 600 + [np.nan] * 300 + [50.0] * 300), RIDER)
    assert with_holes == pytest.approx(whole)


@pytest.mark.parametrize(
    ("rider", "hr_bpm", "code"),
    [
        (Rider(max_hr_bpm=190, resting_hr_bpm=60), 150.0, "load.no_sex"),
        (Rider(max_hr_bpm=190, sex=Sex.MALE), 150.0, "load.no_reserve"),
        (Rider(resting_hr_bpm=60, sex=Sex.MALE), 150.0, "load.no_reserve"),
        (RIDER, np.nan, "load.no_heart_rate"),
        (
            Rider(max_hr_bpm=190, resting_hr_bpm=60, sex=Sex.MALE, takes_heart_rate_medicine=True),
            150.0,
            "intensity.medicine",
        ),
    ],
)
def test_what_is_unknown_gives_no_impulse_and_says_why(rider: Rider, hr_bpm: float, code: str) -> None:
    signal = clean_signal([hr_bpm] * 60)
    reason = why_no_trimp(signal, rider)
    assert trimp(signal, rider) is None
    assert reason is not None
    assert reason.code == code


@pytest.mark.parametrize(
    ("rpe", "minutes"), [(11, 60), (-1, 60), (float("nan"), 60), (5, -1), (5, float("inf"))]
)
def test_a_rating_or_length_that_cannot_be_is_refused_in_a_sentence(rpe: float, minutes: float) -> None:
    with pytest.raises(BadInput, match=r"^session RPE: a session .*\.$"):
        session_rpe_load(rpe, minutes)


@pytest.mark.parametrize("daily_loads", [[0] * 7, [250] * 7])
def test_seven_equal_days_have_no_monotony_and_no_strain(daily_loads: list[float]) -> None:
    assert monotony(daily_loads) is None
    assert strain(daily_loads) is None


@pytest.mark.parametrize("daily_loads", [[100] * 6, [100] * 6 + [-1], [100] * 6 + [np.nan]])
def test_a_week_has_seven_loads(daily_loads: list[float]) -> None:
    with pytest.raises(ValueError, match="seven finite loads"):
        monotony(daily_loads)
