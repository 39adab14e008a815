"""Put rows that came as they liked into the order a session asks for."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray

#: What the rider is told of a session without heart rate.
NO_HEART_RATE: Final = "No heart rate was recorded; wear the strap or switch the sensor on to get recoveries."

#: Values that stand for "no heart rate" whatever the format says: nothing found, and the empty byte.
_NO_PULSE: Final = (0.0, 255.0)


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """Rows in order of time, one for each time.

    Parameters
    ----------
    t_s
        Shape (n,), s on whatever clock they came with, strictly rising.
    channels
        Name to shape (n,), NaN where absent; channels without any value are left out.
    n_backward
        Steps back in time in the order the rows came in.
    n_merged
        Rows that shared their time with an earlier one and were merged with it.
    """

    t_s: FloatArray
    channels: dict[str, FloatArray]
    n_backward: int
    n_merged: int

    def order_warnings(self) -> list[str]:
        """Say in sentences what had to be put in order; empty if nothing had."""
        return [*self.backward_warning(), *self.merged_warning()]

    def backward_warning(self) -> list[str]:
        """Say that time runs backward, if it does."""
        if not self.n_backward:
            return []
        times = "once" if self.n_backward == 1 else f"{self.n_backward} times"
        return [f"Time runs backward {times}; the samples were sorted by time."]

    def merged_warning(self) -> list[str]:
        """Say that samples share a time, if they do."""
        if not self.n_merged:
            return []
        if self.n_merged == 1:
            return ["1 sample repeats the time of an earlier one and was merged with it."]
        return [f"{self.n_merged} samples repeat the time of an earlier one and were merged with it."]


def in_order(t_s: FloatArray, channels: Mapping[str, FloatArray]) -> Samples:
    """Sort rows by time and merge those that share one: per channel the last value that is there.

    Parameters
    ----------
    t_s
        Shape (n,), s, finite, in any order.
    channels
        Name to shape (n,); NaN and infinities mean absent, as do 0 and 255 for heart rate.
    """
    order = np.argsort(t_s, kind="stable")
    times = t_s[order]
    is_first = np.concatenate(([True], np.diff(times) > 0)) if times.size else np.zeros(0, dtype=bool)
    starts = np.flatnonzero(is_first)
    kept: dict[str, FloatArray] = {}
    for name, values in channels.items():
        column = np.where(np.isfinite(values), values, np.nan)[order]
        if name == "hr_bpm":
            column[np.isin(column, _NO_PULSE)] = np.nan
        if not np.isfinite(column).all() or len(starts) < len(times):
            column = _last_present(column, starts)
        if np.isfinite(column).any():
            kept[name] = column
    return Samples(
        t_s=times[starts],
        channels=kept,
        n_backward=int(np.count_nonzero(np.diff(t_s) < 0)),
        n_merged=len(times) - len(starts),
    )


def _last_present(column: FloatArray, starts: npt.NDArray[np.intp]) -> FloatArray:
    """Return, for each group of rows, the last value that is not NaN; NaN for a group without any."""
    present = np.where(np.isfinite(column), np.arange(len(column)), -1)
    last = np.maximum.reduceat(present, starts)
    return np.where(last >= starts, column[np.maximum(last, 0)], np.nan)
