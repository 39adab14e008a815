"""One small store of simulated sessions for every test that needs one."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from rideready.services.context import Context
from tests.dashboards.demo_store import a_demo_store, an_empty_store


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Context]:
    context = a_demo_store(tmp_path_factory.getbasetemp() / "dashboard-demo.sqlite")
    yield context
    context.store.close()


@pytest.fixture
def nothing(tmp_path: Path) -> Iterator[Context]:
    context = an_empty_store(tmp_path / "empty.sqlite")
    yield context
    context.store.close()
