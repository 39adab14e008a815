"""The taper against Bosquet, Montpetit, Arvisais, Mujika 2007, Med Sci Sports Exerc 39:1358-65.

Two weeks, volume down exponentially by 41 to 60 %, read in the abstract. Wang et al. 2023, PLoS ONE 18:e0282838, find
the same cut good up to 21 days.
"""

import datetime as dt

import pytest

from rideready.plan.taper import LEFT_BY_WEEK, taper_minutes, taper_start


@pytest.mark.parametrize("which", [0, 1])
def test_each_week_lies_41_to_60_percent_below_the_usual(which: int) -> None:
    cuts = {usual_min: 1 - taper_minutes(usual_min, which) / usual_min for usual_min in range(20, 700)}
    assert {usual_min: cut for usual_min, cut in cuts.items() if not 0.41 <= cut <= 0.60} == {}


@pytest.mark.parametrize("usual_min", [60, 135, 200, 300, 415])
def test_the_second_week_is_shorter_than_the_first(usual_min: int) -> None:
    assert taper_minutes(usual_min, 1) < taper_minutes(usual_min, 0)


def test_a_400_minute_week_becomes_about_half() -> None:
    # science: 400 min cut by half is inside the band, 30 % or 70 % are outside.
    assert [taper_minutes(400, which) for which in (0, 1)] == [230, 170]


def test_the_fall_from_the_usual_over_both_weeks_is_steepest_first() -> None:
    first, second = LEFT_BY_WEEK
    assert 1 - first > first - second > 0


def test_nothing_is_left_of_nothing() -> None:
    assert taper_minutes(0, 0) == 0


@pytest.mark.parametrize("offset", range(14))
def test_it_begins_on_a_monday_11_to_17_days_before(offset: int) -> None:
    likely = dt.date(2026, 12, 7) + dt.timedelta(days=offset)
    start = taper_start(likely)
    assert start.weekday() == 0
    assert 11 <= (likely - start).days <= 17
