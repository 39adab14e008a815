"""Remember what is dear to work out, until the store changes."""

import threading
import weakref
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from sqlalchemy import Engine

from rideready.services.context import Context
from rideready.store.changes import change_counter

#: Most values kept of one store; a reader steps through a handful of filters.
MOST_KEPT = 24

_Value = TypeVar("_Value")
_LOCK = threading.Lock()
_KEPT: weakref.WeakKeyDictionary[Engine, OrderedDict[Hashable, tuple[int | str, Any]]] = (
    weakref.WeakKeyDictionary()
)


def remembered(ctx: Context, key: Hashable, make: Callable[[], _Value]) -> _Value:
    """Return a value made before, or make it; whatever was made before the last change is made anew.

    Parameters
    ----------
    ctx
        The store, and whose values in it are meant.
    key
        What is asked, and with which arguments.
    make
        Works it out from the store alone: nothing else may decide about the value, which must not
        be changed afterwards.
    """
    counter = change_counter(ctx.store)  # before making: a change meanwhile must not pass for included
    asked = (ctx.rider_id, key)
    with _LOCK:
        kept = _KEPT.setdefault(ctx.store.engine, OrderedDict())
        if asked in kept and kept[asked][0] == counter:
            kept.move_to_end(asked)
            found: _Value = kept[asked][1]
            return found
    made = make()
    with _LOCK:
        kept[asked] = (counter, made)
        while len(kept) > MOST_KEPT:
            kept.popitem(last=False)
    return made
