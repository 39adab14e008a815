"""Work sessions out again in a thread of its own after a rider's numbers changed, and say how far it is."""

import threading
from dataclasses import dataclass

from rideready.services.analysis import refresh
from rideready.services.context import Context

#: A store and a rider of it.
_Whose = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far it is.

    Parameters
    ----------
    done, total
        Sessions worked out again, and sessions to be.
    is_running
        Whether it goes on.
    is_broken
        Whether it broke off.
    """

    done: int = 0
    total: int = 0
    is_running: bool = False
    is_broken: bool = False


class Rework:
    """One thread at most for each rider; what is asked for meanwhile follows at once."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._progress: dict[_Whose, Progress] = {}
        self._again: set[_Whose] = set()

    def start(self, ctx: Context) -> None:
        """Begin, or go on once more if it is under way."""
        fixed = Context(ctx.store, ctx.rider_id, ctx.today)
        with self._lock:
            if self.of(fixed).is_running:
                self._again.add(_whose(fixed))
                return
            self._progress[_whose(fixed)] = Progress(is_running=True)
        threading.Thread(target=self._work, args=(fixed,), name="rework", daemon=True).start()

    def of(self, ctx: Context) -> Progress:
        """Say how far it is for a rider."""
        return self._progress.get(_whose(ctx), Progress())

    def _work(self, ctx: Context) -> None:
        def note(done: int, total: int) -> None:
            self._progress[_whose(ctx)] = Progress(done, total, is_running=True)

        is_broken = True
        try:
            n_done = refresh(ctx, progress=note)
            while self._is_wanted_again(_whose(ctx)):
                n_done = refresh(ctx, progress=note)
            is_broken = False
        finally:
            last = self._progress[_whose(ctx)]
            total = last.total if is_broken else n_done
            self._progress[_whose(ctx)] = Progress(last.done, total, is_broken=is_broken)

    def _is_wanted_again(self, whose: _Whose) -> bool:
        with self._lock:
            is_wanted = whose in self._again
            self._again.discard(whose)
            return is_wanted


def _whose(ctx: Context) -> _Whose:
    return str(ctx.store.place), ctx.rider_id
