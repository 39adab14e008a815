"""The demo behind a press: a store of its own, marked on every page, that never touches the rider's."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from werkzeug.test import Client

from dashboards.app import create_app
from rideready.services.context import Context
from rideready.services.demo import samples_path
from rideready.services.diary import diary
from rideready.services.sessions import list_sessions

SMALLEST = sorted(samples_path().glob("*.fit"), key=lambda path: path.stat().st_size)[:2]


@pytest.fixture
def demo_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Put the demo's store and two of its samples into a folder of the test."""
    samples = tmp_path / "samples"
    samples.mkdir()
    for path in SMALLEST:
        (samples / path.name).write_bytes(path.read_bytes())
    monkeypatch.setattr("rideready.services.demo.samples_path", lambda: samples)
    place = tmp_path / "demo" / "demo.sqlite"
    monkeypatch.setattr("rideready.services.demo.demo_path", lambda: place)
    return place


@pytest.fixture
def client(nothing: Context, demo_place: Path) -> Iterator[Client]:
    assert not demo_place.exists()
    yield Client(create_app(nothing).server)
    assert list_sessions(nothing) == []  # whatever was done in the demo


def _enter(client: Client) -> None:
    client.post("/demo/open")
    for _ in range(600):
        told = client.get("/demo/state").json or {}
        if told["is_ready"]:
            break
        assert not told["is_broken"], told["said"]
        time.sleep(0.1)
    assert client.post("/demo/enter").status_code == 204


def _layout(client: Client) -> str:
    return client.get("/_dash-layout").text


def _press(client: Client) -> str:
    """Find what answers the press that writes an entry on the page of the day."""
    found = client.get("/_dash-dependencies").json or []
    return next(
        str(one["output"]) for one in found if any(given["id"] == "today-save" for given in one["inputs"])
    )


def _log_cardio(client: Client, output: str | None = None) -> int:
    """Press what writes an entry on the page of the day."""
    output = output or _press(client)
    told = {"today-kind": "cardio", "today-minutes": 30, "today-rpe": 4}
    answer = client.post(
        "/_dash-update-component",
        json={
            "output": output,
            "outputs": {"id": "today-body", "property": output.rsplit(".", 1)[1]},
            "inputs": [{"id": "today-save", "property": "n_clicks", "value": 1}],
            "state": [{"id": name, "property": "value", "value": value} for name, value in told.items()],
            "changedPropIds": ["today-save.n_clicks"],
        },
    )
    return answer.status_code


def test_the_demo_cannot_be_entered_before_it_is_open(client: Client) -> None:
    assert client.post("/demo/enter").status_code == 409
    assert "Simulated sessions" not in _layout(client)


def test_in_the_demo_every_page_is_marked_and_of_its_own_store(
    client: Client, demo_place: Path, nothing: Context
) -> None:
    _enter(client)
    assert demo_place.exists()
    inside = _layout(client)
    assert "Simulated sessions" in inside
    assert "Leave the demo" in inside
    assert _log_cardio(client) == 200
    assert diary(nothing) == []
    client.post("/demo/leave")
    outside = _layout(client)
    assert "Simulated sessions" not in outside
    assert _log_cardio(client) == 200
    assert [entry.kind for entry in diary(nothing)] == ["cardio"]


def test_the_riders_own_recordings_do_not_get_into_the_demo(client: Client) -> None:
    _enter(client)
    answer = client.post(
        "/import/file", data=SMALLEST[0].read_bytes(), headers={"X-File-Name": SMALLEST[0].name}
    )
    assert (answer.status_code, answer.text) == (
        409,
        "This is the demo. Leave it to bring in your own recordings.",
    )


def test_a_press_on_a_page_of_a_demo_that_is_no_more_writes_nothing(client: Client, nothing: Context) -> None:
    press = _press(client)
    client.set_cookie("rideready_demo", "the pass of an earlier run")
    assert _log_cardio(client, press) == 409
    assert diary(nothing) == []
    assert "Simulated sessions" not in _layout(client)  # a page that is opened anew is the rider's own
    assert _log_cardio(client) == 200


def test_a_demo_that_cannot_be_opened_says_why(client: Client, demo_place: Path) -> None:
    demo_place.parent.mkdir()
    demo_place.write_bytes(b"no store " * 100)
    client.post("/demo/open")
    for _ in range(100):
        told = client.get("/demo/state").json or {}
        if told["is_broken"]:
            break
        time.sleep(0.05)
    assert "demo.sqlite" in told["said"]
    assert client.post("/demo/enter").status_code == 409
