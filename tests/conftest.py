"""What holds for every test."""

import functools
import importlib.util
import os
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import pytest
from hypothesis import settings

from rideready.plan import capacity, season_weeks
from rideready.store.place import Address
from tests.support.postgresql import HINT, Server, programs, running_server

# No test is timed: on a busy machine any example may take long.
settings.register_profile("rideready", deadline=None)
settings.load_profile("rideready")


#: Files of few tests that take long. They begin first, so that no process is left alone with one at the end.
LONG = (
    "circuit/test_every_request.py",
    "validation/test_report.py",
    "services/test_server_store.py",
    "plan/test_season_properties.py",
    "plan/test_week_properties.py",
    "recovery/test_trend_rates.py",
    "services/test_kills.py",
    "services/test_bulk.py",
)
HERE = Path(__file__).resolve().parent


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    long = {HERE / name: rank for rank, name in enumerate(LONG)}
    items.sort(key=lambda item: long.get(item.path, len(long)))


@pytest.fixture(scope="session", autouse=True)
def _ordinary_weeks_once() -> Iterator[None]:
    """Work out what an ordinary week holds once: it depends on the days, the phase and the shape alone."""
    patch = pytest.MonkeyPatch()
    patch.setattr(season_weeks, "capacity_of", functools.cache(capacity.capacity_of))
    yield
    patch.undo()


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """Start a PostgreSQL of this test process's own."""
    found = programs()
    if found is None:
        _do_without(HINT)
    if importlib.util.find_spec("psycopg") is None:
        _do_without("no psycopg: pip install 'rideready[postgres]'")
    with running_server(found) as running:
        yield running


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Path | str:
    """Name a store that is not there yet: once a file, once tables of its own on a server."""
    named: Path | str = tmp_path / "store.sqlite"
    return named if request.param == "file" else request.getfixturevalue("on_server")


@pytest.fixture
def on_server(server: Server, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """Name a store that is not there yet on a server; whoever opens it need not close it."""
    from rideready.store import postgresql

    reach, reached = postgresql.reach_server, []

    def reach_and_note(address: Address) -> postgresql.PostgresqlServer:
        reached.append(reach(address))
        return reached[-1]

    monkeypatch.setattr(postgresql, "reach_server", reach_and_note)
    yield server.new_store()
    for database in reached:
        database.engine.dispose()


def _do_without(reason: str) -> NoReturn:
    if os.environ.get("CI"):
        pytest.fail(reason)  # where everything must be tested, nothing is skipped in silence
    pytest.skip(reason)
