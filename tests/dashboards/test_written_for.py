"""Distances, heights and dates are written as the rider wants them."""

import datetime as dt
from collections.abc import Iterator

import pytest

from dashboards import formats
from rideready.services.preferences import DateForm, Preferences, Units


@pytest.fixture(autouse=True)
def _usual_again() -> Iterator[None]:
    yield
    formats.write_for(Preferences(dates=DateForm.DAY_FIRST), languages=[])


# A mile is 1609.344 m, a foot 0.3048 m (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("units", "written"),
    [
        (Units.METRIC, ("42.2 km", "36.0 km/h", "1609 m")),
        (Units.MILES, ("26.2 miles", "22.4 mph", "5280 ft")),
    ],
)
def test_a_marathon_ten_metres_a_second_and_a_mile_up(units: Units, written: tuple[str, ...]) -> None:
    formats.write_for(Preferences(units, DateForm.DAY_FIRST))
    said = (formats.distance(42_195.0), formats.speed(10.0), formats.height(1609.344))
    assert said == written


def test_what_was_not_recorded_is_a_dash_in_any_unit() -> None:
    assert {formats.distance(None), formats.speed(float("nan")), formats.height(None)} == {"\N{EN DASH}"}


# The order of dates by language: Unicode CLDR, date formats (a part of them, from memory).
@pytest.mark.parametrize(
    ("form", "language", "written"),
    [
        (DateForm.BROWSER, "en-GB", "12 Sep 2026"),
        (DateForm.BROWSER, "en-US", "Sep 12, 2026"),
        (DateForm.BROWSER, "sv-SE", "2026-09-12"),
        (DateForm.BROWSER, "no", "12 Sep 2026"),
        (DateForm.YEAR_FIRST, "en-US", "2026-09-12"),
        (DateForm.DAY_FIRST, "en-US", "12 Sep 2026"),
    ],
)
def test_dates_follow_the_rider_and_else_the_browser(form: DateForm, language: str, written: str) -> None:
    formats.write_for(Preferences(dates=form), languages=[language])
    assert formats.day(dt.date(2026, 9, 12)) == written
