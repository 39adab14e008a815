"""Which of very many recoveries and sessions are drawn, so that ten years fit on a screen and through the line."""

from collections.abc import Sequence
from typing import Final, TypeVar

import numpy as np
import numpy.typing as npt

from dashboards import formats
from dashboards.tables import key_of
from dashboards.urls import RecoveryKey
from rideready.model.recovery import Grade
from rideready.model.session import FloatArray
from rideready.services.recoveries import RecoveryRow

#: Up to so many recoveries every one is a dot: what a browser draws in a moment, and a season holds.
MOST_DOTS: Final = 1500
#: Up to so many sessions every one is a mark.
MOST_SESSIONS: Final = 250
#: Places on the chart, by date and by drop; a dot is about as large as one of them.
_COLUMNS, _ROWS = 64, 22

_ANY = TypeVar("_ANY")


def drawn(rows: Sequence[RecoveryRow], *, opened: RecoveryKey | None) -> list[RecoveryRow]:
    """Choose the recoveries to draw: all, or where they crowd one of those that fall into one place.

    Parameters
    ----------
    rows
        By time.
    opened
        Drawn in any case, with its ring.

    Returns
    -------
    list of RecoveryRow
        By time. Of a place the best graded, and of those the newest; those that have no place on the
        chart (no date, no drop) only if there are few enough for all.
    """
    if len(rows) <= MOST_DOTS:
        return list(rows)
    on_chart = charted(rows)
    if not on_chart:
        return []
    days = np.array([formats.wall_day(row.end_local) for row in on_chart])
    drops = np.array([row.recovery.hrr60_bpm for row in on_chart], dtype=float)
    places = _step(days, _COLUMNS) * _ROWS + _step(drops, _ROWS)
    ranks = list(Grade)
    worse = np.array([ranks.index(row.recovery.grade) for row in on_chart])
    order = np.lexsort((-days, worse, places))
    _, first = np.unique(places[order], return_index=True)
    chosen = set(order[first].tolist())
    return [row for number, row in enumerate(on_chart) if number in chosen or key_of(row) == opened]


def charted(rows: Sequence[RecoveryRow]) -> list[RecoveryRow]:
    """Keep the recoveries that have a place on the chart: a date and a drop."""
    return [
        row for row in rows if row.session_start_utc is not None and formats.is_known(row.recovery.hrr60_bpm)
    ]


def evenly(things: Sequence[_ANY], most: int) -> list[_ANY]:
    """Take things at even distances, the first and the last among them; all if they are few enough."""
    if len(things) <= most:
        return list(things)
    return [things[number] for number in np.linspace(0, len(things) - 1, most).round().astype(int)]


def _step(values: FloatArray, steps: int) -> npt.NDArray[np.int64]:
    width = float(np.ptp(values)) or 1.0
    steps_from_low: npt.NDArray[np.int64] = ((values - values.min()) / width * steps).astype(np.int64)
    return np.minimum(steps_from_low, steps - 1)
