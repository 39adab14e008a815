"""Two tabs of one browser: what is changed in one shows in the other, and the demo never mixes with the own store."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from rideready.services.context import Context
from rideready.services.demo import samples_path
from rideready.services.diary import diary
from rideready.services.planning import set_window
from rideready.services.sessions import list_sessions
from rideready.services.training import get_training
from tests.browser.conftest import Visit, _serving
from tests.browser.test_today_week_plan import EARLIEST, LIKELY, MONDAY
from tests.dashboards.demo_store import an_empty_store

#: What a browser tells a page whose window is looked at again.
LOOKED_AT = "window.dispatchEvent(new Event('focus'))"


@pytest.fixture
def own(tmp_path: Path) -> Iterator[tuple[Context, str]]:
    context = replace(an_empty_store(tmp_path / "own.sqlite"), today=MONDAY)
    set_window(context, earliest=EARLIEST, likely=LIKELY)
    with_server = _serving(context)
    yield context, next(with_server)
    next(with_server, None)


@pytest.fixture
def tabs(open_visit: Callable[..., Visit], own: tuple[Context, str]) -> Iterator[tuple[Visit, Visit]]:
    """Open two tabs of one browser; both must be quiet at the end."""
    two = open_visit(own[1]), open_visit(own[1])
    yield two
    for visit in two:
        visit.page.close()
    for visit in two:
        visit.assert_quiet()


def test_what_is_logged_in_one_tab_shows_in_the_other_when_it_is_looked_at(tabs: tuple[Visit, Visit]) -> None:
    logging, looking = tabs
    week = looking.go("/week", until="main h1")
    week.wait_for_load_state("networkidle")
    before = week.locator("main").get_by_text(", done").count()
    page = logging.go("/", until="#today-done")
    page.click("#today-done")
    page.click("[aria-label='Rate it 6 of 10']")
    page.wait_for_selector("#today-written li")
    assert week.locator("main").get_by_text(", done").count() == before
    week.evaluate(LOOKED_AT)
    week.locator("main").get_by_text(", done").nth(before).wait_for()


def test_where_somebody_writes_the_change_is_offered_and_nothing_typed_is_lost(
    tabs: tuple[Visit, Visit], own: tuple[Context, str]
) -> None:
    _, writing = tabs
    page = writing.go("/rider", until="#rider-max")
    page.wait_for_load_state("networkidle")
    page.fill("#rider-max", "179")
    set_window(own[0], earliest=EARLIEST, likely=EARLIEST)  # as another program would
    page.evaluate(LOOKED_AT)
    page.get_by_text("The store has changed").wait_for()
    assert page.input_value("#rider-max") == "179"


def test_a_circuit_that_is_followed_is_not_drawn_anew(
    tabs: tuple[Visit, Visit], own: tuple[Context, str]
) -> None:
    visit, _ = tabs
    page = visit.go("/circuit/follow?top=2&exercises=4&start=from-cardio&rest=clock", until=".follow-button")
    page.wait_for_load_state("networkidle")
    page.get_by_role("button", name="Start with round 1").click()
    page.wait_for_selector(".follow-done")
    set_window(own[0], earliest=EARLIEST, likely=EARLIEST)
    n_asked = len(visit.requests)
    page.evaluate(LOOKED_AT)
    page.wait_for_timeout(300)
    assert visit.requests[n_asked:] == []


def test_the_demo_is_entered_and_left_by_a_press_and_the_other_tab_goes_along(
    tabs: tuple[Visit, Visit], own: tuple[Context, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    context, base = own
    samples = tmp_path / "samples"
    samples.mkdir()
    smallest = min(samples_path().glob("*.fit"), key=lambda path: path.stat().st_size)
    (samples / smallest.name).write_bytes(smallest.read_bytes())
    monkeypatch.setattr("rideready.services.demo.samples_path", lambda: samples)
    monkeypatch.setattr("rideready.services.demo.demo_path", lambda: tmp_path / "demo.sqlite")
    entering, other = tabs
    week = other.go("/week")
    week.wait_for_load_state("networkidle")
    page = entering.go("/start/files", until="#demo-open")
    page.wait_for_load_state("networkidle")
    page.click("#demo-open")
    for tab in (page, week):
        tab.wait_for_selector("#demo-leave", timeout=60_000)
        assert tab.url == f"{base}/"
    page.goto(f"{base}/sessions")
    page.wait_for_selector("main tbody tr")
    page.click("#demo-leave")
    week.wait_for_selector("#demo-leave", state="detached")
    page.wait_for_selector("#demo-open")
    assert (list_sessions(context), diary(context)) == ([], [])
    assert get_training(context).window.earliest == EARLIEST
