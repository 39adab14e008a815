"""A dashboard that is left open over midnight shows the new day."""

import datetime as dt
from pathlib import Path

import pytest
from dash import Dash, html
from werkzeug.test import Client

from dashboards.app import create_app
from dashboards.demo_room import DemoRoom
from dashboards.reader import serve_reader
from dashboards.uploads import store_token
from rideready.cli.main import main
from rideready.services.context import Context, day_by_the_clock

EVENING, MORNING = dt.date(2026, 11, 15), dt.date(2026, 11, 16)


class Clock:
    """A clock that is set by hand and counts how often it is asked."""

    def __init__(self) -> None:
        self.day, self.n_asked = EVENING, 0

    def __call__(self) -> dt.date:
        self.n_asked += 1
        return self.day


def _page(client: Client, pathname: str) -> str:
    answer = client.post(
        "/_dash-update-component",
        json={
            "output": "..page.children...title.data...trouble.children..",
            "outputs": [
                {"id": "page", "property": "children"},
                {"id": "title", "property": "data"},
                {"id": "trouble", "property": "children"},
            ],
            "inputs": [{"id": "address", "property": "pathname", "value": pathname}],
            "state": [
                {"id": "address", "property": "search", "value": ""},
                {"id": "address", "property": "hash", "value": ""},
            ],
            "changedPropIds": ["address.pathname"],
        },
    )
    assert answer.status_code == 200
    return answer.text


def test_the_first_page_after_midnight_is_of_the_new_day(nothing: Context) -> None:
    clock = Clock()
    client = Client(create_app(nothing, clock=clock).server)
    before = _page(client, "/circuit/follow")
    clock.day = MORNING
    after = _page(client, "/circuit/follow")
    assert ("2026-11-15" in before, "2026-11-16" in before) == (True, False)
    assert ("2026-11-15" in after, "2026-11-16" in after) == (False, True)


def test_an_open_page_is_told_that_a_day_began(nothing: Context) -> None:
    clock = Clock()
    client = Client(create_app(nothing, clock=clock).server)
    before, same = (client.get("/import/state").json or {} for _ in range(2))
    clock.day = MORNING
    after = client.get("/import/state").json or {}
    assert before["token"] == same["token"] != after["token"]


def test_one_request_has_one_day_though_midnight_falls_into_it(nothing: Context) -> None:
    clock = Clock()
    app = Dash(__name__, enable_mcp=False)
    app.layout = html.Div()
    context = serve_reader(app, nothing, clock=clock, demo=DemoRoom())
    with app.server.test_request_context("/"):
        app.server.preprocess_request()
        first = context.today
        clock.day = MORNING
        assert (first, context.today, clock.n_asked) == (EVENING, EVENING, 1)
        assert str(EVENING) in store_token(context)


@pytest.mark.parametrize(("asked", "clocks"), [([], [day_by_the_clock]), (["--date", "2026-11-15"], [None])])
def test_the_command_hands_on_a_clock_unless_a_day_was_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, asked: list[str], clocks: list[object]
) -> None:
    handed: list[object] = []
    monkeypatch.setattr("rideready.cli.dashboard.serve", lambda *_, clock, **__: handed.append(clock))
    assert main(["dashboard", "--store", str(tmp_path / "s.sqlite"), *asked]) == 0
    assert handed == clocks
