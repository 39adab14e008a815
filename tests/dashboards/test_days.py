"""A season's axis gets marks that fall on real dates."""

import datetime as dt

import pytest

from dashboards.figures.days import mark_days


def _number(day: dt.date) -> float:
    return float((day - dt.date(1970, 1, 1)).days)


def test_an_autumn_is_marked_by_its_months_with_weeks_between() -> None:
    marks = mark_days(_number(dt.date(2026, 8, 24)), _number(dt.date(2026, 11, 14)) + 0.7)
    assert marks.labels == ("Sep<br>2026", "Oct", "Nov")
    assert marks.at == tuple(_number(dt.date(2026, month, 1)) for month in (9, 10, 11))
    mondays = [dt.date(1970, 1, 1) + dt.timedelta(days=day) for day in marks.minor_at]
    assert mondays[0] == dt.date(2026, 8, 24)
    assert {day.weekday() for day in mondays} == {0}


def test_three_weeks_are_marked_by_mondays() -> None:
    marks = mark_days(_number(dt.date(2026, 9, 2)), _number(dt.date(2026, 9, 28)))
    assert marks.labels == ("7 Sep<br>2026", "14 Sep", "21 Sep", "28 Sep")


def test_a_single_day_still_has_a_mark() -> None:
    marks = mark_days(_number(dt.date(2026, 9, 2)) + 0.3, _number(dt.date(2026, 9, 2)) + 0.8)
    assert marks.labels[0] == "2 Sep<br>2026"


def test_a_new_year_is_named_where_it_begins() -> None:
    marks = mark_days(_number(dt.date(2026, 11, 5)), _number(dt.date(2027, 2, 10)))
    assert marks.labels == ("Dec<br>2026", "Jan<br>2027", "Feb")


@pytest.mark.parametrize("days", [1, 10, 30, 50, 100, 400, 700, 3650])
def test_no_span_gets_more_marks_than_a_phone_can_show(days: int) -> None:
    marks = mark_days(20_000.0, 20_000.0 + days)
    assert 1 <= len(marks.at) <= 12
    assert all(20_000 <= at <= 20_001 + days for at in marks.at)
