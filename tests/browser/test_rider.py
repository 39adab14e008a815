"""What a rider does: look for a recovery, open it, narrow the view, go back, hand a link on."""

import json
import re
import urllib.request
from collections.abc import Callable
from typing import TYPE_CHECKING

from dashboards.theme import DARK
from tests.browser.conftest import Visit, wait_until

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

OPENED = "#recovery-opened h2"
SEASON_DOTS = ".season .scatterlayer path.point.plotly-customdata"


def _click_middle(page: "Page", mark: "Locator") -> None:
    """Click a mark of a figure: the library lays its own sheet over them."""
    box = mark.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def _lowest_dot(page: "Page") -> "Locator":
    """Find the lowest dot of the season: it stands alone, and is not the one open at first."""
    heights = page.locator(SEASON_DOTS).evaluate_all("all => all.map((e) => e.getBoundingClientRect().top)")
    return page.locator(SEASON_DOTS).nth(heights.index(max(heights)))


def _wait_for_change(page: "Page", selector: str, before: str) -> str:
    wait_until(page, f"document.querySelector({json.dumps(selector)})?.innerText !== {json.dumps(before)}")
    return page.inner_text(selector)


def test_a_dot_opens_its_curve_and_the_back_button_closes_it(visit: Visit) -> None:
    page = visit.go("/recovery", until=SEASON_DOTS)
    page.wait_for_selector(OPENED)
    first = page.inner_text(OPENED)
    _click_middle(page, _lowest_dot(page))
    second = _wait_for_change(page, OPENED, first)
    assert re.search(r"#\d+\.\d+$", page.url)
    assert page.locator(".curve .js-plotly-plot .points path.point").count() > 10
    page.go_back()
    assert _wait_for_change(page, OPENED, second) == first


def test_the_arrow_keys_step_from_recovery_to_recovery_and_the_ring_goes_along(visit: Visit) -> None:
    page = visit.go("/recovery", until="#step-earlier")
    ring = "document.querySelector('.season .js-plotly-plot').calcdata[0]"
    page.wait_for_selector(SEASON_DOTS)
    assert page.evaluate(f"{ring}.length") == 1
    first, before = page.inner_text(OPENED), page.evaluate(f"[{ring}[0].x, {ring}[0].y]")
    page.focus(".arrow-keys")
    page.keyboard.press("ArrowLeft")
    second = _wait_for_change(page, OPENED, first)
    wait_until(page, f"{ring}[0].x !== {before[0]} || {ring}[0].y !== {before[1]}")
    assert page.evaluate(f"{ring}.length") == 1
    page.keyboard.press("ArrowRight")
    assert _wait_for_change(page, OPENED, second) == first
    wait_until(page, f"{ring}[0].x === {before[0]} && {ring}[0].y === {before[1]}")
    assert page.evaluate("document.activeElement.className") == "arrow-keys"


def test_a_filter_changes_address_sentence_and_dots_and_goes_back(visit: Visit) -> None:
    page = visit.go("/recovery", until=SEASON_DOTS)
    everything = page.inner_text("#filter-summary")
    n_before = page.locator(SEASON_DOTS).count()
    page.click(".filters summary")
    page.get_by_text("fair", exact=True).first.click()
    narrowed = _wait_for_change(page, "#filter-summary", everything)
    assert page.url.endswith("?grade=fair")
    assert re.search(r"^Showing \d+ of \d+ recoveries: fair$", narrowed)
    wait_until(page, f"document.querySelectorAll({json.dumps(SEASON_DOTS)}).length < {n_before}")
    page.go_back()
    assert _wait_for_change(page, "#filter-summary", narrowed) == everything
    wait_until(page, "document.querySelectorAll('#recovery-verdict ~ * input:checked').length <= 1")


def test_a_link_brings_back_filters_view_and_recovery(visit: Visit) -> None:
    page = visit.go("/sessions/1", until="main tbody th a")
    link = page.locator("main tbody th a").first.get_attribute("href") or ""
    fragment = link.removeprefix("/recovery")
    page = visit.go(
        f"/recovery?grade=good,fair,rough&view=table&page=1{fragment}", until="#recovery-table tbody tr"
    )
    assert "good or fair or rough" in page.inner_text("#filter-summary")
    assert page.inner_text(OPENED).endswith("1st recovery")
    assert page.is_hidden(".season")
    # The controls say the same as the address, and leave it alone.
    page.wait_for_timeout(300)
    assert page.url.endswith(f"?grade=good,fair,rough&view=table&page=1{fragment}")


