"""The application answers from this machine alone, and each page comes for its address."""

import ast
import inspect
import re
from pathlib import Path
from typing import Any

import plotly.offline
import pytest
from dash.development.base_component import Component

from dashboards import app as app_module
from dashboards.app import create_app, page_of
from dashboards.components.leaves import ROWS_A_PAGE
from dashboards.context import Look
from rideready.errors import StoreProblem
from rideready.services.context import Context, open_context
from rideready.services.recoveries import list_recoveries
from rideready.services.sessions import list_sessions

ROOT = Path(__file__).resolve().parents[2] / "dashboards"
ASSETS = ROOT / "assets"


def parts(page: Component) -> list[Any]:
    """Every component of a page."""
    return list(page._traverse())  # type: ignore[no-untyped-call]


def texts(part: Any) -> str:
    """Every text of a page, in order."""
    if isinstance(part, str):
        return part
    if isinstance(part, Component):
        return texts(getattr(part, "children", None))
    if isinstance(part, list | tuple):
        return " ".join(filter(None, map(texts, part)))
    return "" if part is None else str(part)


def test_the_health_endpoint_says_ok_and_nothing_else(nothing: Context) -> None:
    answer = create_app(nothing).server.test_client().get("/health")
    assert (answer.status_code, answer.data) == (200, b"OK")


def test_the_page_has_a_language_and_names_no_other_machine(nothing: Context) -> None:
    page = create_app(nothing).server.test_client().get("/").get_data(as_text=True)
    assert '<html lang="en">' in page
    # The name space of SVG looks like an address and is none.
    addresses = set(re.findall(r"(?:https?:)?//[\w.-]+", page)) - {"http://www.w3.org"}
    assert addresses == set()


def test_our_own_assets_name_no_other_machine() -> None:
    files = [path for path in ASSETS.iterdir() if path.suffix in {".css", ".js"} and not path.match("00-*")]
    ours = "".join(path.read_text(encoding="utf-8") for path in files)
    assert len(files) > 10
    assert re.findall(r"https?://|@import|url\(", ours) == []


def test_no_door_is_open_for_programs_that_ask_for_tools(nothing: Context) -> None:
    assert create_app(nothing)._enable_mcp is False


def test_the_chart_library_in_the_assets_is_the_one_the_figures_are_made_for() -> None:
    version = re.compile(r"plotly\.js(?: \(basic - minified\))? v([\d.]+)")
    shipped = (ASSETS / "00-plotly-basic.min.js").read_text(encoding="utf-8")[:400]
    expected = plotly.offline.get_plotlyjs()[:400]
    assert version.search(shipped).group(1) == version.search(expected).group(1)  # type: ignore[union-attr]
    assert "Licensed under the MIT license" in shipped


def test_two_apps_of_two_stores_do_not_know_each_other(demo: Context, nothing: Context) -> None:
    create_app(demo)
    assert "No sessions yet" in texts(page_of(Look(nothing, "/recovery"))[0])
    assert "No sessions yet" not in texts(page_of(Look(demo, "/recovery"))[0])


@pytest.mark.parametrize("pathname", ["/recovery", "/sessions"])
def test_an_empty_store_says_what_to_do(nothing: Context, pathname: str) -> None:
    said = texts(page_of(Look(nothing, pathname))[0])
    assert "rideready import FOLDER" in said
    assert "rideready demo" in said


def test_a_demo_store_says_simulated_in_the_frame_of_every_page(demo: Context, nothing: Context) -> None:
    assert "Simulated sessions" in texts(create_app(demo).layout())
    assert "Simulated" not in texts(create_app(nothing).layout())


def test_every_page_carries_the_stop_signs(nothing: Context) -> None:
    assert "chest pain" in texts(create_app(nothing).layout())


def test_every_session_of_the_store_has_a_page_with_its_recoveries(demo: Context) -> None:
    for row in list_sessions(demo):
        page, title = page_of(Look(demo, f"/sessions/{row.session_id}"))
        assert title == "Session, rideready"
        rows = [part for part in parts(page) if type(part).__name__ == "Tr"]
        assert len(rows) >= row.n_recoveries
        assert "Minutes in each intensity class" in texts(page)


def test_the_list_has_a_line_for_every_session(demo: Context) -> None:
    said = texts(page_of(Look(demo, "/sessions"))[0])
    assert f"{len(list_sessions(demo))} sessions by date, newest first" in said


def test_the_recovery_page_counts_what_the_store_holds(demo: Context) -> None:
    said = texts(page_of(Look(demo, "/recovery"))[0])
    assert f"Showing all {len(list_recoveries(demo))} recoveries" in said


@pytest.mark.parametrize(
    ("pathname", "sentence"),
    [
        ("/sessions/9999", "There is no session 9999"),
        ("/nowhere", "There is no page at /nowhere"),
        (None, "There is no page"),
    ],
)
def test_an_address_that_leads_nowhere_gets_a_sentence(
    demo: Context, pathname: str | None, sentence: str
) -> None:
    assert sentence in texts(page_of(Look(demo, pathname))[0])


def test_a_recovery_that_is_not_there_gets_a_sentence_and_the_page_stands(demo: Context) -> None:
    said = texts(page_of(Look(demo, "/recovery", "", "#9999.1"))[0])
    assert "There is no session 9999" in said
    assert "How to read this" in said


def test_filters_that_leave_nothing_lead_back(demo: Context) -> None:
    said = texts(page_of(Look(demo, "/recovery", "?since=2099-01-01"))[0])
    assert "No recovery matches these filters" in said
    assert "Show all of them" in said


