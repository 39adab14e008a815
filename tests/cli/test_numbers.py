"""Figures carry their uncertainty and no false digits; a missing one is a dash, never 0."""

import datetime as dt
import math

import pytest

from rideready.cli import numbers


@pytest.mark.parametrize("missing", [None, math.nan])
def test_a_missing_figure_is_a_dash(missing: float | None) -> None:
    assert numbers.whole(missing) == "-"
    assert numbers.tenths(missing) == "-"
    assert numbers.drop(missing, 1.0) == "-"
    assert numbers.interval(missing, 1.0, 2.0) == "-"


def test_a_drop_is_shown_with_half_its_95_percent_interval() -> None:
    assert numbers.drop(31.4, 1.6) == "31 ± 3"  # 1.96 x 1.6 = 3.1
    assert numbers.drop(31.4, None) == "31"
    assert numbers.drop(-0.4, 0.2) == "0 ± 0"


def test_an_interval_is_shown_with_both_ends() -> None:
    assert numbers.interval(62.4, 50.6, 80.2) == "62 (51-80)"
    assert numbers.interval(62.4, None, None) == "62"


def test_settle_times_say_how_they_are_known() -> None:
    assert numbers.settled(95.0, is_censored=False, is_extrapolated=False) == "95"
    assert numbers.settled(150.0, is_censored=False, is_extrapolated=True) == "~ 150"
    assert numbers.settled(60.0, is_censored=True, is_extrapolated=False) == "> 60"
    assert numbers.settled(None, is_censored=False, is_extrapolated=False) == "-"


@pytest.mark.parametrize(
    ("seconds", "shown"), [(29.0, "0 min"), (2820.0, "47 min"), (5970.0, "1 h 40"), (12720.0, "3 h 32")]
)
def test_lengths_read_as_people_say_them(seconds: float, shown: str) -> None:
    assert numbers.length(seconds) == shown


def test_a_place_in_a_session_is_minutes_and_seconds() -> None:
    assert numbers.position(1984.6) == "33:05"


def test_a_moment_without_a_clock_says_so() -> None:
    assert numbers.day_and_time(None) == "no clock"
    assert numbers.day_and_time(dt.datetime(2026, 9, 1, 19, 30, 59, tzinfo=dt.UTC)) == "2026-09-01 19:30"


@pytest.mark.parametrize(("part", "shown"), [(1.0, "100 %"), (0.9999, "99 %"), (0.0, "0 %")])
def test_a_share_is_100_only_if_nothing_is_missing(part: float, shown: str) -> None:
    assert numbers.share(part) == shown


def test_a_slope_has_its_sign_and_one_decimal() -> None:
    assert (numbers.tenths(0.64), numbers.tenths(-0.64)) == ("+0.6", "-0.6")