def test_a_row_of_the_table_opens_its_curve(visit: Visit) -> None:
    page = visit.go("/recovery?view=table", until="#recovery-table tbody tr")
    before = page.inner_text(OPENED)
    page.locator("#recovery-table tbody th a").last.click()
    assert _wait_for_change(page, OPENED, before) != before
    assert "view=table" in page.url


def test_from_the_list_to_a_session_to_one_of_its_recoveries_and_back(visit: Visit) -> None:
    page = visit.go("/recovery", until=OPENED)
    page.click("#nav-sessions")
    page.wait_for_selector("main tbody tr")
    wait_until(page, "document.title === 'Sessions, rideready'")
    assert page.get_attribute("#nav-sessions", "aria-current") == "page"
    page.goto(visit.base + "/sessions/1")
    pointer = page.wait_for_selector(".trace path.point.plotly-customdata")
    assert pointer is not None
    day = page.inner_text("main h1").split(",")[0]
    _click_middle(page, page.locator(".trace path.point.plotly-customdata").last)
    page.wait_for_selector(OPENED)
    assert page.inner_text(OPENED).startswith(day)
    page.go_back()
    page.wait_for_selector(".trace .js-plotly-plot")
    assert page.inner_text("main h1").startswith(day)


def test_dragging_across_a_trace_draws_every_second_of_that_stretch(visit: Visit) -> None:
    page = visit.go("/sessions/1", until=".trace .scatterlayer .trace")
    count = "document.querySelector('.trace .js-plotly-plot').calcdata[0].length"
    wide = page.evaluate(count)
    box = page.locator(".trace .nsewdrag").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] * 0.3, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.4, box["y"] + 100, steps=4)
    page.mouse.up()
    wait_until(page, f"{count} !== {wide}")
    seconds = page.evaluate(
        "(() => { const r = document.querySelector('.trace .js-plotly-plot').layout.xaxis.range;"
        " return 60 * (r[1] - r[0]); })()"
    )
    assert seconds < 0.2 * wide
    assert abs(page.evaluate(count) - seconds) <= 2
    page.mouse.dblclick(box["x"] + box["width"] * 0.5, box["y"] + 100)
    wait_until(page, f"{count} === {wide}")


def test_the_switch_changes_page_and_figures_and_is_remembered(
    open_visit: Callable[..., Visit], served: str
) -> None:
    # A reader of its own: what is remembered must not reach the other tests.
    visit = open_visit(served, locale="en-GB")
    page = visit.go("/recovery", until=".season .xtick text")
    page.click(".theme-switch")
    dark = "rgb({}, {}, {})".format(*(int(DARK["ink_soft"][i : i + 2], 16) for i in (1, 3, 5)))
    fill = "getComputedStyle(document.querySelector('.season .xtick text')).fill"
    wait_until(page, f"{fill} === {json.dumps(dark)}")
    page.reload()
    page.wait_for_selector(".season .xtick text")
    assert page.evaluate(fill) == dark
    page.close()
    visit.assert_quiet()


def test_the_keyboard_reaches_everything_and_shows_where_it_is(visit: Visit) -> None:
    page = visit.go("/recovery", until="#step-earlier")
    reached: list[str] = []
    while not reached or reached[-1] != "page end":
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.matches('body, :focus-visible')"), reached
        name = "e => e === document.body ? 'page end' : e.id || e.className || e.tagName"
        reached.append(page.evaluate(f"({name})(document.activeElement)"))
    assert reached[0] == "skip"
    assert {"nav-recovery", "nav-sessions", "arrow-keys", "step-earlier"} <= set(reached)


def test_on_a_phone_the_opened_curve_comes_into_view(open_visit: Callable[..., Visit], served: str) -> None:
    visit = open_visit(served, size="phone", has_touch=True, is_mobile=True)
    page = visit.go("/recovery", until=SEASON_DOTS)
    page.wait_for_selector(OPENED)
    before = page.inner_text(OPENED)
    lowest = _lowest_dot(page)
    lowest.scroll_into_view_if_needed()
    box = lowest.bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    _wait_for_change(page, OPENED, before)
    top = page.evaluate(f"document.querySelector({json.dumps(OPENED)}).getBoundingClientRect().top")
    page.close()
    visit.assert_quiet()
    assert 0 <= top <= 844


def test_a_first_run_says_how_to_begin(open_visit: Callable[..., Visit], served_empty: str) -> None:
    visit = open_visit(served_empty)
    page = visit.go("/recovery")
    said = page.inner_text("main")
    page.close()
    visit.assert_quiet()
    assert "No sessions yet" in said
    assert "Choose recordings" in said
    assert "Look around with simulated sessions" in said


def test_the_server_tells_that_it_is_well(served: str) -> None:
    with urllib.request.urlopen(f"{served}/health") as answer:  # noqa: S310 - our own server
        assert answer.read() == b"OK"
