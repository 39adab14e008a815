"""A store in a database on a server: PostgreSQL, for more riders than one machine holds.

One writer at a time, as in a file: the store looks for a session before it puts one in, and between the
two nobody may come. A lock of the whole store keeps the others waiting in turn; readers never wait.
Versions 13 and later are spoken to (``pg_current_snapshot``, see ``changes``).
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, IntegrityError

from rideready.errors import StoreProblem
from rideready.store import schema
from rideready.store.database import PATIENCE_S
from rideready.store.migrations import found_version
from rideready.store.place import Address, masked

#: Any number, as long as no other program in the same database takes it; these are the letters "ride".
_LOCK: Final = 0x72696465


@dataclass(frozen=True, slots=True, eq=False)
class PostgresqlServer:
    """A `rideready.store.database.Database` on a server.

    Parameters
    ----------
    place
        Its address.
    engine
        Connections to it.
    """

    place: Address
    engine: Engine

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Begin a transaction that sees one moment of the store."""
        options = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        with self.engine.execution_options(**options).connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Begin the only transaction that writes.

        It reads what is there at each step: any other isolation, if a server has it by default, would show
        the store as it was before the wait for the lock.
        """
        with self.engine.execution_options(isolation_level="READ COMMITTED").begin() as connection:
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
            yield connection

    @contextmanager
    def translated(self) -> Iterator[None]:
        """Say in one sentence what the server had to complain about."""
        try:
            yield
        except IntegrityError:
            raise  # a mistake in this program, which checks before it writes
        except DBAPIError as error:
            raise _explained(error, self.place) from error

    def before_steps(self, found: int) -> None:
        """Copy the tables of a store, inside its database, before steps are applied to it.

        Only the copies of one version are kept: whoever keeps a server copies its databases (pg_dump).
        """
        with self.translated(), self.writing() as connection:
            if not found or found_version(connection) != found:
                return  # nothing to keep, or another process was faster
            _drop_copies(connection)
            (there,) = connection.exec_driver_sql("SELECT current_schema()").one()
            names = connection.dialect.get_table_names(connection, schema=there)
            beside = _quoted(f"{there}{_COPIES}{found}")
            connection.exec_driver_sql(f"CREATE SCHEMA {beside}")
            for name in map(_quoted, names):
                connection.exec_driver_sql(f"CREATE TABLE {beside}.{name} AS TABLE {name}")

    def erase(self) -> int:
        """Delete every row and the copies of the tables; their files on the server go at once."""
        with self.translated(), self.writing() as connection:
            names = [_quoted(name) for name in schema.metadata.tables if name != schema.schema_version.name]
            connection.exec_driver_sql(f"TRUNCATE {', '.join(names)}")
            return _drop_copies(connection)


def reach_server(address: Address) -> PostgresqlServer:
    """Prepare connections to a database; the first is made when it is used.

    Raises
    ------
    StoreProblem
        If the driver is not installed or the address cannot be read.
    """
    try:
        engine = create_engine(_url(address), pool_pre_ping=True)
    except ModuleNotFoundError as error:
        raise StoreProblem(
            "a store on PostgreSQL needs psycopg, which is not installed",
            str(address),
            "Install it with: pip install 'rideready[postgres]'",
        ) from error
    except (ArgumentError, ValueError):  # their words would quote the password
        raise StoreProblem(
            "this address cannot be read",
            str(address),
            "Write it like postgresql://user@host/database, with %40 for an @ in a password",
        ) from None

    @event.listens_for(engine, "connect")
    def _set_up(raw: Any, _record: object) -> None:
        from psycopg.types.string import StrDumper

        class WithoutNul(StrDumper):
            """PostgreSQL's text holds every character but this one, which some recorders leave in a name."""

            def dump(self, obj: str) -> Any:
                return super().dump(obj.replace("\0", "\N{REPLACEMENT CHARACTER}"))

        raw.adapters.register_dumper(str, WithoutNul)
        raw.execute(f"SET lock_timeout = '{1000 * PATIENCE_S:.0f}ms'")
        raw.commit()

    return PostgresqlServer(address, engine)


