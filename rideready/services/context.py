"""What every service needs: the store, the rider and today's date, opened once and passed on."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Context:
    """An open store and whose sessions in it are meant.

    Parameters
    ----------
    store_path
        Where the store lies.
    rider_id
        Number of the rider in the store.
    today
        The day taken as today.
    """

    store_path: Path
    rider_id: int
    today: dt.date

    @property
    def is_simulated(self) -> bool:
        """Whether the store holds simulated sessions; screens say so."""
        raise NotImplementedError


def open_context(
    store: Path | None = None, *, rider: str | None = None, today: dt.date | None = None
) -> Context:
    """Open a store, making it if it is not there.

    Parameters
    ----------
    store
        File of the store; None takes ``RIDEREADY_STORE``, else the user's data folder.
    rider
        Name of the rider; None if the store has only one.
    today
        The day taken as today; None takes the clock's.
    """
    raise NotImplementedError
