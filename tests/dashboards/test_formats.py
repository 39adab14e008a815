"""Numbers and times are written with their unit, without false digits, by the clock on the wall."""

import datetime as dt
import math

import pytest

from dashboards import formats


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (34.4, "34"),
        (34.6, "35"),
        (-2.6, "\N{MINUS SIGN}3"),
        (-0.3, "0"),
        (None, "\N{EN DASH}"),
        (math.nan, "\N{EN DASH}"),
    ],
)
def test_a_heart_rate_is_written_in_whole_beats(value: float | None, text: str) -> None:
    assert formats.whole(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.62, "+0.6"), (-0.62, "\N{MINUS SIGN}0.6"), (0.04, "0.0"), (-0.04, "0.0"), (None, "\N{EN DASH}")],
)
def test_a_change_carries_its_sign_unless_it_rounds_to_none(value: float | None, text: str) -> None:
    assert formats.signed_tenths(value) == text


def test_the_interval_of_a_normal_estimate_reaches_two_standard_errors_less_a_little() -> None:
    # 97.5 % point of the standard normal distribution, 1.959964, any table.
    assert formats.half_width(2.0) == pytest.approx(2 * 1.959964, abs=1e-3)
    assert formats.half_width(None) is None
    assert formats.half_width(math.nan) is None


@pytest.mark.parametrize(("seconds", "text"), [(0, "0:00"), (65.4, "1:05"), (3725, "1:02:05")])
def test_a_time_within_a_session_reads_like_a_stopwatch(seconds: float, text: str) -> None:
    assert formats.clock(seconds) == text


@pytest.mark.parametrize(
    ("seconds", "text"), [(42, "42 s"), (2500, "42 min"), (3900, "1 h 05 min"), (7199, "2 h 00 min")]
)
def test_a_duration_is_said_in_the_coarsest_useful_unit(seconds: float, text: str) -> None:
    assert formats.duration(seconds) == text


@pytest.mark.parametrize(("number", "text"), [(10.4, "10 weeks"), (104, "104 weeks"), (764, "15 years")])
def test_a_long_span_is_said_in_years(number: float, text: str) -> None:
    assert formats.weeks(number) == text


def test_a_moment_is_placed_by_its_own_clock() -> None:
    zone = dt.timezone(dt.timedelta(hours=2))
    assert formats.wall_day(dt.datetime(1970, 1, 2, 12, 0, tzinfo=zone)) == 1.5
    assert formats.day_and_time(dt.datetime(2026, 9, 1, 7, 5, tzinfo=zone)) == "1 Sep 2026, 07:05"
    assert formats.date_of(1.5) == dt.date(1970, 1, 2)


def test_a_missing_date_is_said_and_never_placed() -> None:
    assert formats.day(None) == "no date"
    assert formats.day_and_time(None) == "no date"
    assert math.isnan(formats.wall_day(None))


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (1, "1st"),
        (2, "2nd"),
        (3, "3rd"),
        (4, "4th"),
        (11, "11th"),
        (12, "12th"),
        (21, "21st"),
        (113, "113th"),
    ],
)
def test_an_ordinal_has_its_english_ending(number: int, text: str) -> None:
    assert formats.ordinal(number) == text


def test_a_recorder_goes_without_the_word_for_no_maker_unless_two_would_read_the_same() -> None:
    assert [formats.recorder(name) for name in ("development strap", "strap", None)] == ["strap", "strap", ""]
    names = ["development strap", "strap", "development watch"]
    labels = [choice["label"] for choice in formats.recorder_choices(names)]
    assert labels == ["development strap", "strap", "watch"]
