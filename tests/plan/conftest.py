"""What an ordinary week holds depends on the rider's days alone; the tests work it out once for each."""

import functools
from collections.abc import Iterator

import pytest

from rideready.plan import capacity, season_weeks


@pytest.fixture(scope="session", autouse=True)
def _ordinary_weeks_once() -> Iterator[None]:
    patch = pytest.MonkeyPatch()
    patch.setattr(season_weeks, "capacity_of", functools.cache(capacity.capacity_of))
    yield
    patch.undo()
