"""Every page, at both sizes and in both themes: no fault that axe calls serious, nothing wider than the screen.

Each page is opened once and then turned about: axe reads all of it at either size, and its contrast in the
other theme as well, since a theme changes nothing but colours.
"""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest
from axe_core_python.sync_playwright import Axe

from rideready.model.exercise import Equipment
from rideready.services.diary import write_entry
from rideready.services.planning import set_window
from rideready.services.training import update_training
from tests.browser.conftest import SIZES, Visit, _serving, wait_until
from tests.browser.screenshots import PAGES
from tests.browser.test_today_week_plan import EARLIEST, LIKELY
from tests.dashboards.demo_store import a_demo_store

if TYPE_CHECKING:
    from playwright.sync_api import Page

#: What the pictures leave out: the followed circuit, and the table in the place of the figure.
PLACES = {
    **PAGES,
    "session": "/sessions/1",
    "follow": "/circuit/follow?top=2&exercises=4&start=from-cardio&rest=clock",
    "table": "/recovery?view=table",
    "trial": "/week?earliest=2026-11-28&likely=2026-12-12",
    "nowhere": "/nowhere",
}
#: What else tells that a page is there.
DRAWN = {"follow": ".follow-button", "recovery": ".curve path.point", "session": ".trace path.js-line"}

AXE = Axe().axe_script
#: Rows of a long table are made like those above them, and marks of a figure are no text.
ALIKE = [["tbody tr:nth-child(n + 7)"], [".js-plotly-plot .plot"]]

#: Text and marks of a page that stick out of the screen.
STICKING_OUT = """Array.from(document.querySelectorAll('main *:not(svg):not(svg *)'))
  .filter((e) => e.checkVisibility() && e.getBoundingClientRect().right > window.innerWidth + 1
    && !e.closest('.table'))
  .map((e) => e.outerHTML.slice(0, 120))"""


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    context = a_demo_store(tmp_path_factory.mktemp("pages") / "demo.sqlite")
    set_window(context, earliest=EARLIEST, likely=LIKELY)
    update_training(context, equipment=(Equipment.BIKE, Equipment.KETTLEBELL, Equipment.BOX, Equipment.BAND))
    write_entry(context, "stretching", minutes=10)
    with_server = _serving(context)
    yield next(with_server)
    next(with_server, None)


@pytest.mark.parametrize("name", PLACES)
def test_the_page_is_whole_and_readable_at_both_sizes_and_in_both_themes(
    open_visit: Callable[..., Visit], base: str, name: str
) -> None:
    visit = open_visit(base, size="phone")
    page = visit.go(PLACES[name], until=DRAWN.get(name, "main h1"))
    page.evaluate("document.querySelectorAll('main details').forEach((d) => { d.open = true; })")
    page.evaluate(AXE)
    found = {}
    for size, first, second in (("phone", "light", "dark"), ("laptop", "dark", "light")):
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        found[f"wider than a {size}"] = _sideways(page)
        found[f"{size}, {first}"] = _serious(page, first, {})
        found[f"{size}, {second}"] = _serious(page, second, {"runOnly": ["color-contrast"]})
    page.close()
    visit.assert_quiet()
    assert {where: what for where, what in found.items() if what} == {}


def _sideways(page: "Page") -> list[Any]:
    """Return by how much the page is wider than the screen, and what sticks out of it."""
    too_wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    return [*([too_wide] if too_wide > 0 else []), *page.evaluate(STICKING_OUT)]


def _serious(page: "Page", theme: str, options: dict[str, Any]) -> list[Any]:
    page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
    scheme = "document.documentElement.getAttribute('data-mantine-color-scheme')"
    wait_until(page, f"{scheme} === '{theme}'")
    told = [{"exclude": ALIKE}, {"resultTypes": ["violations"], **options}]
    found = page.evaluate("([context, options]) => axe.run(context, options)", told)
    assert found["passes"], "axe did not run"
    return [
        (violation["id"], [node["target"] for node in violation["nodes"]])
        for violation in found["violations"]
        if violation["impact"] in {"serious", "critical"}
    ]
