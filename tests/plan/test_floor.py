"""The floor; it is this project's own, so the tests hold it to its own words."""

import datetime as dt
from dataclasses import replace

import pytest

from rideready.plan.floor import FloorWeek, floor_lines, floor_status

MONDAY = dt.date(2026, 11, 2)
GOOD = FloorWeek(MONDAY, 150, 2, 1, 1, 45)


def weeks_of(*weeks: FloorWeek) -> list[FloorWeek]:
    """Put weeks one after the other."""
    return [replace(week, start=MONDAY + dt.timedelta(weeks=n)) for n, week in enumerate(weeks)]


def test_four_good_weeks_are_on_the_floor() -> None:
    lines = floor_lines(weeks_of(GOOD, GOOD, GOOD, GOOD), MONDAY + dt.timedelta(weeks=4))
    assert [line.given for line in lines] == [4, 4, 4, 4, 45]
    assert all(line.is_met for line in lines)


@pytest.mark.parametrize(
    ("worse", "what"),
    [
        (replace(GOOD, minutes=149), "weeks with 150 min"),
        (replace(GOOD, strength_days=1), "weeks with 2 strength days"),
        (replace(GOOD, circuits=0), "circuits"),
        (replace(GOOD, burst_practices=0), "burst practices"),
    ],
)
def test_three_weeks_that_lack_one_thing_lack_it_in_the_floor(worse: FloorWeek, what: str) -> None:
    lines = floor_lines(weeks_of(GOOD, worse, worse, worse), MONDAY + dt.timedelta(weeks=4))
    assert [line.what for line in lines if not line.is_met] == [what]


def test_only_weeks_that_have_ended_count_and_only_four_of_them() -> None:
    weeks = weeks_of(GOOD, GOOD, GOOD, GOOD, GOOD, GOOD)
    on_a_saturday = MONDAY + dt.timedelta(weeks=5, days=5)
    assert floor_lines(weeks, on_a_saturday)[2].given == 4
    assert floor_lines(weeks, MONDAY + dt.timedelta(days=6))[2].given == 0


def test_a_week_missing_among_the_last_four_counts_as_nothing() -> None:
    weeks = [week for n, week in enumerate(weeks_of(GOOD, GOOD, GOOD, GOOD)) if n not in {1, 2}]
    assert floor_lines(weeks, MONDAY + dt.timedelta(weeks=4))[2].given == 2


def test_it_is_reached_from_the_day_from_which_it_holds_to_the_earliest_day() -> None:
    poor = replace(GOOD, minutes=0, circuits=0)
    weeks = weeks_of(poor, poor, GOOD, GOOD, GOOD, GOOD)
    earliest = MONDAY + dt.timedelta(weeks=6)
    status = floor_status(weeks, MONDAY, earliest, earliest + dt.timedelta(days=5))
    assert status.is_sure_by_earliest
    assert status.reached_by == MONDAY + dt.timedelta(weeks=5)


def test_reached_too_late_names_the_later_day_and_never_names_none() -> None:
    poor = replace(GOOD, circuits=0)
    weeks = weeks_of(poor, poor, GOOD, GOOD, GOOD, GOOD)
    earliest = MONDAY + dt.timedelta(weeks=4)
    late = floor_status(weeks, MONDAY, earliest, MONDAY + dt.timedelta(weeks=6))
    never = floor_status(weeks, MONDAY, earliest, earliest + dt.timedelta(days=3))
    assert (late.is_sure_by_earliest, late.reached_by) == (False, MONDAY + dt.timedelta(weeks=5))
    assert (never.is_sure_by_earliest, never.reached_by) == (False, None)


def test_a_floor_that_was_reached_and_lost_again_is_not_sure() -> None:
    poor = FloorWeek(MONDAY, 0, 0, 0, 0, 0)
    weeks = weeks_of(GOOD, GOOD, GOOD, GOOD, poor, poor, poor)
    status = floor_status(weeks, MONDAY, MONDAY + dt.timedelta(weeks=7), MONDAY + dt.timedelta(weeks=8))
    assert (status.is_sure_by_earliest, status.reached_by) == (False, None)
