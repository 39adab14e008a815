"""What an ordinary week holds depends on the rider's days alone; the tests work it out once for each."""

import functools
from collections.abc import Iterator

import pytest

from rideready.plan import season_weeks


@pytest.fixture(scope="session", autouse=True)
def _ordinary_weeks_once() -> Iterator[None]:
    patch = pytest.MonkeyPatch()
    for name in ("capacity_of", "shortfall"):
        patch.setattr(season_weeks, name, functools.cache(getattr(season_weeks, name)))
    yield
    patch.undo()
