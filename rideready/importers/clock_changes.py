"""A recorder's clock that was changed while it recorded: summer time, another time zone, a correction.

What is written in UTC knows nothing of it. A table in local time goes back an hour when summer time ends, and a
recorder that is set right goes back by whatever it was wrong: sorted by such times, two stretches of the session
would be laid into each other. A recorder writes in order, so the later stretch is placed behind.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray

_Rows = npt.NDArray[np.int_]

#: A smaller step back shuffles single samples, s.
_LEAST_S: Final = 10.0
#: Fewer samples in the same seconds are strays and not a stretch.
_FEWEST: Final = 8
#: Clocks of the world differ by whole quarters of an hour, s.
_QUARTER_S: Final = 900.0
#: Two copies of one stretch differ by less than this in the middle; other stretches hardly (own choice, in the
#: units of the channel; the limits by which sessions are told apart are twice as strict for heart rate).
_COPY: Final = {"hr_bpm": 2.0, "power_w": 10.0, "speed_m_s": 0.3, "cadence_rpm": 2.0, "altitude_m": 4.0}


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Times as if nobody had touched the clock.

    Parameters
    ----------
    t_s
        Shape (n,), s, in the order the rows came in.
    warnings
        One sentence for each change that was undone.
    """

    t_s: FloatArray
    warnings: tuple[str, ...] = ()


def undo_set_back(t_s: FloatArray, channels: Mapping[str, FloatArray]) -> Placed:
    """Place what was recorded after a clock was set back behind what was recorded before.

    Stretches that only came in another order, copies of a stretch, and stretches that hold different channels
    are left to be sorted and merged.

    Parameters
    ----------
    t_s
        Shape (n,), s, finite, in the order the rows came in.
    channels
        Name to shape (n,), NaN where absent.
    """
    steps = np.diff(t_s)
    backs = np.flatnonzero(steps < -_LEAST_S)
    if not backs.size:
        return Placed(t_s)
    forward = steps[steps > 0]
    usual_s = float(np.median(forward)) if forward.size else 1.0
    placed = t_s.copy()
    warnings: list[str] = []
    ends = [*(backs[1:] + 1).tolist(), t_s.size]
    for last, end in zip(backs.tolist(), ends, strict=True):
        shift_s = _shift(placed, channels, last, end, usual_s)
        if shift_s > 0:
            placed[last + 1 :] += shift_s
            minutes = (placed[last] - placed.min()) / 60
            warnings.append(
                f"The clock goes back by {_spelt(shift_s)} after {minutes:.0f} min, as when summer time ends or "
                "a recorder is set right; what follows was placed behind."
            )
    return Placed(placed, tuple(warnings))


def _shift(t_s: FloatArray, channels: Mapping[str, FloatArray], last: int, end: int, usual_s: float) -> float:
    """Return by how much the clock was set back behind a row, s; 0 if it was not."""
    before, after = np.arange(last + 1), np.arange(last + 1, end)
    back_s = float(t_s[last] - t_s[last + 1]) + usual_s
    low_s, high_s = float(t_s[before].min()), float(t_s[after].max())
    quarters = round(back_s / _QUARTER_S)
    if (
        quarters > 0
        and abs(back_s - quarters * _QUARTER_S) <= 2 * usual_s + 1
        and min(before.size, after.size) >= _FEWEST
        and abs(float(t_s[last + 1]) - low_s) > _LEAST_S  # else the same stretch again
        and abs(low_s - high_s) > _LEAST_S  # else a first half behind the second
    ):
        return quarters * _QUARTER_S
    return back_s if _are_different(t_s, channels, before, after) else 0.0


def _are_different(t_s: FloatArray, channels: Mapping[str, FloatArray], before: _Rows, after: _Rows) -> bool:
    """Whether two stretches have many seconds in common, and other values in them."""
    both = [t_s[rows] for rows in (before, after)]
    low_s, high_s = max(times.min() for times in both), min(times.max() for times in both)
    before, after = (rows[(t_s[rows] >= low_s) & (t_s[rows] <= high_s)] for rows in (before, after))
    name = next((n for n in _COPY if n in channels and _both_have(channels[n], before, after)), None)
    if name is None:
        return False
    values = channels[name]
    there = before[np.isfinite(values[before])]
    order = there[np.argsort(t_s[there], kind="stable")]
    here = after[np.isfinite(values[after])]
    apart = np.abs(np.interp(t_s[here], t_s[order], values[order]) - values[here])
    return float(np.median(apart)) > _COPY[name]


def _both_have(values: FloatArray, before: _Rows, after: _Rows) -> bool:
    return all(np.count_nonzero(np.isfinite(values[rows])) >= _FEWEST for rows in (before, after))


def _spelt(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds >= 90 else f"{seconds:.0f} s"


def undo_put_forward(t_s: FloatArray, zone: dt.tzinfo) -> FloatArray:
    """Take out the hour that a local clock leaves out when summer time begins.

    Parameters
    ----------
    t_s
        Shape (n,), s since 1970-01-01 as the clock showed them, rising but for the change.
    zone
        Where it was; a zone nobody named leaves an hour without samples, which cannot be told from a pause.
    """
    placed = t_s.copy()
    for last in np.flatnonzero(np.diff(t_s) >= _QUARTER_S).tolist():
        before, after = (_offset_s(float(t_s[row]), zone) for row in (last, last + 1))
        left_out_s = after - before
        if 0 < left_out_s <= t_s[last + 1] - t_s[last]:
            placed[last + 1 :] -= left_out_s
    return placed


def _offset_s(shown_s: float, zone: dt.tzinfo) -> float:
    try:
        shown = dt.datetime(1970, 1, 1) + dt.timedelta(seconds=shown_s)  # noqa: DTZ001 - what a clock shows
        offset = shown.replace(tzinfo=zone).utcoffset()
    except OverflowError:
        return 0.0
    return offset.total_seconds() if offset else 0.0
