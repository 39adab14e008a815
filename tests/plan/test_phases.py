"""Phases and easier weeks."""

import datetime as dt
from itertools import product

import pytest

from rideready.model.season import OpeningWindow, Phase
from rideready.plan.phases import burst_start, calendar, easier_weeks

WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))


def pattern(count: int, run: int = 0, forced: tuple[int, ...] = ()) -> str:
    """Write the weeks before the taper as full (x) and easier (o)."""
    easier = easier_weeks(count, run, forced=forced)
    return "".join("o" if week in easier else "x" for week in range(count))


def test_phases_follow_each_other_up_to_opening_day() -> None:
    rows = calendar(WINDOW, dt.date(2026, 8, 26), dt.date(2026, 8, 26))
    order = [Phase.BUILD] * 11 + [Phase.BURSTS] * 4 + [Phase.TAPER] * 2
    assert [row.phase for row in rows] == order
    assert rows[0].start == dt.date(2026, 8, 24)
    assert rows[-1].last_day == dt.date(2026, 12, 18)
    assert [row.ends_with_eve for row in rows] == [False] * 16 + [True]


def test_an_opening_day_on_a_monday_leaves_a_week_without_days_and_an_eve_in_the_week_before() -> None:
    window = OpeningWindow(dt.date(2026, 12, 14), dt.date(2026, 12, 14))
    rows = calendar(window, dt.date(2026, 11, 23), dt.date(2026, 11, 23))
    assert [row.phase for row in rows] == [Phase.BURSTS, Phase.TAPER, Phase.TAPER, Phase.OPENING]
    assert rows[-1].last_day < rows[-1].start
    assert rows[-2].ends_with_eve


def test_burst_practice_begins_three_weeks_before_the_earliest_day_at_the_latest() -> None:
    wide = OpeningWindow(dt.date(2026, 11, 4), dt.date(2026, 12, 19))
    assert burst_start(wide, dt.date(2026, 8, 24)) == dt.date(2026, 10, 12)
    assert burst_start(WINDOW, dt.date(2026, 8, 24)) == dt.date(2026, 11, 9)


def test_phases_do_not_move_when_the_plan_is_made_again_later() -> None:
    began = dt.date(2026, 8, 24)
    first = {row.start: row.phase for row in calendar(WINDOW, began, began)}
    later = {row.start: row.phase for row in calendar(WINDOW, dt.date(2026, 11, 3), began)}
    assert later.items() <= first.items()


@pytest.mark.parametrize(("count", "run"), list(product(range(16), range(4))))
def test_no_more_than_three_full_weeks_stand_in_a_row(count: int, run: int) -> None:
    weeks = "x" * run + pattern(count, run)
    assert "xxxx" not in weeks


@pytest.mark.parametrize("count", range(1, 105))
def test_the_taper_follows_full_weeks_and_easier_ones_are_every_third_or_fourth(count: int) -> None:
    weeks = pattern(count)
    assert weeks.endswith("x")
    runs = weeks.split("o")
    assert all(len(run) in {2, 3} for run in runs[:-1])


def test_exact_patterns_for_the_usual_lengths() -> None:
    assert [pattern(n) for n in (3, 4, 5, 7, 11)] == ["xxx", "xxox", "xxoxx", "xxxoxxx", "xxxoxxxoxxx"]


def test_a_week_lost_beforehand_is_the_easier_one() -> None:
    assert pattern(9, forced=(3,)) == "xxxoxxoxx"
    assert pattern(7, forced=(2,)) == "xxoxxox"
