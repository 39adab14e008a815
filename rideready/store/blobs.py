"""Samples to bytes and back, to the last bit.

A blob is one format byte and a zlib stream. Format 1 holds, in the stream, the length of a JSON
head (4 bytes, little endian), the head, and the columns. A column is taken to whole numbers if a
power of ten does so exactly, stored as differences between neighbours, and its bytes are laid out
plane by plane (all lowest bytes first), because the high planes are then nearly all zero. Where no
power of ten is exact, the 64 bits of each value are treated likewise.

Written by hand: the standard library's compressors alone take twice the room, and a table format
would bring a large dependency for one column of bytes.
"""

import json
import zlib
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from rideready.errors import StoreProblem
from rideready.model.session import FloatArray

FORMAT = 1
#: Powers of ten tried in turn; recorders give whole numbers, or one to three decimals.
SCALES = (1, 10, 100, 1000)
#: Above this, whole numbers are no longer exact in a double (2^53).
LARGEST_EXACT = 2.0**53
BITS_OF_NAN = np.float64(np.nan).view(np.uint64)


def pack(columns: Mapping[str, FloatArray]) -> bytes:
    """Turn columns of one length into bytes.

    Parameters
    ----------
    columns
        Name to shape (n,); any doubles, NaN and infinities included.
    """
    packed = {name: _pack_column(np.ascontiguousarray(values)) for name, values in columns.items()}
    length = next((values.size for values in columns.values()), 0)
    head = json.dumps(
        {"n": length, "columns": [[name, scale] for name, (scale, _) in packed.items()]}
    ).encode()
    body = b"".join([len(head).to_bytes(4, "little"), head, *(data for _, data in packed.values())])
    return bytes([FORMAT]) + zlib.compress(body, 6)


def unpack(data: bytes) -> dict[str, FloatArray]:
    """Turn bytes into columns again; raises `StoreProblem` if they are damaged or from a newer version."""
    if data[:1] != bytes([FORMAT]):
        raise StoreProblem(
            f"samples are kept in format {data[0] if data else 'none'}, which is unknown here",
            what_to_do="Update rideready, or import the recording again",
        )
    try:
        body = zlib.decompress(data[1:])
        size = 4 + int.from_bytes(body[:4], "little")
        head = json.loads(body[4:size])
        columns: dict[str, FloatArray] = {}
        for name, scale in head["columns"]:
            columns[name], size = _unpack_column(body, size, head["n"], scale)
    except (zlib.error, ValueError, KeyError, TypeError) as error:
        raise StoreProblem("samples are damaged", what_to_do="Import the recording again") from error
    return columns


def _pack_column(values: FloatArray) -> tuple[int, bytes]:
    """Return the scale that makes a column whole (0 for none) and its bytes."""
    absent = np.isnan(values)
    bits_absent = values.view(np.uint64)[absent]
    if np.all(bits_absent == BITS_OF_NAN):
        filled = _carry_forward(values, absent)
        for scale in SCALES:
            scaled = np.rint(filled * scale)
            if not np.all(np.abs(scaled) < LARGEST_EXACT):  # also false for infinities
                break
            whole = scaled.astype(np.int64)  # here a negative zero loses its sign, and fails the comparison
            if np.array_equal((whole / float(scale)).view(np.uint64), filled.view(np.uint64)):
                return scale, np.packbits(absent).tobytes() + _planes(whole)
    return 0, _planes(values.view(np.int64))


def _unpack_column(body: bytes, at: int, length: int, scale: int) -> tuple[FloatArray, int]:
    """Read one column from ``body`` at byte ``at``; return it and where the next begins."""
    if scale == 0:
        whole = _from_planes(body[at : at + 8 * length], length)
        return whole.view(np.float64), at + 8 * length
    mask_size = (length + 7) // 8
    mask = np.frombuffer(body, np.uint8, mask_size, at)
    at += mask_size
    values = _from_planes(body[at : at + 8 * length], length) / float(scale)
    values[np.unpackbits(mask, count=length).astype(bool)] = np.nan
    return values, at + 8 * length


def _carry_forward(values: FloatArray, absent: npt.NDArray[np.bool_]) -> FloatArray:
    """Fill absent values with the one before (0 at the start), so that their difference costs nothing."""
    last = np.maximum.accumulate(np.where(absent, -1, np.arange(values.size)))
    return np.where(last >= 0, values[last], 0.0)


def _planes(whole: npt.NDArray[np.int64]) -> bytes:
    """Differences, small ones of either sign as small unsigned numbers, laid out byte plane by byte plane."""
    steps = np.diff(whole, prepend=np.int64(0))  # wraps round at 64 bits, and back again when summed
    zigzag = (steps << 1) ^ (steps >> 63)
    return zigzag.astype("<i8").view(np.uint8).reshape(-1, 8).T.tobytes()


def _from_planes(data: bytes, length: int) -> npt.NDArray[np.int64]:
    """Undo `_planes`."""
    planes = np.frombuffer(data, np.uint8).reshape(8, length)
    zigzag = np.ascontiguousarray(planes.T).view("<u8").reshape(length)
    steps = (zigzag >> np.uint64(1)).astype(np.int64) ^ -(zigzag & np.uint64(1)).astype(np.int64)
    return np.cumsum(steps, dtype=np.int64)
