"""The pages of the week and the plan say what the services plan, and try dates without keeping them."""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

import pytest

from dashboards.app import page_of
from dashboards.components.window_trial import days_moved, moved_by
from dashboards.context import Look
from dashboards.pages.plan import tell_lost_days
from dashboards.urls import read_window, write_window
from rideready.errors import BadInput
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


def test_days_away_told_on_the_plan_are_listed_and_change_it(ctx: Context) -> None:
    said(ctx, "/plan")  # a change is told of a plan that was seen
    tell_lost_days(ctx, "away", "2026-11-02", "2026-11-08")
    shown = said(ctx, "/plan")
    assert "Away: Mon 2 Nov 2026 to Sun 8 Nov 2026" in shown
    assert "Planned anew on Mon 12 Oct 2026" in shown
    with pytest.raises(BadInput, match="begins some day"):
        tell_lost_days(ctx, "away", None, "2026-11-08")


def test_the_figure_of_the_season_is_there_as_a_table_and_as_csv(ctx: Context) -> None:
    page, _ = page_of(Look(ctx, "/plan"))
    (link,) = [part for part in parts(page) if getattr(part, "download", None) == "season.csv"]
    lines = unquote(link.href.split(",", 1)[1]).splitlines()
    assert lines[0].split(",")[0] == "week_of"
    planned = season(ctx).weeks
    assert len(lines) == 1 + len(planned)  # nothing was done before
    last = lines[-1].split(",")
    assert last[0] == planned[-1].start.isoformat()
    assert float(last[3]) == planned[-1].targets.moderate_equivalent_min
    assert texts(page).count("Most the ramp allows") == 1
