"""What a store asks of the database it lies in, whichever that is."""

from contextlib import AbstractContextManager
from typing import Final, Protocol

from sqlalchemy import Connection, Engine

from rideready.store.place import Place

#: How long a reader or writer waits for another process, s.
PATIENCE_S: Final = 5.0


class Database(Protocol):
    """One kind of database: how it is reached, how its transactions begin, what its errors mean."""

    @property
    def place(self) -> Place:
        """Where the store lies."""

    @property
    def engine(self) -> Engine:
        """Connections to it."""

    def reading(self) -> AbstractContextManager[Connection]:
        """Begin a transaction that sees one moment of the store."""

    def writing(self) -> AbstractContextManager[Connection]:
        """Begin a transaction that is the only writing one; raises the driver's error if it waits too long."""

    def translated(self) -> AbstractContextManager[None]:
        """Turn the driver's errors into a `StoreProblem` of one sentence."""

    def before_steps(self, found: int) -> None:
        """Get ready for steps that change the tables, and keep a copy of a store of version ``found``."""

    def erase(self) -> int:
        """Delete every row and every copy made unasked, for good; return how many copies there were."""
