"""A store of simulated sessions, to look around in."""

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Final

from platformdirs import user_data_path

from rideready.errors import BadInput, StoreProblem
from rideready.importers.mapping import ColumnMapping
from rideready.model.exercise import Equipment
from rideready.services.analysis import refresh
from rideready.services.context import Context, open_context
from rideready.services.importing import ImportProgress, ImportReport, import_paths
from rideready.services.sessions import list_sessions
from rideready.services.training import get_training, update_training
from rideready.simulate.scenario import RUNA, RUNA_AUTUMN, ZONE
from rideready.store.connect import open_store
from rideready.store.place import Named, Place, place_of
from rideready.store.riders import add_rider, rider_names, set_numbers
from rideready.store.settings import IS_SIMULATED, get_setting, set_setting

#: The day her numbers are dated with: the first of her autumn.
FIRST_DAY: Final = RUNA_AUTUMN.first_day
#: What stands in her boathouse, and when the snow may come; invented like herself.
EQUIPMENT: Final = (Equipment.BIKE, Equipment.KETTLEBELL, Equipment.BOX, Equipment.BAND)
EARLIEST, LIKELY = dt.date(2026, 12, 5), dt.date(2026, 12, 19)


def demo_path() -> Path:
    """Where the demo store lies if no file is named."""
    return user_data_path("rideready") / "demo.sqlite"


def samples_path() -> Path:
    """Where the sample sessions lie: inside an installed package, or at the top of a checkout.

    Raises
    ------
    StoreProblem
        If they are in neither place.
    """
    package = Path(__file__).resolve().parents[1]
    for place in (package / "sample_sessions", package.parent / "sample_sessions"):
        if place.is_dir():
            return place
    raise StoreProblem("the sample sessions are missing", str(package), "Install rideready again")


def open_demo(
    store: Named | None = None,
    *,
    rider: str | None = None,
    today: dt.date | None = None,
    progress: Callable[[ImportProgress], None] | None = None,
) -> tuple[Context, ImportReport]:
    """Open the demo store, filling it with the sample sessions; never a rider's own store.

    Parameters
    ----------
    store
        The demo store, as for `open_context`; None takes `demo_path`.
    rider
        Name of the rider; None takes the invented one of the samples.
    today
        The day taken as today; None takes the day of the last sample session.
    progress
        Called after each sample.

    Raises
    ------
    BadInput
        If the file is a store that somebody uses.
    """
    place = place_of(store or demo_path())
    _prepare(place)
    context = open_context(place, rider=rider or RUNA.name, today=today or FIRST_DAY)
    refresh(context)
    # Some of the samples name no zone, as real exports do; where Runa lives is known.
    report = import_paths(context, [samples_path()], progress=progress, mapping=ColumnMapping(zone=ZONE))
    if today is None:
        days = [row.start_local.date() for row in list_sessions(context) if row.start_local is not None]
        context = replace(context, today=max(days, default=FIRST_DAY))
    if get_training(context).earliest is None:
        update_training(context, equipment=EQUIPMENT, earliest=EARLIEST, likely=LIKELY)
    return context, report


def _prepare(place: Place) -> None:
    """Mark a new store as simulated and put the invented rider in it."""
    store = open_store(place)
    try:
        with store.writing() as connection:
            if get_setting(connection, IS_SIMULATED) == "yes":
                return
            if rider_names(connection):
                raise BadInput(
                    "this is a store that somebody uses", str(place), "Name another file for the demo"
                )
            set_setting(connection, IS_SIMULATED, "yes")
            rider_id = add_rider(connection, RUNA.name)
            numbers = {
                "max_hr_bpm": RUNA.max_hr_bpm,
                "resting_hr_bpm": RUNA.resting_hr_bpm,
                "standing_hr_bpm": RUNA.standing_hr_bpm,
                "age_years": RUNA.age_years,
                "sex": RUNA.sex,
            }
            set_numbers(connection, rider_id, numbers, FIRST_DAY)
    finally:
        store.close()