def test_what_the_address_asks_for_in_vain_is_said(demo: Context) -> None:
    said = texts(page_of(Look(demo, "/recovery", "?grade=splendid"))[0])
    assert "something unknown, which was left out: splendid" in said


def test_the_table_shows_every_recovery_page_by_page(demo: Context) -> None:
    n = len(list_recoveries(demo))
    found = 0
    for number in range(1, -(-n // ROWS_A_PAGE) + 1):
        page, _ = page_of(Look(demo, "/recovery", f"?view=table&page={number}"))
        table = next(part for part in parts(page) if getattr(part, "id", None) == "recovery-table")
        found += sum(type(part).__name__ == "Tr" for part in parts(table)) - 1
    assert found == n


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (StoreProblem("the store is locked", "s.sqlite", "Close the other program"), "The store is locked"),
        (ZeroDivisionError(), "Something went wrong that should not have"),
    ],
)
def test_an_error_in_a_callback_becomes_a_sentence_above_the_page(
    nothing: Context, monkeypatch: pytest.MonkeyPatch, error: Exception, sentence: str
) -> None:
    def fails(*_: Any) -> None:
        raise error

    app = create_app(nothing)
    monkeypatch.setattr(app_module, "page_of", fails)
    answer = app.server.test_client().post(
        "/_dash-update-component",
        json={
            "output": "..page.children...title.data...trouble.children..",
            "outputs": [
                {"id": "page", "property": "children"},
                {"id": "title", "property": "data"},
                {"id": "trouble", "property": "children"},
            ],
            "inputs": [{"id": "address", "property": "pathname", "value": "/recovery"}],
            "state": [
                {"id": "address", "property": "search", "value": ""},
                {"id": "address", "property": "hash", "value": ""},
            ],
            "changedPropIds": ["address.pathname"],
        },
    )
    assert answer.status_code in {200, 204}
    assert sentence.lower() in answer.get_data(as_text=True).lower()


CALLBACKS = [
    (path.name, node)
    for path in sorted(ROOT.rglob("*.py"))
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    if isinstance(node, ast.FunctionDef)
    and any("callback" in ast.unparse(decorator) for decorator in node.decorator_list)
]


@pytest.mark.parametrize(("file", "node"), CALLBACKS, ids=lambda value: getattr(value, "name", value))
def test_a_callback_has_at_most_ten_lines(file: str, node: ast.FunctionDef) -> None:
    assert node.end_lineno is not None
    assert node.end_lineno - node.lineno + 1 <= 10, file


def test_callbacks_were_found_to_be_counted() -> None:
    assert len(CALLBACKS) >= 5
    assert "callback" in inspect.getsource(app_module)


#: Room to the rooms of the dashboard it may import; `architecture.md`: app > pages > components | figures > theme.
MAY_IMPORT = {
    "app.py": {"pages", "components", "context", "demo_room", "reader", "theme", "uploads", "urls", "words"},
    "demo_room.py": {"urls", "words"},
    "uploads.py": {"components", "guard", "import_desk", "reader", "words"},
    "import_desk.py": {"components", "formats", "urls", "words"},
    "reader.py": {"demo_room", "formats", "urls", "words"},
    "rework.py": set(),
    "pages": {
        "components",
        "figures",
        "context",
        "tables",
        "season_table",
        "crowd",
        "formats",
        "rework",
        "urls",
        "words",
        "pages",
    },
    "components": {"components", "theme", "formats", "urls", "words"},
    "figures": {"figures", "theme", "formats"},
    "season_table.py": {"formats", "words"},
    "tables.py": {"formats", "urls", "words"},
    "crowd.py": {"formats", "tables", "urls"},
    "context.py": {"urls"},
    "theme.py": set(),
    "urls.py": set(),
    "words.py": set(),
    "formats.py": set(),
}


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_rooms_of_the_dashboard_import_only_what_lies_below(room: str) -> None:
    place = ROOT / room
    files = [place] if place.is_file() else sorted(place.rglob("*.py"))
    found = {
        [*node.module.split("."), name.name][1]
        for path in files
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "dashboards"
        for name in node.names
    }
    assert found <= MAY_IMPORT[room]


def test_figures_ask_no_service() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "figures").rglob("*.py"))
    assert "rideready.services" not in code
    assert "rideready.store" not in code


@pytest.mark.parametrize("sheet", sorted(ASSETS.glob("*.css")), ids=lambda sheet: sheet.name)
def test_no_rule_looks_from_the_root_into_the_page(sheet: Path) -> None:
    # Such a rule has the browser restyle everything whenever anything is put into the page: drawing one figure
    # meant 54 times 2,400 elements, three quarters of all styling until the season stood.
    assert re.findall(r"\b(?:html|body|main|:root|#page)\S*:has\(", sheet.read_text(encoding="utf-8")) == []


def test_after_warming_up_the_first_look_works_out_no_trend(
    demo: Context, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened_anew = open_context(demo.store.place, today=demo.today)  # nothing of it is remembered
    create_app(opened_anew)
    app_module.warm_up(opened_anew)
    monkeypatch.setattr("rideready.recovery.trend.recovery_trend", None)  # whoever works one out fails
    page, _ = page_of(Look(opened_anew, "/recovery"))
    opened_anew.store.close()
    assert any(getattr(part, "id", None) == "recovery-verdict" for part in parts(page))
