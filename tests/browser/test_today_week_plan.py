"""What a rider does with the first steps, the page of the day, the week and the plan."""

import datetime as dt
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rideready.services.context import Context
from rideready.services.done import days_away
from rideready.services.planning import set_window
from rideready.services.riders import get_rider
from rideready.services.training import get_training, update_training
from tests.browser.conftest import Visit, _serving, wait_until
from tests.dashboards.demo_store import an_empty_store

#: A Monday on which a circuit is due.
MONDAY = dt.date(2026, 11, 2)
EARLIEST, LIKELY = dt.date(2026, 12, 5), dt.date(2026, 12, 19)


@pytest.fixture
def ready(tmp_path: Path) -> Iterator[tuple[Context, str]]:
    """Serve a store with an opening window and nothing done, and say where."""
    context = replace(an_empty_store(tmp_path / "ready.sqlite"), today=MONDAY)
    set_window(context, earliest=EARLIEST, likely=LIKELY)
    update_training(context, usual_min=150.0)
    with_server = _serving(context)
    yield context, next(with_server)
    next(with_server, None)


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[tuple[Context, str]]:
    """Serve an empty store, and say where."""
    context = replace(an_empty_store(tmp_path / "fresh.sqlite"), today=MONDAY)
    with_server = _serving(context)
    yield context, next(with_server)
    next(with_server, None)


def test_a_session_is_logged_in_two_taps_and_taken_back(
    open_visit: Callable[..., Visit], ready: tuple[Context, str]
) -> None:
    visit = open_visit(ready[1], size="phone", has_touch=True)
    page = visit.go("/", until="#today-done")
    planned = page.inner_text("main h1")
    page.tap("#today-done")
    page.tap("[aria-label='Rate it 6 of 10']")
    page.wait_for_selector("#today-written li")
    assert "RPE 6" in page.inner_text("#today-written")
    assert page.locator("#today-done").count() == 0
    while page.locator("#today-written li").count():
        n_lines = page.locator("#today-written li").count()
        page.locator("#today-written button").first.tap()
        wait_until(page, f"document.querySelectorAll('#today-written li').length < {n_lines}")
    page.wait_for_selector("#today-done")
    assert page.inner_text("main h1") == planned
    page.close()
    visit.assert_quiet()


def test_the_opening_date_is_moved_by_keyboard_tried_and_kept(
    open_visit: Callable[..., Visit], ready: tuple[Context, str]
) -> None:
    context, base = ready
    visit = open_visit(base, locale="en-GB")
    page = visit.go("/week", until="[role=slider]")
    page.focus("[role=slider]")
    for step in range(7):
        page.keyboard.press("ArrowLeft")
        wait_until(page, f"location.search.includes('earliest=2026-{_day(step + 1)}')")
    # The address is a step ahead of the server's answer, which still tells of the step before.
    said = "The likely opening day moves 7 days earlier"
    wait_until(page, f"document.querySelector('#window-trial').innerText.includes('{said}')")
    assert get_training(context).window.earliest == EARLIEST
    page.go_back()
    wait_until(page, "document.querySelector('#window-trial').innerText.includes('6 days earlier')")
    page.go_forward()
    wait_until(page, "document.querySelector('#window-trial').innerText.includes('7 days earlier')")
    page.click("#window-keep-week")
    wait_until(page, "location.search === ''")
    wait_until(page, "document.querySelector('main').innerText.includes('Sat 28 Nov 2026')")
    assert get_training(context).window.earliest == EARLIEST - dt.timedelta(days=7)
    page.close()
    visit.assert_quiet()


def test_days_away_are_told_on_the_plan_which_says_what_changes_and_takes_them_back(
    open_visit: Callable[..., Visit], ready: tuple[Context, str]
) -> None:
    context, base = ready
    visit = open_visit(base, size="phone", locale="en-GB")
    page = visit.go("/plan", until="#lost-write")
    for name, day in (("#lost-first", "9 November 2026"), ("#lost-last", "15 November 2026")):
        page.click(name)
        _to_month_of(page, day)
        page.get_by_role("button", name=re.compile(rf"^{day}")).click()
    page.click("#lost-write")
    page.get_by_text("Away: Mon 9 Nov 2026 to Sun 15 Nov 2026").wait_for()
    assert "What changes" in page.inner_text("main")
    assert len(days_away(context)) == 1
    page.get_by_role("button", name="Take back: Away").click()
    page.get_by_text("Told so far").wait_for(state="detached")
    assert days_away(context) == ()
    page.close()
    visit.assert_quiet()


def _to_month_of(page: Any, day: str) -> None:
    """Turn the calendar that is open to a day's month."""
    _, month, year = day.split()
    while not page.get_by_text(f"{month} {year}", exact=True).count():
        page.locator("[data-direction=next]").first.click()


def _day(moved: int) -> str:
    return f"{EARLIEST - dt.timedelta(days=moved):%m-%d}"


def test_an_empty_store_leads_in_three_steps_to_the_first_day(
    open_visit: Callable[..., Visit], fresh: tuple[Context, str]
) -> None:
    context, base = fresh
    visit = open_visit(base, size="phone")
    page = visit.go("/", until="#first-save-rider")
    page.fill("#first-age", "41")
    page.fill("#first-maximum", "181")
    page.fill("#first-resting", "54")
    page.click("#first-save-rider")
    page.wait_for_selector("#first-on")
    assert (get_rider(context).max_hr_bpm, get_rider(context).resting_hr_bpm) == (181.0, 54.0)
    page.click("#first-on")
    for name, day in (("#first-earliest", "5 December 2026"), ("#first-likely", "19 December 2026")):
        page.click(name)
        page.get_by_role("button", name="Next month").or_(page.locator("[data-direction=next]")).first.click()
        page.get_by_role("button", name=re.compile(rf"^{day}")).click()
    page.fill("#first-usual", "150")
    page.click("#first-save-window")
    page.wait_for_selector("#today-done")
    assert get_training(context).window.likely == LIKELY
    assert "bpm" in page.inner_text(".day-parts")
    page.close()
    visit.assert_quiet()


def test_the_ways_fit_a_phone_and_every_page_is_within_two_taps(
    open_visit: Callable[..., Visit], ready: tuple[Context, str]
) -> None:
    visit = open_visit(ready[1], size="phone", has_touch=True)
    page = visit.go("/", until="#today-done")
    heights = page.eval_on_selector_all(
        "nav > a:not(.later), nav summary", "all => all.map((e) => e.getBoundingClientRect().height)"
    )
    assert min(heights) >= 44
    page.tap("nav summary")
    page.tap("#nav-more-plan")
    page.wait_for_selector(".season path")
    assert page.evaluate("document.querySelector('nav details').open") is False
    page.close()
    visit.assert_quiet()
