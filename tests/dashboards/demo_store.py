"""A small store of simulated sessions, filled the way the demo fills its own."""

import datetime as dt
from pathlib import Path

from rideready.model.rider import Sex
from rideready.services.context import Context, open_context
from rideready.services.demo import samples_path
from rideready.services.importing import import_paths
from rideready.services.riders import update_rider
from rideready.store.settings import IS_SIMULATED, set_setting

#: Every sixth sample: the whole autumn, several kinds and recorders, in a sixth of the time.
STEP = 6


def a_demo_store(place: Path) -> Context:
    """Make a store with some of the samples in it, marked as simulated; one that is there is opened."""
    is_there = place.exists()
    context = an_empty_store(place)
    if is_there:
        return context
    with context.store.writing() as connection:
        set_setting(connection, IS_SIMULATED, "yes")
    # The numbers the samples were simulated for.
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, age_years=41.0, sex=Sex.FEMALE)
    files = sorted(path for path in samples_path().iterdir() if path.suffix in {".fit", ".csv"})
    report = import_paths(context, files[::STEP])
    assert not report.unreadable
    return context


def an_empty_store(place: Path) -> Context:
    """Make a store with a rider and nothing else."""
    return open_context(place, rider="Runa Vell", today=dt.date(2026, 11, 15))
