"""Long lists come one page at a time, and no row is lost between two pages."""

import pytest

from dashboards.components.leaves import ROWS_A_PAGE, page_ways, rows_of_page
from tests.dashboards.test_app import parts, texts


@pytest.mark.parametrize("n", [0, 1, 49, 50, 51, 100, 137])
def test_the_pages_together_hold_every_row_once(n: int) -> None:
    rows = list(range(n))
    n_pages = rows_of_page(rows, 1)[2]
    found = [row for page in range(1, n_pages + 1) for row in rows_of_page(rows, page)[0]]
    assert found == rows
    assert all(len(rows_of_page(rows, page)[0]) <= ROWS_A_PAGE for page in range(1, n_pages + 1))


def test_a_page_beyond_the_last_is_the_last() -> None:
    n = ROWS_A_PAGE + 10
    assert rows_of_page(list(range(n)), 99) == (list(range(ROWS_A_PAGE, n)), 2, 2)


def test_the_middle_page_leads_both_ways() -> None:
    ways = page_ways(2, 3, address_of=lambda page: f"/sessions/page/{page}")
    assert texts(ways) == "Newer page 2 of 3 Older"
    links = [part.href for part in parts(ways) if hasattr(part, "href")]
    assert links == ["/sessions/page/1", "/sessions/page/3"]


def test_a_single_page_needs_no_ways() -> None:
    assert texts(page_ways(1, 1, address_of=str)) == ""
