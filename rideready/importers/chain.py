"""Where the FIT files inside one file begin and end, and whether each is whole.

The libraries read a chain as one stream and stop at the first fault in it, so that a broken piece hides
the sound ones behind it. Here the chain is cut first and every piece is handed on in a sound container.

References
----------
FIT protocol: 12 or 14 bytes of header (size, protocol, profile, length of the body as 32 bits, ".FIT",
checksum), the body, 2 bytes of checksum over header and body (CRC-16 with the reflected polynomial 0xA001).
"""

import math
import struct
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

SIGNATURE: Final = b".FIT"
#: Protocol 1.0, profile 1.0: what a mended header claims.
_MENDED_HEADER: Final = struct.Struct("<BBHI4s")


def _crc_table() -> tuple[int, ...]:
    table = []
    for byte in range(256):
        value = byte
        for _ in range(8):
            value = value >> 1 ^ (0xA001 if value & 1 else 0)
        table.append(value)
    return tuple(table)


_CRC_TABLE: Final = _crc_table()


def _crc_steps() -> npt.NDArray[np.uint16]:
    """Return what two bytes make of a checksum of zero, which with the checksum added is all there is to a step."""
    table, both = np.array(_CRC_TABLE, dtype=np.uint16), np.arange(1 << 16, dtype=np.uint16)
    first = table[both & 0xFF]
    steps: npt.NDArray[np.uint16] = first >> 8 ^ table[(first ^ both >> 8) & 0xFF]
    return steps


_CRC_STEPS: Final = _crc_steps()
#: Shorter data are summed up byte by byte, bytes.
_SHORT: Final = 8192


def crc16(data: bytes) -> int:
    """Return the checksum that closes a FIT file.

    The checksum is linear over single bits, so that stretches are summed up side by side and then put together: what a
    stretch of zeros makes of each of the 16 bits is found on the way.
    """
    if len(data) < _SHORT:
        return _crc_by_byte(0, data)
    n_lanes = math.isqrt(len(data))
    n_steps = len(data) // n_lanes // 2
    length = 2 * n_steps
    lanes = np.concatenate([np.zeros(n_lanes, np.uint16), np.uint16(1) << np.arange(16, dtype=np.uint16)])
    columns = np.zeros((n_steps, n_lanes + 16), np.uint16)
    columns[:, :n_lanes] = np.frombuffer(data, "<u2", n_lanes * n_steps).reshape(n_lanes, n_steps).T
    for column in columns:
        lanes = _CRC_STEPS[lanes ^ column]
    sums, images = lanes[:n_lanes].tolist(), lanes[n_lanes:].tolist()
    crc = 0
    for lane in sums:
        carried = 0
        for bit, image in enumerate(images):
            if crc >> bit & 1:
                carried ^= image
        crc = carried ^ lane
    return _crc_by_byte(crc, data[n_lanes * length :])


def _crc_by_byte(crc: int, data: bytes) -> int:
    table = _CRC_TABLE
    for byte in data:
        crc = crc >> 8 ^ table[(crc ^ byte) & 0xFF]
    return crc


@dataclass(frozen=True, slots=True)
class Piece:
    """One FIT file of a chain.

    Parameters
    ----------
    offset
        Where its body begins in the whole file, bytes.
    body
        Definition and data messages, without header and checksum.
    faults
        What is wrong with its container, each as a clause.
    """

    offset: int
    body: bytes
    faults: tuple[str, ...] = ()

    @property
    def whole(self) -> bytes:
        """The piece in a sound container, as the libraries want it."""
        return contain(self.body)


def contain(body: bytes) -> bytes:
    """Put a header before a body and two bytes of (unused) checksum behind it."""
    return _MENDED_HEADER.pack(12, 16, 100, len(body), SIGNATURE) + body + b"\0\0"


@dataclass(frozen=True, slots=True)
class _Header:
    size: int
    body_size: int
    is_sound: bool


def _read_header(data: bytes, offset: int) -> _Header | None:
    """Read a header; one without its signature counts if a file's first message follows it."""
    if len(data) - offset < 12:
        return None
    size, _, _, body_size, signature = _MENDED_HEADER.unpack_from(data, offset)
    if signature == SIGNATURE and size >= 12:
        return _Header(size, body_size, is_sound=True)
    sizes = (size,) if size in {12, 14} else (14, 12)
    for guess in sizes:
        if _opens_a_body(data, offset + guess):
            return _Header(guess, body_size, is_sound=False)
    return None


def _opens_a_body(data: bytes, offset: int) -> bool:
    """Whether a definition of message 0 (file_id), which every FIT file opens with, stands here."""
    start = data[offset : offset + 6]
    if len(start) < 6 or start[0] & 0xF0 != 0x40 or start[1] != 0 or start[2] > 1:
        return False
    return start[3:5] == b"\0\0" and 1 <= start[5] <= 32


def looks_like_fit(data: bytes) -> bool:
    """Whether these bytes open a FIT file, even one with a broken header."""
    return _read_header(data, 0) is not None


def split(data: bytes) -> list[Piece]:
    """Cut a chain into its pieces.

    Parameters
    ----------
    data
        The whole file.

    Returns
    -------
    list of Piece
        In file order. Bytes behind the last piece that open no further file are a fault of the last.
    """
    pieces: list[Piece] = []
    offset = 0
    while offset < len(data):
        header = _read_header(data, offset)
        if header is None:
            left = len(data) - offset
            if pieces and left > 2 and data[offset:].strip(b"\0"):
                last = pieces.pop()
                fault = f"its last {left} bytes belong to no record"
                pieces.append(Piece(last.offset, last.body, (*last.faults, fault)))
            break
        piece, offset = _cut(data, offset, header)
        pieces.append(piece)
    return pieces


def _cut(data: bytes, offset: int, header: _Header) -> tuple[Piece, int]:
    """Return the piece behind a header, and where the next one begins."""
    start = offset + header.size
    end = start + header.body_size
    faults = [] if header.is_sound else [f"the file header at byte {offset} is broken"]
    if header.body_size and end + 2 <= len(data):
        is_sound = _checksum_matches(data, offset, end) or not header.is_sound
        if is_sound or end + 2 == len(data) or _read_header(data, end + 2):
            if not is_sound:
                faults.append("the checksum does not match, so single values may be wrong")
            return Piece(start, data[start:end], tuple(faults)), end + 2
    # The length is wrong: never filled in by the recorder, or the file was cut.
    following = _next_header(data, start)
    if header.body_size == 0:
        faults.append("the recorder never closed the file")
    elif end > following:
        faults.append("the file ends early")
    elif end + 2 > following:
        faults.append("the checksum at the end is missing")
    else:
        faults.append("the file header gives a wrong length")
    if header.body_size == 0 or not end <= following < end + 2:
        end = following
    if end - start > 2 and _checksum_matches(data, offset, end - 2):
        end -= 2
    return Piece(start, data[start:end], tuple(faults)), following


def _checksum_matches(data: bytes, offset: int, end: int) -> bool:
    return crc16(data[offset:end]) == int.from_bytes(data[end : end + 2], "little")


def _next_header(data: bytes, start: int) -> int:
    """Return where the next sound header begins, or the end of the data."""
    at = data.find(SIGNATURE, start + 8)
    while at >= 0:
        if data[at - 8] in {12, 14} and _opens_a_body(data, at - 8 + data[at - 8]):
            return at - 8
        at = data.find(SIGNATURE, at + 1)
    return len(data)
