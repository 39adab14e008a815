"""The dashboard shows a store on a server as it shows a file."""

import datetime as dt
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from dashboards.app import page_of
from dashboards.context import Look
from dashboards.rework import Rework
from dashboards.uploads import store_token
from rideready.services.context import Context, open_context
from rideready.services.diary import write_resting_pulse
from rideready.services.importing import import_paths
from rideready.services.riders import set_rider
from rideready.services.sessions import list_sessions
from tests.dashboards.test_app import texts
from tests.support.stores import write_ride

PAGES = (
    "/",
    "/recovery",
    "/sessions",
    "/sessions/1",
    "/circuit",
    "/week",
    "/plan",
    "/rider",
    "/tests",
    "/partner",
)


@pytest.fixture
def both(on_server: str, tmp_path: Path) -> Iterator[tuple[Context, Context]]:
    write_ride(tmp_path)
    day = dt.date(2026, 11, 15)
    contexts = open_context(tmp_path / "store.sqlite", today=day), open_context(on_server, today=day)
    for context in contexts:
        import_paths(context, [tmp_path / "ride-00.csv"])
    yield contexts
    for context in contexts:
        context.store.close()


def test_every_page_says_the_same_of_a_file_and_of_a_server(both: tuple[Context, Context]) -> None:
    for pathname in PAGES:
        here, there = (texts(page_of(Look(context, pathname))[0]) for context in both)
        assert "There is no" not in there
        assert there == here


def test_the_browser_hears_of_a_change_on_the_server(both: tuple[Context, Context]) -> None:
    _, there = both
    before = store_token(there)
    assert store_token(there) == before
    write_resting_pulse(there, 54)
    assert store_token(there) != before


def test_changed_numbers_are_worked_out_behind_the_page(both: tuple[Context, Context]) -> None:
    _, there = both
    rework = Rework()
    set_rider(there, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    rework.start(there)
    deadline = time.monotonic() + 60
    while (now := rework.of(there)).is_running and time.monotonic() < deadline:
        time.sleep(0.01)
    assert (now.is_running, now.is_broken, now.total) == (False, False, 1)
    assert list_sessions(there)[0].class_minutes is not None
