"""Whether the store has changed since it was last looked at, by this process or another.

SQLite counts for each connection the commits of all others (``PRAGMA data_version``, see
https://www.sqlite.org/pragma.html#pragma_data_version). One connection that never writes therefore
sees every change. PostgreSQL tells which transactions can be seen (``pg_current_snapshot``, see
https://www.postgresql.org/docs/current/functions-info.html): as long as it says the same, the same is seen.
"""

import sqlite3
import threading
import weakref
from typing import cast

from sqlalchemy import Engine, event

from rideready.store.connect import Store
from rideready.store.place import Address

_WATCHES: weakref.WeakKeyDictionary[Engine, sqlite3.Connection] = weakref.WeakKeyDictionary()
_LOCK = threading.Lock()


def change_counter(store: Store) -> int | str:
    """Return a number or word that is another one after each change; to be compared for an open store only."""
    if isinstance(store.place, Address):
        with store.reading() as reader:
            return str(reader.exec_driver_sql("SELECT pg_current_snapshot()::text").scalar_one())
    with _LOCK:
        if store.engine not in _WATCHES:
            _WATCHES[store.engine] = _watch(store.engine)
        (counter,) = _WATCHES[store.engine].execute("PRAGMA data_version").fetchone()
    return int(counter)


def _watch(engine: Engine) -> sqlite3.Connection:
    """Take a connection out of the engine's hands, to be closed together with it."""
    pooled = engine.raw_connection()
    connection = cast("sqlite3.Connection", pooled.dbapi_connection)
    pooled.detach()
    close = weakref.finalize(engine, connection.close)

    @event.listens_for(engine, "engine_disposed")
    def _let_go(disposed: Engine) -> None:
        with _LOCK:
            _WATCHES.pop(disposed, None)
        close()

    return connection
