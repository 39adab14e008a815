"""A store of simulated sessions, to look around in."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

from rideready.services.context import Context
from rideready.services.importing import ImportProgress, ImportReport


def open_demo(
    store: Path | None = None,
    *,
    today: dt.date | None = None,
    progress: Callable[[ImportProgress], None] | None = None,
) -> tuple[Context, ImportReport]:
    """Open the demo store, filling it with the sample sessions; never a rider's own store.

    Parameters
    ----------
    store
        File of the demo store; None takes ``demo.sqlite`` in the user's data folder.
    today
        The day taken as today; None takes the clock's.
    progress
        Called after each sample.
    """
    raise NotImplementedError
