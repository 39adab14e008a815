"""Open a store, and read from it or write to it in real transactions, whichever database it lies in."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine

from rideready.errors import StoreProblem
from rideready.store.database import Database
from rideready.store.migrations import MIGRATIONS, Migration, found_version, migrate, needs_migration
from rideready.store.place import Address, Named, Place, file_of, place_of
from rideready.store.sqlite_file import open_file


@dataclass(frozen=True, slots=True, eq=False)
class Store:
    """An open store.

    Parameters
    ----------
    database
        Where it lies, and how that is spoken to.
    """

    database: Database

    @property
    def place(self) -> Place:
        """The file or the address."""
        return self.database.place

    @property
    def path(self) -> Path:
        """The file; raises `StoreProblem` if the store lies on a server."""
        return file_of(self.place, "Name a file with --store")

    @property
    def engine(self) -> Engine:
        """Connections to it."""
        return self.database.engine

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Yield a connection that sees one moment of the store, whatever others write meanwhile."""
        with self.database.translated(), self.database.reading() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Yield a connection whose changes are all kept at the end, or none of them on an error.

        Nobody else writes meanwhile: what is found in the store is still so when something is put beside it.
        """
        with self.database.translated(), self.database.writing() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the file or the server."""
        self.engine.dispose()


def open_store(named: Named | None = None, *, migrations: Sequence[Migration] = MIGRATIONS) -> Store:
    """Open a store, making it if it is not there and bringing it up to date if it is old.

    Parameters
    ----------
    named
        As for `rideready.store.place.place_of`.
    migrations
        The steps to be applied; tests give others.

    Raises
    ------
    StoreProblem
        If this is no store, from a newer rideready, locked, or cannot be opened or written.
    """
    store = Store(_reach(place_of(named)))
    try:
        _bring_up_to_date(store, migrations)
    except BaseException:
        store.close()
        raise
    return store


def _reach(place: Place) -> Database:
    """Make the connections; the driver of a server is loaded for a store on one only."""
    if isinstance(place, Address):
        from rideready.store.postgresql import reach_server

        return reach_server(place)
    return open_file(place)


def _bring_up_to_date(store: Store, migrations: Sequence[Migration]) -> None:
    """Check what is there, and apply the steps it lacks."""
    try:
        with store.reading() as connection:
            is_behind = needs_migration(connection, migrations)
            found = found_version(connection)
        if is_behind:
            store.database.before_steps(found)
            with store.writing() as connection:
                migrate(connection, migrations)
    except StoreProblem as problem:
        if problem.where:
            raise
        raise StoreProblem(problem.what, str(store.place), problem.what_to_do) from problem
