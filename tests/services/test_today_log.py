"""What was planned for today is written down at one word, and taken back at another."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from rideready.errors import BadInput, NotInStore
from rideready.services.context import Context, open_context
from rideready.services.diary import write_entry, write_resting_pulse
from rideready.services.planning import set_window, todays_answer
from rideready.services.riders import add_rider
from rideready.services.today_log import log_as_planned, take_back, written_today
from rideready.services.training import update_training

#: A Monday five weeks before the window.
MONDAY = dt.date(2026, 11, 2)


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    opened = open_context(tmp_path / "store.sqlite", today=MONDAY)
    set_window(opened, earliest=dt.date(2026, 12, 5), likely=dt.date(2026, 12, 19))
    update_training(opened, usual_min=150.0)
    yield opened
    opened.store.close()


def a_day_with(ctx: Context, kind: str) -> Context:
    """Find the first day of the week on which a kind of session is planned."""
    days = (replace(ctx, today=MONDAY + dt.timedelta(days=n)) for n in range(7))
    return next(day for day in days if kind in {one.kind.value for one in todays_answer(day).sessions})


def test_a_circuit_done_as_planned_is_logged_with_its_lead_in(ctx: Context) -> None:
    day = a_day_with(ctx, "circuit")
    lines = log_as_planned(day, rpe=6)
    assert {(line.kind, line.rpe) for line in lines} >= {("circuit", 6.0), ("cardio", None)}


def test_what_was_done_as_planned_is_not_asked_for_again_today(ctx: Context) -> None:
    day = a_day_with(ctx, "circuit")
    log_as_planned(day, rpe=6)
    assert "circuit" not in {one.kind.value for one in todays_answer(day).sessions}


def test_a_line_taken_back_is_gone_and_the_day_is_planned_as_before(ctx: Context) -> None:
    day = a_day_with(ctx, "circuit")
    before = todays_answer(day)
    for line in log_as_planned(day, rpe=6):
        take_back(day, book=line.book, number=line.number)
    assert written_today(day) == []
    assert todays_answer(day) == before


def test_a_line_can_be_taken_back_once(ctx: Context) -> None:
    write_resting_pulse(ctx, 54)
    (line,) = written_today(ctx)
    take_back(ctx, book=line.book, number=line.number)
    with pytest.raises(NotInStore, match="not there any more"):
        take_back(ctx, book=line.book, number=line.number)


def test_only_todays_lines_are_listed_and_only_they_can_be_taken_back(ctx: Context) -> None:
    write_entry(ctx, "sore", tags=["knee"])
    (line,) = written_today(ctx)
    tomorrow = replace(ctx, today=MONDAY + dt.timedelta(days=1))
    assert written_today(tomorrow) == []
    with pytest.raises(NotInStore):
        take_back(tomorrow, book=line.book, number=line.number)
    assert written_today(ctx) == [line]


def test_another_riders_line_cannot_be_taken_back(ctx: Context) -> None:
    write_entry(ctx, "strength", minutes=30)
    (line,) = written_today(ctx)
    add_rider(ctx.store.place, "Tam")
    tam = open_context(ctx.store.place, rider="Tam", today=MONDAY)
    with pytest.raises(NotInStore):
        take_back(tam, book=line.book, number=line.number)
    tam.store.close()


def test_nothing_planned_is_nothing_done(ctx: Context) -> None:
    update_training(ctx, minutes_by_weekday=(0, 45, 45, 45, 45, 60, 60))
    with pytest.raises(BadInput, match="nothing is planned for today"):
        log_as_planned(ctx, rpe=3)


def test_a_rating_over_ten_writes_nothing(ctx: Context) -> None:
    day = a_day_with(ctx, "circuit")
    with pytest.raises(BadInput):
        log_as_planned(day, rpe=11)
    assert written_today(day) == []
