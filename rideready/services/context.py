"""What every service needs: the store, the rider and today's date, opened once and passed on."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from rideready.errors import BadInput, NotInStore
from rideready.store.connect import Store, open_store
from rideready.store.place import Named
from rideready.store.riders import add_rider, rider_names
from rideready.store.settings import IS_SIMULATED, get_setting


@dataclass(frozen=True, slots=True, eq=False)
class Context:
    """An open store and whose sessions in it are meant.

    Parameters
    ----------
    store
        The store; connections to it may be asked for from several threads.
    rider_id
        Number of the rider in the store.
    today
        The day taken as today; whoever keeps a context open over midnight makes it anew.
    """

    store: Store
    rider_id: int
    today: dt.date

    @property
    def store_path(self) -> Path:
        """The file of the store; raises `StoreProblem` if it lies on a server."""
        return self.store.path

    @property
    def is_simulated(self) -> bool:
        """Whether the store holds simulated sessions; screens say so."""
        with self.store.reading() as connection:
            return get_setting(connection, IS_SIMULATED) == "yes"


def open_context(
    store: Named | None = None, *, rider: str | None = None, today: dt.date | None = None
) -> Context:
    """Open a store, making it if it is not there.

    Parameters
    ----------
    store
        File of the store, or ``postgresql://user@host/database``; None takes ``RIDEREADY_STORE``, else the
        user's data folder.
    rider
        Name of the rider; None if the store has only one. The first rider named in an empty store
        is added to it.
    today
        The day taken as today; None takes the clock's.

    Raises
    ------
    StoreProblem
        If the store cannot be opened.
    NotInStore
        If the store has riders, but none of this name.
    BadInput
        If no rider is named and the store has several.
    """
    opened = open_store(store)
    try:
        with opened.reading() as connection:
            rider_id = _find_rider(connection, rider)
        if rider_id is None:
            with opened.writing() as connection:  # another process may just have added the first rider
                rider_id = _find_rider(connection, rider) or add_rider(connection, rider or "")
    except BaseException:
        opened.close()
        raise
    return Context(opened, rider_id, today or day_by_the_clock())


def day_by_the_clock() -> dt.date:
    """Return the day it is now where this machine stands."""
    return dt.datetime.now().astimezone().date()


def _find_rider(connection: Connection, name: str | None) -> int | None:
    """Return the rider's number; None if the store has no rider at all."""
    names = rider_names(connection)
    if not names:
        return None
    if name is None:
        if len(names) > 1:
            raise BadInput(
                f"the store has {len(names)} riders: {_listed(names)}",
                what_to_do="Say which with --rider NAME",
            )
        return next(iter(names))
    for number, known in names.items():
        if known == name:
            return number
    raise NotInStore(
        f"there is no rider called {name!r}; the store has {_listed(names)}",
        what_to_do=f"Check the name, or add the rider with: rideready rider --add {name!r}",
    )


def _listed(names: dict[int, str]) -> str:
    return ", ".join(repr(name) if name else "a rider without a name" for name in names.values())
