"""Whether the store has changed since it was last looked at, by this process or another.

SQLite counts for each connection the commits of all others (``PRAGMA data_version``, see
https://www.sqlite.org/pragma.html#pragma_data_version). One connection that never writes therefore
sees every change.
"""

import sqlite3
import threading
import weakref
from typing import cast

from sqlalchemy import Engine, event

from rideready.store.connect import Store

_WATCHES: weakref.WeakKeyDictionary[Engine, sqlite3.Connection] = weakref.WeakKeyDictionary()
_LOCK = threading.Lock()


def change_counter(store: Store) -> int:
    """Return a number that is another one after each change of the store; numbers of an open store only."""
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
