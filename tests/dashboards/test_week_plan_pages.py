"""The pages of the week and the plan say what the services plan, and try dates without keeping them."""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from dashboards.app import page_of
from dashboards.components.window_trial import days_moved, moved_by
from dashboards.context import Look
from dashboards.urls import read_window, write_window
from rideready.model.season import OpeningWindow
from rideready.services.context import Context, open_context
from rideready.services.diary import write_entry
from rideready.services.planning import season, set_window, this_week, week_progress
from rideready.services.training import get_training, update_training
from tests.dashboards.test_app import parts, texts

#: A Monday.
MONDAY = dt.date(2026, 10, 12)
KEPT = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))
TRIED = "?earliest=2026-11-28&likely=2026-12-12"


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    opened = open_context(tmp_path / "store.sqlite", today=MONDAY)
    set_window(opened, earliest=KEPT.earliest, likely=KEPT.likely)
    update_training(opened, usual_min=150.0)
    yield opened
    opened.store.close()


def said(ctx: Context, path: str, search: str = "") -> str:
    return texts(page_of(Look(ctx, path, search))[0])


def test_the_week_shows_every_day_and_every_placed_session(ctx: Context) -> None:
    shown = said(ctx, "/week")
    names = ("Mon 12", "Tue 13", "Wed 14", "Thu 15", "Fri 16", "Sat 17", "Sun 18")
    assert [name for name in names if name not in shown] == []
    for day in this_week(ctx).days:
        for session in day.sessions:
            assert f"{session.minutes} min" in shown


def test_what_is_logged_counts_as_done_and_is_no_longer_left(ctx: Context) -> None:
    before = {line.what: line for line in week_progress(ctx).targets}["strength sessions"]
    write_entry(ctx, "strength", minutes=30, rpe=5)
    after = {line.what: line for line in week_progress(ctx).targets}["strength sessions"]
    assert (before.done, after.done) == (0, 1)
    assert after.left == before.left - 1
    assert "Strength session, 30 min, done" in said(ctx, "/week")


def test_a_target_done_twice_over_leaves_nothing_and_not_less(ctx: Context) -> None:
    for _ in range(5):
        write_entry(ctx, "stretching", minutes=10)
    line = {line.what: line for line in week_progress(ctx).targets}["mobility sessions"]
    assert (line.done, line.left) == (5, 0.0)


def test_the_plan_lists_every_week_with_its_reasons(ctx: Context) -> None:
    page, title = page_of(Look(ctx, "/plan"))
    planned = season(ctx)
    shown = texts(page)
    assert title == "Plan, rideready"
    assert sum(getattr(part, "className", "") == "why" for part in parts(page)) == len(planned.weeks)
    for reason in (*planned.statements, *(one for week in planned.weeks for one in week.reasons)):
        assert reason.sentence in shown


@pytest.mark.parametrize("path", ["/week", "/plan"])
def test_a_tried_window_is_shown_and_not_kept(ctx: Context, path: str) -> None:
    shown = said(ctx, path, TRIED)
    assert "Tried out: Sat 28 Nov 2026 to Sat 12 Dec 2026" in shown
    assert "The likely opening day moves 7 days earlier" in shown
    assert get_training(ctx).window == KEPT


@pytest.mark.parametrize(
    "search", ["", "?earliest=2026-12-24&likely=2026-12-12", "?earliest=soon", "?likely=x"]
)
def test_an_address_that_holds_no_window_tries_none(ctx: Context, search: str) -> None:
    assert read_window(search) is None
    assert "Kept: Sat 5 Dec 2026 to Sat 19 Dec 2026" in said(ctx, "/week", search)


@pytest.mark.parametrize("path", ["/week", "/plan"])
def test_without_an_opening_window_the_way_to_say_it_is_shown(nothing: Context, path: str) -> None:
    assert "When may the season open?" in said(nothing, path)


def test_a_window_comes_back_from_its_address() -> None:
    assert read_window(write_window(KEPT)) == KEPT


def test_the_slider_moves_both_days_together() -> None:
    moved = moved_by(KEPT, -7)
    assert moved == OpeningWindow(dt.date(2026, 11, 28), dt.date(2026, 12, 12))
    assert days_moved(KEPT, moved) == -7
    assert days_moved(KEPT, None) == 0
