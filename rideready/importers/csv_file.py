"""A table in text to sessions."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from rideready.errors import UnreadableFile
from rideready.importers.columns import Columns, choose_columns
from rideready.importers.decimals import numbers
from rideready.importers.mapping import ColumnMapping
from rideready.importers.sniff import HEAD_BYTES, Layout, fallback_encoding, sniff, stream
from rideready.importers.table import Table
from rideready.importers.table_sessions import DecodedRows, sessions_of
from rideready.importers.time_axis import TimeAxis, column_cells
from rideready.importers.time_columns import find_time
from rideready.importers.words import DEVICE, KIND, SESSION
from rideready.model.session import FloatArray, Session

#: Rows that are decoded at a time. The first lot decides how the file is meant: 14 h of samples at 1 s.
_CHUNK_ROWS: Final = 50_000


def read_table(path: str, *, mapping: ColumnMapping) -> list[Session]:
    """Read a table in text.

    Parameters
    ----------
    path
        The file.
    mapping
        What the rider has said about it.

    Returns
    -------
    list of Session
        One for each value of a column that tells sessions apart, if time starts again with each; else one.
        Cadence in steps is halved to strides of one leg, as FIT counts.

    Raises
    ------
    UnreadableFile
        If the file holds no table of samples.
    ChoiceNeeded
        If it can be read in more than one way.
    """
    layout = layout_of(path)
    try:
        return _read(path, layout, mapping)
    except UnicodeDecodeError as fault:
        # Plain letters at the top said nothing about the encoding; a later byte does.
        if layout.encoding != "utf-8":
            raise UnreadableFile(
                path, f"the text breaks off: its {layout.encoding} is damaged", "Export it again"
            ) from fault
        return _read(path, replace(layout, encoding=fallback_encoding(fault.object)), mapping)


def layout_of(path: str) -> Layout:
    """Find out how a table in a file is written; raises `UnreadableFile` if there is none."""
    with Path(path).open("rb") as file:
        head = file.read(HEAD_BYTES)
    return sniff(path, head)


def _read(path: str, layout: Layout, mapping: ColumnMapping) -> list[Session]:
    chunks = stream(path, layout, chunk_rows=_CHUNK_ROWS)
    first = next(chunks, [])
    if not first:
        raise UnreadableFile(path, "the table has headings but no rows", "Export the session again")
    width = len(layout.names)
    n_wide = sum(any(cell.strip() for cell in row[width:]) for row in first)
    if 2 * n_wide > len(first):
        raise UnreadableFile(
            path,
            f"most rows have more cells than the {width} headings, as if {layout.delimiter!r} were also the decimal mark",
            "Export it with another delimiter",
        )
    table = Table(path, layout, first, mapping, np.empty(0))
    axis = find_time(table)
    t_s, _ = axis.reader.read(first)
    columns = choose_columns(replace(table, t_s=t_s), axis.columns)
    return sessions_of(table, axis, columns, _decode(axis, columns, first, chunks))


def _decode(
    axis: TimeAxis, columns: Columns, first: list[list[str]], chunks: Iterator[list[list[str]]]
) -> DecodedRows:
    times: list[FloatArray] = []
    offsets: list[FloatArray] = []
    parts: dict[str, list[FloatArray]] = {channel.name: [] for channel in columns.channels}
    labels: list[str] = []
    said: dict[str, Counter[str]] = {KIND: Counter(), DEVICE: Counter()}
    chunk: list[list[str]] | None = first
    while chunk:
        t_s, offset_s = axis.reader.read(chunk)
        times.append(t_s)
        offsets.append(offset_s)
        for channel in columns.channels:
            cells = column_cells(chunk, channel.index)
            values = numbers(cells, columns.mark)
            if channel.unit.is_pace:
                values = np.where(np.isfinite(values), values, _pace_minutes(cells))
            parts[channel.name].append(channel.unit.convert(values))
        if SESSION in columns.texts:
            labels += column_cells(chunk, columns.texts[SESSION])
        for role, words in said.items():
            if role in columns.texts:
                words.update(cell for cell in column_cells(chunk, columns.texts[role]) if cell.strip())
        chunk = next(chunks, None)
    return DecodedRows(
        t_s=np.concatenate(times),
        offset_s=np.concatenate(offsets),
        channels={name: np.concatenate(arrays) for name, arrays in parts.items()},
        labels=tuple(labels),
        said={role: words.most_common(1)[0][0] for role, words in said.items() if words},
    )


def _pace_minutes(cells: Sequence[str]) -> FloatArray:
    """Read paces written 5:30, in minutes."""
    minutes = np.full(len(cells), np.nan)
    for row, cell in enumerate(cells):
        whole, colon, seconds = cell.strip().partition(":")
        if colon and whole.isdecimal() and seconds[:2].isdecimal():
            minutes[row] = int(whole) + int(seconds[:2]) / 60
    return minutes
