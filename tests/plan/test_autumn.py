"""A simulated autumn with a lost week, an injury tag and early snow: every rule holds on every day."""

import datetime as dt
from itertools import pairwise

import pytest

from rideready.model.week import MuscleGroup
from rideready.plan.week import usual_availability
from tests.plan.autumn import EARLY, FEVER_OVER, NEWS, Day, live
from tests.plan.season_rules import broken_ramp, broken_taper
from tests.plan.week_rules import broken_rules

DAY = dt.timedelta(days=1)


@pytest.fixture(scope="module")
def autumn() -> list[Day]:
    """Live it once."""
    return list(live(3))


def test_it_lasts_twelve_weeks_and_ends_on_the_eve_of_the_early_snow(autumn: list[Day]) -> None:
    assert len(autumn) == 82
    assert autumn[-1].day == EARLY.likely - DAY


def test_every_plan_of_every_day_keeps_every_rule_of_the_week(autumn: list[Day]) -> None:
    broken = {
        today.day: found
        for today in autumn
        if (
            found := broken_rules(
                today.plan, usual_availability(today.season, today.plan.week), today.done_before
            )
        )
    }
    assert broken == {}


def test_no_two_hard_days_and_no_muscle_group_within_48_hours_were_ever_done(autumn: list[Day]) -> None:
    hard = {today.day for today in autumn if any(s.is_hard for s in today.done)}
    assert len(hard) > 20
    assert {day for day in hard if day + DAY in hard} == set()
    for group in MuscleGroup:
        trained = {today.day for today in autumn if any(group in s.groups for s in today.done)}
        assert {day for day in trained if day + DAY in trained} == set()


def test_the_ramp_holds_against_what_was_really_done_and_the_taper_in_its_band(autumn: list[Day]) -> None:
    assert {today.day: found for today in autumn if (found := broken_ramp(today.season))} == {}
    assert {today.day: found for today in autumn if (found := broken_taper(today.season))} == {}


def test_nothing_hard_was_done_from_the_first_day_of_the_fever_to_six_days_after_it(
    autumn: list[Day],
) -> None:
    assert FEVER_OVER.last_day is not None
    bounded = [t for t in autumn if FEVER_OVER.first_day <= t.day <= FEVER_OVER.last_day + 6 * DAY]
    assert not any(session.is_hard for today in bounded for session in today.done)
    ill = [t for t in bounded if t.day <= FEVER_OVER.last_day]
    assert not any(today.done for today in ill)


def test_every_change_of_a_week_says_why(autumn: list[Day]) -> None:
    changes = [change for today in autumn if today.change for change in today.change.weeks]
    assert changes
    assert all(reason.sentence for change in changes for reason in change.reasons)
    assert all(change.reasons for change in changes)


@pytest.mark.parametrize(
    ("day", "code"),
    [
        (dt.date(2026, 10, 12), "season.cause_illness"),
        (dt.date(2026, 10, 17), "season.cause_illness_over"),
        (dt.date(2026, 11, 2), "season.cause_injury"),
        (dt.date(2026, 11, 9), "season.cause_earlier"),
        (dt.date(2026, 11, 13), "season.cause_injury_over"),
    ],
)
def test_each_piece_of_news_is_named_on_its_day(autumn: list[Day], day: dt.date, code: str) -> None:
    today = next(today for today in autumn if today.day == day)
    assert today.change is not None
    assert code in [reason.code for reason in today.change.causes]


def test_the_early_snow_says_what_is_given_up(autumn: list[Day]) -> None:
    snow = next(today.change for today in autumn if today.day == dt.date(2026, 11, 9))
    assert snow is not None
    assert "season.given_up" in [reason.code for reason in snow.consequences]


def test_days_without_news_change_no_target(autumn: list[Day]) -> None:
    for before, after in pairwise(autumn):
        if after.day not in NEWS and after.day.weekday() != 0:
            assert after.season.weeks[0].targets == before.season.weeks[0].targets
