"""Cautions stand where somebody acts, and name what applies to this rider."""

from rideready.model.rider import Rider
from rideready.model.trend import Trend, Verdict
from rideready.services import cautions
from rideready.services.cautions import cautions_for_rider, cautions_for_trend


def a_trend(direction: Verdict) -> Trend:
    return Trend(direction, None, None, None, None, None, None, None, 0, 0, 0.0, (), ())


def test_stop_signs_are_always_said() -> None:
    assert cautions_for_rider(Rider()) == (cautions.STOP_SIGNS,)


def test_a_medicine_is_named_and_no_maximum_is_predicted_beside_it() -> None:
    said = cautions_for_rider(Rider(age_years=60, takes_heart_rate_medicine=True))
    assert said == (cautions.STOP_SIGNS, cautions.MEDICINE)


def test_a_predicted_maximum_is_named_until_one_is_measured() -> None:
    assert cautions.PREDICTED_MAXIMUM in cautions_for_rider(Rider(age_years=41))
    assert cautions.PREDICTED_MAXIMUM not in cautions_for_rider(Rider(age_years=41, max_hr_bpm=181))


def test_faster_is_never_said_without_the_word_on_overreaching() -> None:
    # Bellenger et al. 2016, Sports Med 46:1461-86: heart-rate recovery also rises in overreaching.
    said = cautions_for_trend(a_trend(Verdict.FASTER))
    assert said == (cautions.FASTER_IS_NOT_ALWAYS_FITTER, cautions.NOT_MEDICAL)
    assert cautions_for_trend(a_trend(Verdict.SLOWER)) == (cautions.NOT_MEDICAL,)
