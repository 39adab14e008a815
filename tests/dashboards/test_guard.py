"""Strangers are kept out: other names, other sites, other machines, and what a page could be made to run."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from dashboards.app import create_app
from dashboards.guard import MOST_BODY_BYTES, THIS_MACHINE, Door, content_policy, guard
from rideready.services.context import Context

KEY = "a-key-of-the-household"
HOME = "http://192.168.1.20:8050"


@pytest.fixture
def here(nothing: Context) -> Iterator[FlaskClient]:
    with guard(create_app(nothing)).server.test_client() as client:
        yield client


@pytest.fixture
def at_home(nothing: Context) -> Iterator[FlaskClient]:
    door = Door(THIS_MACHINE | {"192.168.1.20"}, key=KEY)
    with guard(create_app(nothing), door=door).server.test_client() as client:
        yield client


def _directives(answer: TestResponse) -> dict[str, str]:
    parts = answer.headers["Content-Security-Policy"].split("; ")
    return {name: values for name, _, values in (part.partition(" ") for part in parts)}


@pytest.mark.parametrize("host", ["127.0.0.1:8050", "localhost:8050", "LOCALHOST", "127.0.0.1"])
def test_this_machine_is_answered_under_its_own_names(here: FlaskClient, host: str) -> None:
    assert here.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "rebound.example",
        "rebound.example:8050",
        "127.0.0.1.rebound.example",
        "localhost.rebound.example",
        "rebound.example@127.0.0.1x",
        "192.168.1.20:8050",
        "[::1",
        "",
    ],
)
@pytest.mark.parametrize("path", ["/", "/_dash-layout", "/health", "/assets/house-base.css"])
def test_a_name_pointed_at_this_machine_is_refused(here: FlaskClient, host: str, path: str) -> None:
    answer = here.get(path, headers={"Host": host})
    assert answer.status_code in {400, 403}
    assert b"rideready" not in answer.data


POST: dict[str, Any] = {
    "path": "/_dash-update-component",
    "method": "POST",
    "json": {"output": "x", "inputs": []},
}


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:9999"},  # another program of this machine
        {"Origin": "https://127.0.0.1:8050"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "none"},
        {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"},
    ],
    ids=str,
)
def test_a_post_from_another_site_is_refused(here: FlaskClient, headers: dict[str, str]) -> None:
    answer = here.open(**POST, base_url="http://127.0.0.1:8050", headers=headers)
    assert answer.status_code == 403
    assert answer.text == "This server does not answer to other sites."


@pytest.mark.parametrize(
    "headers",
    [{}, {"Origin": "http://127.0.0.1:8050", "Sec-Fetch-Site": "same-origin"}],
    ids=["a program", "our own page"],
)
def test_a_post_of_our_own_page_is_let_through(here: FlaskClient, headers: dict[str, str]) -> None:
    callback = {
        "output": "..page.children...title.data...trouble.children..",
        "outputs": [
            {"id": "page", "property": "children"},
            {"id": "title", "property": "data"},
            {"id": "trouble", "property": "children"},
        ],
        "inputs": [{"id": "address", "property": "pathname", "value": "/sessions"}],
        "changedPropIds": ["address.pathname"],
        "state": [
            {"id": "address", "property": "search", "value": ""},
            {"id": "address", "property": "hash", "value": ""},
        ],
    }
    answer = here.post(
        "/_dash-update-component", json=callback, base_url="http://127.0.0.1:8050", headers=headers
    )
    assert answer.status_code == 200
    assert "page" in json.loads(answer.data)["response"]


@pytest.mark.parametrize(
    ("mode", "destination", "status"),
    [
        ("navigate", "document", 200),
        ("navigate", "iframe", 403),
        ("no-cors", "script", 403),
        ("no-cors", "image", 403),
        ("cors", "empty", 403),
    ],
)
def test_another_site_may_link_here_but_not_reach_in(
    here: FlaskClient, mode: str, destination: str, status: int
) -> None:
    headers = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": mode, "Sec-Fetch-Dest": destination}
    assert here.get("/", headers=headers).status_code == status


@pytest.mark.parametrize(
    "path", ["/", "/_dash-layout", "/assets/house-base.css", "/nowhere/at/all", "/health"]
)
def test_every_answer_carries_the_policy_and_the_usual_headers(here: FlaskClient, path: str) -> None:
    answer = here.get(path, buffered=True)
    policy = _directives(answer)
    assert policy["default-src"] == "'none'"
    assert policy["frame-ancestors"] == "'none'"
    assert policy["base-uri"] == "'none'"
    assert policy["connect-src"] == "'self'"
    assert policy["form-action"] == "'self'"
    assert re.fullmatch(r"'self'( 'sha256-[A-Za-z0-9+/]{43}=')+", policy["script-src"])
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "camera=()" in answer.headers["Permissions-Policy"]
    assert "Access-Control-Allow-Origin" not in answer.headers


def test_a_refusal_carries_them_too(here: FlaskClient) -> None:
    answer = here.get("/", headers={"Host": "rebound.example"})
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "script-src" in answer.headers["Content-Security-Policy"]


def test_a_written_script_is_let_run_by_its_hash_alone() -> None:
    # The example of the CSP Level 3 recommendation's hash section: alert('Hello, world.');
    page = "<script>alert('Hello, world.');</script><script src='a.js'></script>"
    policy = content_policy(page + '<script type="application/json" id="a">{}</script>')
    assert policy.endswith("script-src 'self' 'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='")


def test_data_of_the_store_is_kept_by_no_cache(here: FlaskClient) -> None:
    assert here.get("/").headers["Cache-Control"] == "no-store"
    assert here.get("/_dash-layout").headers["Cache-Control"] == "no-store"
    assert here.get("/assets/house-base.css", buffered=True).headers["Cache-Control"] != "no-store"


def test_a_body_beyond_the_bound_is_refused_with_a_sentence(here: FlaskClient) -> None:
    answer = here.post(
        "/_dash-update-component",
        content_type="application/json",
        environ_overrides={"CONTENT_LENGTH": str(MOST_BODY_BYTES + 1)},
    )
    assert answer.status_code == 413
    assert answer.text == "That is more than 64 MB. Import it with `rideready import` instead."


@pytest.mark.parametrize(
    "path",
    [
        "/assets/../app.py",
        "/assets/%2e%2e/app.py",
        "/assets/..%2fapp.py",
        "/assets//etc/passwd",
        "/_dash-component-suites/dash/../../../etc/passwd",
        "/_dash-component-suites/os/__init__.py",
        "/sessions/..%2f..%2fetc%2fpasswd",
    ],
)
def test_no_path_of_a_client_is_opened(here: FlaskClient, path: str) -> None:
    answer = here.get(path)
    assert b"create_app" not in answer.data
    assert b"root:" not in answer.data
    assert answer.status_code in {200, 404, 500}
    assert answer.status_code != 200 or b"<html" in answer.data


def test_there_is_no_debug_mode_and_no_trace_in_an_answer(here: FlaskClient) -> None:
    assert here.application.debug is False
    assert b'"hot_reload"' not in here.get("/").data  # what Dash tells the page in debug mode
    answer = here.post("/_dash-update-component", data=b"{", content_type="application/json")
    assert answer.status_code >= 400
    assert b"Traceback" not in answer.data


def test_no_setting_of_the_shell_switches_debug_mode_on(
    nothing: Context, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("FLASK_DEBUG", "DASH_DEBUG", "DASH_UI", "DASH_HOT_RELOAD", "DASH_DEV_TOOLS_UI"):
        monkeypatch.setenv(name, "1")
    app = guard(create_app(nothing))
    assert app.server.debug is False
    with app.server.test_client() as client:
        for path in (
            "/_reload-hash",
            "/console",
            "/_dash-layout?__debugger__=yes&cmd=resource&f=debugger.js",
        ):
            assert b"debugger" not in client.get(path).data.lower()


def test_without_the_key_the_home_network_gets_nothing(at_home: FlaskClient) -> None:
    for path in (
        "/",
        "/_dash-layout",
        "/health",
        "/assets/house-base.css",
        "/?key=wrong",
        "/?key=",
        "/?key=é",
    ):
        answer = at_home.get(path, base_url=HOME)
        assert answer.status_code == 403
        assert answer.text == "Open the address that the terminal shows, with its key."
    assert at_home.open(**POST, base_url=HOME).status_code == 403


def test_whoever_shows_the_key_once_is_known_by_a_strict_cookie(at_home: FlaskClient) -> None:
    first = at_home.get(f"/?key={KEY}", base_url=HOME)
    attributes = {part.strip() for part in first.headers["Set-Cookie"].split(";")}
    assert first.status_code == 200
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= attributes
    assert KEY not in first.text  # not to be read off the screen or the history
    assert at_home.get("/", base_url=HOME).status_code == 200


def test_a_wrong_cookie_is_no_key(at_home: FlaskClient) -> None:
    at_home.set_cookie("rideready_key", KEY[:-1], domain="192.168.1.20")
    assert at_home.get("/", base_url=HOME).status_code == 403


def test_the_key_does_not_open_the_door_to_other_names(at_home: FlaskClient) -> None:
    answer: Any = at_home.get(f"/?key={KEY}", base_url="http://rebound.example")
    assert answer.status_code == 403
    assert "Set-Cookie" not in answer.headers
