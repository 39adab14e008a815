"""Pages with figures and tables, on a laptop and a phone, in both themes: whole, quiet, and private."""

from collections.abc import Callable, Iterator

import pytest

from dashboards.theme import DARK, LIGHT
from tests.browser.conftest import SIZES, Visit

#: Address, and what tells that it is drawn.
PAGES = {
    "recovery": ("/recovery", ".curve path.point"),
    "table": ("/recovery?view=table", "#recovery-table tbody tr"),
    "sessions": ("/sessions", "main tbody tr"),
    "session": ("/sessions/1", ".trace path.js-line"),
}

#: The two pages with figures everywhere, the two with nothing but a table once each.
COMBINATIONS = [
    (page, size, theme) for size in SIZES for theme in ("light", "dark") for page in ("recovery", "session")
]
COMBINATIONS += [("table", "phone", "dark"), ("sessions", "phone", "light")]


@pytest.fixture(scope="module", params=COMBINATIONS, ids="-".join)
def shown(
    request: pytest.FixtureRequest, open_visit: Callable[..., Visit], served: str
) -> Iterator[tuple[Visit, str, str]]:
    """One page of one size in one theme, drawn."""
    name, size, theme = request.param
    visit = open_visit(served, size=size, theme=theme)
    path, until = PAGES[name]
    visit.go(path, until=until)
    visit.page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    yield visit, name, theme
    visit.page.close()


def _rgb(colour: str) -> str:
    return f"rgb({', '.join(str(int(colour[i : i + 2], 16)) for i in (1, 3, 5))})"


def test_nothing_is_asked_of_another_machine_and_nothing_complains(shown: tuple[Visit, str, str]) -> None:
    shown[0].assert_quiet()


def test_nothing_is_wider_than_the_screen(shown: tuple[Visit, str, str]) -> None:
    page = shown[0].page
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    # Text that sticks out of its own box would be cut off or lie over its neighbour.
    stuck_out = page.evaluate(
        """Array.from(document.querySelectorAll('main *:not(svg):not(svg *)'))
             .filter((e) => e.getBoundingClientRect().right > window.innerWidth + 1)
             .map((e) => e.outerHTML.slice(0, 120))"""
    )
    assert stuck_out == []


def test_the_theme_reaches_the_page_and_its_figures(shown: tuple[Visit, str, str]) -> None:
    visit, _, theme = shown
    palette = DARK if theme == "dark" else LIGHT
    assert visit.page.evaluate("getComputedStyle(document.body).backgroundColor") == _rgb(palette["paper"])
    inks = visit.page.evaluate(
        "Array.from(document.querySelectorAll('.xtick text')).map((t) => getComputedStyle(t).fill)"
    )
    assert set(inks) <= {_rgb(palette["ink_soft"])}


def test_no_figure_offers_to_send_itself_away(shown: tuple[Visit, str, str]) -> None:
    titles = shown[0].page.evaluate(
        """Array.from(document.querySelectorAll('button, a, [data-title], [title]'))
             .map((e) => [e.textContent, e.title, e.dataset.title, e.getAttribute('aria-label')].join(' '))"""
    )
    assert titles
    assert [title for title in titles if "cloud" in title.lower() or "share" in title.lower()] == []


def test_every_figure_has_words_and_a_table(shown: tuple[Visit, str, str]) -> None:
    visit, name, _ = shown
    figures = visit.page.locator(".js-plotly-plot")
    pictures = visit.page.locator("[role=img] .js-plotly-plot")
    assert pictures.count() == figures.count()
    labels = visit.page.locator("[role=img]").evaluate_all("all => all.map((e) => e.ariaLabel)")
    assert all(len(label) > 40 for label in labels)
    if name in {"recovery", "session"}:
        assert visit.page.locator("main table").count() >= 1


def test_the_page_says_that_its_sessions_are_simulated_and_when_to_stop(
    shown: tuple[Visit, str, str],
) -> None:
    said = shown[0].page.inner_text("body")
    assert "Simulated sessions" in said
    assert "chest pain" in said
