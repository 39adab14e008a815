"""The decoded rows of a table to one session or several."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt

from rideready.errors import UnreadableFile
from rideready.importers.clock_changes import Placed, undo_put_forward, undo_set_back
from rideready.importers.columns import Columns
from rideready.importers.mapping import time_zone
from rideready.importers.preamble import text_above
from rideready.importers.samples import NO_HEART_RATE, Samples, in_order
from rideready.importers.table import Table
from rideready.importers.time_axis import DAY_S, TimeAxis, to_utc
from rideready.importers.times import Style
from rideready.importers.words import DEVICE, KIND, KIND_STEMS, plain
from rideready.model.session import FloatArray, Kind, Session

#: A time of day that falls by more than this has passed midnight, s.
_MIDNIGHT_S: Final = 43_200.0
#: Elapsed time that falls back by more than this may have been started again, s.
_RESTART_S: Final = 20.0
#: Fewer rows than this are no session of their own.
_FEWEST_ROWS: Final = 5
#: Nothing recorded for this long in a table with dates: another session begins behind it, s.
_NEXT_SESSION_S: Final = 6 * 3600.0

_Indices = npt.NDArray[np.int_]


@dataclass(frozen=True, slots=True, eq=False)
class DecodedRows:
    """All rows of a table as numbers, in file order.

    Parameters
    ----------
    t_s, offset_s
        Shape (n,), as `TimeReader.read` gives them.
    channels
        Name to shape (n,), in the units of the session.
    labels
        What tells sessions apart, one for each row; empty if nothing does.
    said
        Most frequent word of the columns for kind and device, where there are such.
    """

    t_s: FloatArray
    offset_s: FloatArray
    channels: Mapping[str, FloatArray]
    labels: tuple[str, ...]
    said: Mapping[str, str]


def sessions_of(table: Table, axis: TimeAxis, columns: Columns, rows: DecodedRows) -> list[Session]:
    """Make sessions of a table.

    Parameters
    ----------
    table
        The file and what is known about it.
    axis, columns
        What its columns are.
    rows
        Its rows.

    Raises
    ------
    UnreadableFile
        If no row has a time, or time starts again and nothing tells the sessions apart.
    """
    is_read = np.isfinite(rows.t_s)
    if not is_read.any():
        name = table.layout.names[axis.reader.index]
        raise UnreadableFile(
            table.path, f"no row has a readable time in column {name!r}", "Look at its cells"
        )
    warnings = [*axis.warnings, *columns.warnings, *_unread(rows, is_read)]
    t_s, zone_offset_s = _one_clock(np.round(rows.t_s[is_read], 3), rows.offset_s[is_read], axis)
    labels = [label for label, kept in zip(rows.labels, is_read, strict=False) if kept]
    parts = _parts_by_day(t_s) if axis.reader.is_dated else _parts_by_restart(table.path, t_s, labels)
    sessions = []
    for part in parts:
        channels = {name: values[is_read][part] for name, values in rows.channels.items()}
        # Undated times count from something: they start again, and no clock is set back.
        placed = undo_set_back(t_s[part], channels) if axis.reader.is_dated else Placed(t_s[part])
        if axis.reader.is_dated and table.said.zone and not np.isfinite(zone_offset_s):
            placed = replace(placed, t_s=undo_put_forward(placed.t_s, time_zone(table.said.zone)))
        samples = in_order(placed.t_s, channels)
        start = _start(table, axis, float(samples.t_s[0]), zone_offset_s)
        sessions.append(_session(table, samples, start, rows.said, (*warnings, *placed.warnings)))
    return sessions


def _unread(rows: DecodedRows, is_read: npt.NDArray[np.bool_]) -> list[str]:
    """Say how many rows were left out; a row without a time and without a value is only a blank line."""
    has_value = np.zeros(is_read.shape, dtype=np.bool_)
    for values in rows.channels.values():
        has_value |= np.isfinite(values)
    n_unread = int(np.count_nonzero(has_value & ~is_read))
    if n_unread == 0:
        return []
    return [
        "1 row has no readable time and was left out."
        if n_unread == 1
        else f"{n_unread} rows have no readable time and were left out."
    ]


def _one_clock(t_s: FloatArray, offset_s: FloatArray, axis: TimeAxis) -> tuple[FloatArray, float]:
    """Bring all rows to one clock, UTC where a zone is known; return it with the offset of the first row."""
    has_offset = np.isfinite(offset_s)
    if axis.reader.is_dated and has_offset.any():
        first = float(offset_s[has_offset][0])
        return t_s - np.where(has_offset, offset_s, first), first
    if axis.reader.style in {Style.CLOCK, Style.SHORT}:
        t_s = t_s + DAY_S * np.concatenate(([0], np.cumsum(np.diff(t_s) < -_MIDNIGHT_S)))
    if axis.reader.is_dated:
        return t_s, 0.0 if axis.reader.is_utc else float("nan")
    return t_s, axis.origin_offset_s


def _parts_by_day(t_s: FloatArray) -> list[_Indices]:
    """Cut where nothing was recorded for hours."""
    order = np.argsort(t_s, kind="stable")
    cuts = np.flatnonzero(np.diff(t_s[order]) > _NEXT_SESSION_S) + 1
    return [np.sort(part) for part in np.split(order, cuts)]


def _parts_by_restart(path: str, t_s: FloatArray, labels: Sequence[str]) -> list[_Indices]:
    """Cut where elapsed time starts again, if a column tells the sessions apart."""
    cuts = np.flatnonzero(np.diff(t_s) < -_RESTART_S) + 1
    runs = np.split(np.arange(len(t_s)), cuts)
    by_start = sorted(runs, key=lambda run: float(t_s[run].min()))
    overlap = any(t_s[b].min() < t_s[a].max() for a, b in pairwise(by_start))
    if not overlap or min(map(len, runs)) < _FEWEST_ROWS:
        return [np.arange(len(t_s))]
    by_label: dict[str, list[_Indices]] = {}
    for run in runs:
        found = {labels[row] for row in run} if labels else set()
        if len(found) != 1:
            raise UnreadableFile(
                path,
                f"time starts again in row {int(cuts[0]) + 1} below the headings, as if there were several sessions",
                "Put each in a file of its own, or add a column 'session' that tells them apart",
            )
        by_label.setdefault(found.pop(), []).append(run)
    return [np.concatenate(parts) for parts in by_label.values()]


def _session(
    table: Table,
    samples: Samples,
    start: tuple[dt.datetime | None, str | None, list[str]],
    said: Mapping[str, str],
    warnings: Sequence[str],
) -> Session:
    start_utc, zone, notes = start
    notes += samples.order_warnings()
    if "hr_bpm" not in samples.channels:
        notes.append(NO_HEART_RATE)
    kind = said.get(KIND) or text_above(table.layout.preamble, KIND)
    device = said.get(DEVICE) or text_above(table.layout.preamble, DEVICE)
    return Session(
        t_s=np.round(samples.t_s - samples.t_s[0], 3),
        channels=samples.channels,
        start_utc=start_utc,
        zone=zone,
        kind=kind_of_words(kind or ""),
        device=" ".join(device.split())[:80] if device and device.isprintable() else None,
        warnings=(*warnings, *notes),
    )


def _start(
    table: Table, axis: TimeAxis, zero_s: float, zone_offset_s: float
) -> tuple[dt.datetime | None, str | None, list[str]]:
    if axis.reader.is_dated:
        # The rows were brought to UTC where they name a zone; what the clock showed is that much later.
        moment_s = zero_s + (zone_offset_s if np.isfinite(zone_offset_s) else 0.0)
    elif axis.origin_s is not None:
        moment_s = axis.origin_s + zero_s
    else:
        return None, None, ["The file gives no date; the day is unknown."]
    start_utc, zone, warning = to_utc(moment_s, zone_offset_s, table.said.zone)
    return start_utc, zone, [warning] if warning else []


def kind_of_words(text: str) -> Kind:
    """Read what was done from a word in any of the ten languages; OTHER if none is known.

    Examples
    --------
    >>> kind_of_words("Laufen").value
    'run'
    """
    phrase = plain(text)
    words = phrase.split()
    found = [
        (phrase == stem, len(stem), kind)
        for kind, stems in KIND_STEMS.items()
        for stem in stems
        if (len(stem) > 3 and stem in phrase) or any(word.startswith(stem) for word in words)
    ]
    return Kind(max(found)[2]) if found else Kind.OTHER
