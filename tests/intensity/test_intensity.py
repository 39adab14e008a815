"""Reserve, maximum, classes and minutes beyond what the published tables check."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rideready.intensity import (
    IntensityClass,
    class_bounds_bpm,
    classify,
    minutes_in_class,
    predicted_maximum_bpm,
    reserve_fraction,
    target_bpm,
    why_no_classes,
    working_maximum_bpm,
)
from rideready.model.rider import Rider
from tests.support.heart_rates import clean_signal


def test_a_measured_maximum_beats_the_prediction() -> None:
    assert working_maximum_bpm(Rider(max_hr_bpm=186, age_years=40)) == 186


def test_the_age_predicts_the_maximum_where_none_was_measured() -> None:
    assert working_maximum_bpm(Rider(age_years=50)) == pytest.approx(173)


def test_nothing_known_gives_no_maximum_no_classes_and_the_reason() -> None:
    rider = Rider(resting_hr_bpm=55)
    reason = why_no_classes(rider)
    assert working_maximum_bpm(rider) is None
    assert class_bounds_bpm(rider) == []
    assert classify([100.0, 150.0], rider).tolist() == [-1, -1]
    assert minutes_in_class(clean_signal([120.0] * 60), rider) == {}
    assert reason is not None
    assert "maximum heart rate" in reason.sentence


def test_a_medicine_that_alters_the_pulse_switches_prediction_and_classes_off() -> None:
    rider = Rider(age_years=50, resting_hr_bpm=55, takes_heart_rate_medicine=True)
    reason = why_no_classes(Rider(max_hr_bpm=150, takes_heart_rate_medicine=True))
    assert working_maximum_bpm(rider) is None
    assert class_bounds_bpm(Rider(max_hr_bpm=150, takes_heart_rate_medicine=True)) == []
    assert reason is not None
    assert reason.code == "intensity.medicine"


def test_an_impossible_age_is_refused() -> None:
    with pytest.raises(ValueError, match="between 8 and 110"):
        predicted_maximum_bpm(7)


def test_reserve_and_target_are_unknown_without_a_resting_rate() -> None:
    rider = Rider(max_hr_bpm=190)
    assert np.isnan(reserve_fraction(150.0, rider))
    assert np.isnan(reserve_fraction(np.array([150.0, 160.0]), rider)).all()
    assert target_bpm(0.6, rider) is None


def test_bounds_run_without_a_gap_from_rest_to_maximum() -> None:
    bounds = class_bounds_bpm(Rider(max_hr_bpm=200, resting_hr_bpm=60))
    assert [which for which, _, _ in bounds] == list(IntensityClass)
    assert [low for _, low, _ in bounds] == pytest.approx([60, 102, 116, 144, 186])
    assert [high for _, _, high in bounds] == pytest.approx([102, 116, 144, 186, 200])


@given(
    rest=st.integers(35, 90),
    span=st.integers(80, 140),
    which=st.sampled_from([IntensityClass.LIGHT, IntensityClass.MODERATE, IntensityClass.VIGOROUS]),
)
def test_a_bound_belongs_to_the_class_it_opens_for_any_rider(
    rest: int, span: int, which: IntensityClass
) -> None:
    rider = Rider(max_hr_bpm=rest + span, resting_hr_bpm=rest)
    _, low, high = class_bounds_bpm(rider)[which]
    assert classify([low, high - 0.01, high], rider).tolist() == [which, which, which + 1]


def test_minutes_count_clean_seconds_only() -> None:
    rider = Rider(max_hr_bpm=160, resting_hr_bpm=60)
    signal = clean_signal([85.0] * 30 + [np.nan] * 60 + [125.0] * 90)
    found = minutes_in_class(signal, rider)
    assert found == {
        IntensityClass.VERY_LIGHT: 0.5,
        IntensityClass.LIGHT: 0,
        IntensityClass.MODERATE: 0,
        IntensityClass.VIGOROUS: 1.5,
        IntensityClass.NEAR_MAXIMAL: 0,
    }
