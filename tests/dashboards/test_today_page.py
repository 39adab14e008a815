"""The page of the day says one answer, and shows what was written down."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.app import page_of
from dashboards.components.today_log import said_of
from dashboards.context import Look
from dashboards.pages import today
from rideready.services.context import Context, open_context
from rideready.services.diary import write_entry
from rideready.services.planning import set_window, todays_answer
from rideready.services.riders import update_rider
from rideready.services.training import update_training
from rideready.store.day_log import Book, DayLine
from tests.dashboards.test_app import parts, texts

MONDAY = dt.date(2026, 11, 2)


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    opened = open_context(tmp_path / "store.sqlite", today=MONDAY)
    update_rider(opened, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    set_window(opened, earliest=dt.date(2026, 12, 5), likely=dt.date(2026, 12, 19))
    update_training(opened, usual_min=150.0)
    yield opened
    opened.store.close()


def test_the_page_names_session_minutes_pulse_and_days_left(ctx: Context) -> None:
    page, title = page_of(Look(ctx, "/"))
    said, answer = texts(page), todays_answer(ctx)
    assert title == "Today, rideready"
    assert answer.sessions[0].kind.label in said.lower()
    assert f"{answer.minutes} min" in said
    low, high = next((p.effort.low_bpm, p.effort.high_bpm) for p in answer.parts if p.effort)
    assert f"{low} to {high}" in said
    # From 2 November to 5 December.
    assert "33 days to the opening window" in said


def test_every_caution_of_the_day_stands_on_the_page(ctx: Context) -> None:
    said = texts(page_of(Look(ctx, "/"))[0])
    cautions = [reason.sentence for reason in todays_answer(ctx).cautions]
    assert cautions
    assert all(caution in said for caution in cautions)


def test_a_day_with_a_session_offers_eleven_ratings_and_a_day_off_none(ctx: Context) -> None:
    assert len(_ratings(ctx)) == 11
    update_training(ctx, minutes_by_weekday=(0, 45, 45, 45, 45, 60, 60))
    assert _ratings(ctx) == []


def test_what_was_written_today_can_be_taken_back(ctx: Context) -> None:
    write_entry(ctx, "sore", tags=["knee"])
    said = texts(page_of(Look(ctx, "/"))[0])
    assert "Sore, knee" in said
    assert "Take back" in said


def test_medicine_is_warned_of_where_pulse_would_be_a_guide(ctx: Context) -> None:
    update_rider(ctx, takes_heart_rate_medicine=True)
    assert "Beta-blockers" in texts(page_of(Look(ctx, "/"))[0])


def test_without_an_opening_window_this_is_not_the_page_of_the_day(nothing: Context) -> None:
    assert today.page_at(Look(nothing, "/")) is None


def test_on_the_day_itself_no_days_are_left_to_count(ctx: Context) -> None:
    set_window(ctx, earliest=MONDAY, likely=dt.date(2026, 12, 19))
    said = texts(page_of(Look(replace(ctx), "/"))[0])
    assert "to the opening window" not in said


def _ratings(ctx: Context) -> list[object]:
    page, _ = page_of(Look(ctx, "/"))
    found = [part for part in parts(page) if isinstance(getattr(part, "id", None), dict)]
    return [part for part in found if part.id["type"] == "today-rate"]


def test_days_away_are_written_as_days() -> None:
    line = DayLine(Book.DIARY, 1, "away", tags=("2026-11-23", "2026-11-27"))
    assert said_of(line) == "Away, 23 Nov to 27 Nov"
