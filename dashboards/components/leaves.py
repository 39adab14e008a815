"""Long lists, one page at a time."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from dash import dcc, html
from dash.development.base_component import Component

from dashboards.words import say

#: The browser's library draws some ten parts a row, and each costs it at every change of the page.
ROWS_A_PAGE = 15

_Row = TypeVar("_Row")


def rows_of_page(rows: Sequence[_Row], page: int) -> tuple[Sequence[_Row], int, int]:
    """Return the rows of a page, its number (the last one if there are fewer) and how many there are."""
    n_pages = max(1, -(-len(rows) // ROWS_A_PAGE))
    page = min(page, n_pages)
    return rows[(page - 1) * ROWS_A_PAGE : page * ROWS_A_PAGE], page, n_pages


def page_ways(page: int, n_pages: int, *, address_of: Callable[[int], str]) -> Component:
    """Say which page of how many this is, with the ways to its neighbours."""
    if n_pages == 1:
        return html.P(className="pages")
    newer = [dcc.Link(say("table.newer"), href=address_of(page - 1))] if page > 1 else []
    older = [dcc.Link(say("table.older"), href=address_of(page + 1))] if page < n_pages else []
    said = html.Span(say("table.page", page=page, pages=n_pages))
    return html.P([*newer, said, *older], className="pages")