def _url(address: Address) -> URL:
    """Complete an address with what this program needs, unless it says otherwise."""
    url = make_url(address.reveal()).set(drivername="postgresql+psycopg")
    usual = {
        "connect_timeout": f"{PATIENCE_S:.0f}",
        "application_name": "rideready",
        "client_encoding": "utf8",
    }
    return url.set(query={**usual, **url.query})


#: Between the name of a schema and a version, in the name of the schema that holds the copies.
_COPIES: Final = "_before_step_"


def _drop_copies(connection: Connection) -> int:
    """Drop the copies of the tables and return how many versions there were copies of."""
    query = "SELECT nspname FROM pg_namespace WHERE starts_with(nspname, current_schema() || %(copies)s)"
    found = connection.exec_driver_sql(query, {"copies": _COPIES}).scalars().all()
    for name in map(_quoted, found):
        connection.exec_driver_sql(f"DROP SCHEMA {name} CASCADE")
    return len(found)


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _explained(error: DBAPIError, place: Address) -> StoreProblem:
    """Return the problem behind a driver's error."""
    state = str(getattr(error.orig, "sqlstate", None) or "")
    said = str(error.orig)
    for beginning, (what, what_to_do) in _BY_STATE.items():
        if state.startswith(beginning):
            return StoreProblem(what, str(place), what_to_do)
    for words, (what, what_to_do) in _BY_WORDS.items():
        if re.search(words, said):
            return StoreProblem(what, str(place), what_to_do)
    first_line = masked(said.strip().partition("\n")[0])
    return StoreProblem(f"the database cannot be used ({first_line})", str(place))


_TRY_AGAIN: Final = "Try again; if it stays so, ask whoever keeps the server"
_ASK: Final = "Ask whoever keeps the server"
_CHECK_ADDRESS: Final = "Check the address and that the server runs"
_LOST: Final = ("the connection to the server was lost; nothing of this step was stored", _TRY_AGAIN)

#: Beginning of the state the server gives (https://www.postgresql.org/docs/current/errcodes-appendix.html).
_BY_STATE: Final = {
    "55P03": (
        f"another program has kept the store locked for {PATIENCE_S:.0f} s",
        "Wait until it has finished, then try again",
    ),
    "40": ("another program was in the way; nothing of this step was stored", "Try again"),
    "25006": ("the store may be read but not written", _ASK),
    "42501": ("this user lacks a right in the database", _ASK),
    "42P01": ("a table of the store is missing", "Put back a copy of it, or name another with --store"),
    "42703": ("a column of the store is missing", "Put back a copy of it, or name another with --store"),
    "22P05": ("the database cannot hold every letter", "Make it with: createdb --encoding UTF8"),
    "53100": ("the server's disk is full; nothing of this step was stored", _ASK),
    "53": ("the server has no room for another connection or step", _TRY_AGAIN),
    "57014": ("the server ended a step that took too long; nothing of it was stored", _ASK),
    "57": _LOST,
    "08": _LOST,
    "XX00": ("the store is damaged on the server", _ASK),
    "3F000": ("there is no such schema", "Check the address"),
    "3D000": ("there is no such database", "Make it with: createdb NAME"),
    "28": ("the server does not let this user in", "Check name and password"),
}

#: Before a connection stands, the driver has words only; those of a server in another language are passed on.
_BY_WORDS: Final = {
    "password authentication failed": _BY_STATE["28"],
    "no password supplied": ("the server asks for a password", "Put it into ~/.pgpass or the address"),
    "pg_hba.conf": _BY_STATE["28"],
    "too many (clients|connections)|remaining connection slots": _BY_STATE["53"],
    "permission denied": _BY_STATE["42501"],
    'role ".*"': _BY_STATE["28"],
    'database ".*" does not exist': _BY_STATE["3D000"],
    "starting up": ("the server is just starting", "Try again in a moment"),
    "Connection refused|No such file or directory": ("no server answers here", _CHECK_ADDRESS),
    "failed to resolve host|could not translate host": ("there is no such host", _CHECK_ADDRESS),
    "timeout": ("the server does not answer in time", _CHECK_ADDRESS),
    "closed the connection|connection is (closed|lost)": _LOST,
}
