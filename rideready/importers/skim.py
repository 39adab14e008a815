"""Reads the plain messages of a FIT body in one go: where each lies first, then column by column.

Nine in ten messages are records of a few shapes, one after the other. A short loop finds where each lies
(header byte, length of its shape, next header byte), and numpy reads their fields from those places at
once. Whatever is not plain (definitions, times packed into headers, odd fields) ends a stretch and is left
to fitparse.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from rideready.importers.fit_fields import COLUMNS
from rideready.model.session import FloatArray

#: A header byte below this is that of a data message without a packed time.
_PLAIN_HEADERS: Final = 0x40
_LOCAL: Final = 0x0F
#: Codes of the letters of ``struct`` in numpy, where they differ.
_NUMPY: Final = {"b": "i1", "B": "u1", "h": "i2", "H": "u2", "i": "i4", "I": "u4", "f": "f4", "d": "f8"}


@dataclass(frozen=True, slots=True)
class Cell:
    """One wanted value of a plain message.

    Parameters
    ----------
    at
        Where it begins behind the header byte, bytes.
    kind
        Its number type, as numpy names it with the byte order.
    column
        Where it goes; None if it is only needed for its time.
    invalid
        Code for "no value"; None for floats, which have NaN.
    scale, offset
        As in the profile: the value is code / scale - offset.
    """

    at: int
    kind: str
    column: int | None
    invalid: int | None
    scale: float
    offset: float


@dataclass(frozen=True, slots=True)
class Shape:
    """How the messages of one plain definition are read.

    Parameters
    ----------
    size
        Bytes behind the header byte.
    cells
        Wanted values.
    stamp
        Which of the cells is the time, if any.
    name
        Of the message: only records give rows.
    """

    size: int
    cells: tuple[Cell, ...]
    stamp: int | None
    name: str


@dataclass(slots=True)
class Skimmed:
    """What a stretch of plain messages held.

    Parameters
    ----------
    end
        Where the next message begins that is not plain.
    rows
        Shape (n, columns): the records in file order, NaN where absent.
    last_stamp
        Time in the last message that had one, s; None without.
    n_strap_messages
        Messages with heart rate that a strap kept for itself.
    """

    end: int
    rows: FloatArray
    last_stamp: int | None = None
    n_strap_messages: int = 0


def numpy_kind(letter: str, endian: str) -> str:
    """Name a number type of ``struct`` for numpy, with its byte order."""
    return endian + _NUMPY[letter]


def skim(body: bytes, start: int, end: int, shapes: Mapping[int, Shape]) -> Skimmed:
    """Read plain messages from a place on, as many as follow each other.

    Parameters
    ----------
    body
        The bytes.
    start, end
        Where the first message begins, and where the last may end.
    shapes
        Shape by local number, of the plain definitions in force.
    """
    places, stop = _places(body, start, end, shapes)
    found = Skimmed(stop, np.empty((0, len(COLUMNS))))
    tables: list[FloatArray] = []
    row_places: list[npt.NDArray[np.int64]] = []
    last_stamp_at = -1
    for local, offsets in places.items():
        shape = shapes[local]
        if not offsets:
            continue
        at = np.array(offsets, dtype=np.int64)
        raw = np.frombuffer(body, dtype=np.uint8)[at[:, None] + np.arange(1, shape.size + 1)]
        if shape.stamp is not None:
            stamps = _codes(raw, shape.cells[shape.stamp])
            known = np.flatnonzero(stamps != shape.cells[shape.stamp].invalid)
            if known.size and at[known[-1]] > last_stamp_at:
                last_stamp_at, found.last_stamp = int(at[known[-1]]), int(stamps[known[-1]])
        if shape.name == "record":
            tables.append(_table(raw, shape))
            row_places.append(at)
        elif shape.name == "hr":
            found.n_strap_messages += len(offsets)
    if tables:
        order = np.argsort(np.concatenate(row_places))
        found.rows = np.concatenate(tables)[order]
    return found


#: After so many messages with one header the next ones are compared with it all at once, up to this many.
_ENOUGH_ALIKE: Final = 8
_LONGEST_RUN: Final = 4096


def _places(
    body: bytes, start: int, end: int, shapes: Mapping[int, Shape]
) -> tuple[dict[int, list[int]], int]:
    """Return where the messages of each local number begin, and where the stretch ends."""
    places: dict[int, list[int]] = {local: [] for local in shapes}
    steps = {local: shape.size + 1 for local, shape in shapes.items()}
    at, last_header, n_alike = start, -1, 0
    while at < end:
        header = body[at]
        if header >= _PLAIN_HEADERS or (local := header & _LOCAL) not in steps:
            break
        following = at + steps[local]
        if following > end:
            break
        n_alike = n_alike + 1 if header == last_header else 1
        if n_alike < _ENOUGH_ALIKE:
            places[local].append(at)
        else:
            following = _end_of_run(body, at, end, steps[local])
            places[local].extend(range(at, following, steps[local]))
            n_alike = 0
        at, last_header = following, header
    return places, at


def _end_of_run(body: bytes, at: int, end: int, step: int) -> int:
    """Return where whole messages with the header of the one at ``at`` end."""
    headers = np.frombuffer(body, np.uint8, end - at, at)[: (end - at) // step * step : step]
    others = np.flatnonzero(headers[:_LONGEST_RUN] != headers[0])
    n_alike = int(others[0]) if others.size else min(headers.size, _LONGEST_RUN)
    return at + n_alike * step


def _codes(raw: npt.NDArray[np.uint8], cell: Cell) -> npt.NDArray[np.generic]:
    width = np.dtype(cell.kind).itemsize
    return np.ascontiguousarray(raw[:, cell.at : cell.at + width]).view(cell.kind)[:, 0]


def _table(raw: npt.NDArray[np.uint8], shape: Shape) -> FloatArray:
    table = np.full((len(raw), len(COLUMNS)), np.nan)
    for cell in shape.cells:
        if cell.column is not None:
            codes = _codes(raw, cell)
            values = codes.astype(float) / cell.scale - cell.offset
            is_there = np.ones(len(raw), dtype=bool) if cell.invalid is None else codes != cell.invalid
            table[is_there, cell.column] = values[is_there]
    return table
