"""FIT files byte by byte, from a list of fields, for tests that must know every byte.

Written after the public FIT protocol, independently of the readers under test and of their checksum: the
checksum here goes bit by bit.
"""

import datetime as dt
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

#: Base type: code, ``struct`` letter, and the value that means "none".
BASE_TYPES: Final[dict[str, tuple[int, str, int]]] = {
    "enum": (0x00, "B", 0xFF),
    "sint8": (0x01, "b", 0x7F),
    "uint8": (0x02, "B", 0xFF),
    "string": (0x07, "s", 0),
    "byte": (0x0D, "B", 0xFF),
    "sint16": (0x83, "h", 0x7FFF),
    "uint16": (0x84, "H", 0xFFFF),
    "sint32": (0x85, "i", 0x7FFFFFFF),
    "uint32": (0x86, "I", 0xFFFFFFFF),
    "float32": (0x88, "f", 0),
    "uint32z": (0x8C, "I", 0),
}

#: Message: its number, and its fields as number and base type.
MESSAGES: Final[dict[str, tuple[int, dict[str, tuple[int, str]]]]] = {
    "file_id": (
        0,
        {
            "type": (0, "enum"),
            "manufacturer": (1, "uint16"),
            "product": (2, "uint16"),
            "serial_number": (3, "uint32z"),
            "time_created": (4, "uint32"),
            "product_name": (8, "string"),
        },
    ),
    "session": (
        18,
        {
            "timestamp": (253, "uint32"),
            "sport": (5, "enum"),
            "sub_sport": (6, "enum"),
            "total_timer_time": (8, "uint32"),
        },
    ),
    "record": (
        20,
        {
            "timestamp": (253, "uint32"),
            "position_lat": (0, "sint32"),
            "position_long": (1, "sint32"),
            "altitude": (2, "uint16"),
            "heart_rate": (3, "uint8"),
            "cadence": (4, "uint8"),
            "distance": (5, "uint32"),
            "speed": (6, "uint16"),
            "power": (7, "uint16"),
            "compressed_speed_distance": (8, "byte"),
            "temperature": (13, "sint8"),
            "fractional_cadence": (53, "uint8"),
            "enhanced_speed": (73, "uint32"),
            "enhanced_altitude": (78, "uint32"),
        },
    ),
    "event": (21, {"timestamp": (253, "uint32"), "event": (0, "enum"), "event_type": (1, "enum")}),
    "device_info": (
        23,
        {
            "timestamp": (253, "uint32"),
            "device_index": (0, "uint8"),
            "manufacturer": (2, "uint16"),
            "product": (4, "uint16"),
            "product_name": (27, "string"),
        },
    ),
    "activity": (34, {"timestamp": (253, "uint32"), "local_timestamp": (5, "uint32")}),
    "hr": (132, {"timestamp": (253, "uint32"), "filtered_bpm": (6, "uint8")}),
    "field_description": (
        206,
        {
            "developer_data_index": (0, "uint8"),
            "field_definition_number": (1, "uint8"),
            "fit_base_type_id": (2, "uint8"),
            "field_name": (3, "string"),
            "units": (8, "string"),
            "native_field_num": (15, "uint8"),
        },
    ),
    "developer_data_id": (207, {"developer_data_index": (3, "uint8")}),
}

_EPOCH: Final = dt.datetime(1989, 12, 31, tzinfo=dt.UTC)
Value = int | float | str | bytes | None


def fit_time(moment: dt.datetime) -> int:
    """Return a moment as FIT counts it: s since the last day of 1989, UTC."""
    return round((moment - _EPOCH).total_seconds())


def crc(data: bytes) -> int:
    """Return the checksum of the protocol: CRC-16, polynomial 0x8005 reflected, bit by bit."""
    value = 0
    for byte in data:
        value ^= byte
        for _ in range(8):
            value = (value >> 1) ^ 0xA001 if value & 1 else value >> 1
    return value


@dataclass
class FitBytes:
    """Collects messages and closes them into a file.

    Parameters
    ----------
    order
        ``<`` or ``>``: byte order of the messages.
    """

    order: str = "<"
    body: bytearray = field(default_factory=bytearray)
    layouts: dict[int, tuple[str, tuple[tuple[str, str], ...]]] = field(default_factory=dict)
    ends: list[int] = field(default_factory=list)

    def define(
        self,
        local: int,
        message: str,
        fields: Sequence[str],
        *,
        sizes: Mapping[str, int] | None = None,
        developer: Sequence[tuple[int, int, str]] = (),
    ) -> "FitBytes":
        """Write a definition.

        Parameters
        ----------
        local
            Local number of the message, 0 to 15.
        message, fields
            Names of `MESSAGES`.
        sizes
            Size of a field, bytes, where it is not that of its base type.
        developer
            Number, developer index and base type of each developer field.
        """
        number, known = MESSAGES[message]
        has_developer = 0x20 if developer else 0
        self.body += struct.pack(
            f"{self.order}BBBHB", 0x40 | has_developer | local, 0, int(self.order == ">"), number, len(fields)
        )
        layout: list[tuple[str, str]] = []
        for name in fields:
            code, base = known[name]
            base_code, letter, _ = BASE_TYPES[base]
            size = (sizes or {}).get(name, struct.calcsize(letter))
            self.body += bytes([code, size, base_code])
            layout.append((base, f"{size // struct.calcsize(letter)}{letter}"))
        if developer:
            self.body.append(len(developer))
        for code, index, base in developer:
            letter = BASE_TYPES[base][1]
            self.body += bytes([code, struct.calcsize(letter), index])
            layout.append((base, f"1{letter}"))
        self.layouts[local] = ("".join(letters for _, letters in layout), tuple(layout))
        self.ends.append(len(self.body))
        return self

    def add(self, local: int, *values: Value) -> "FitBytes":
        """Write a message; None becomes the value that means "none"."""
        _, layout = self.layouts[local]
        self.body.append(local)
        for value, (base, letters) in zip(values, layout, strict=True):
            if base == "string":
                text = value if isinstance(value, str) else ""
                self.body += struct.pack(letters, text.encode())
            elif isinstance(value, bytes):
                self.body += value
            else:
                self.body += struct.pack(
                    self.order + letters, BASE_TYPES[base][2] if value is None else value
                )
        self.ends.append(len(self.body))
        return self

    def build(self, *, header_size: int = 14, body_size: int | None = None, spoil_crc: int = 0) -> bytes:
        """Close the file.

        Parameters
        ----------
        header_size
            12 or 14.
        body_size
            What the header claims; None claims the truth.
        spoil_crc
            Added to the checksum.
        """
        claimed = len(self.body) if body_size is None else body_size
        header = struct.pack("<BBHI4s", header_size, 0x20, 2100, claimed, b".FIT")
        if header_size == 14:
            header += struct.pack("<H", crc(header))
        whole = header + bytes(self.body)
        return whole + struct.pack("<H", (crc(whole) + spoil_crc) & 0xFFFF)


START: Final = dt.datetime(2026, 9, 12, 5, 30, tzinfo=dt.UTC)
#: Codes of the profile: cycling.
CYCLING: Final = 2


def workout(
    rows: Sequence[Sequence[Value]],
    fields: Sequence[str] = ("timestamp", "heart_rate"),
    *,
    events: Sequence[tuple[int, int]] = (),
    sport: int | None = CYCLING,
    sub_sport: int | None = 0,
    local_offset_s: int | None = 7200,
    maker: str = "Testbench One",
) -> FitBytes:
    """Return a plain workout, not closed yet.

    Parameters
    ----------
    rows, fields
        Records, raw values as stored; ``timestamp`` in s after `START`.
    events
        Time (s after `START`) and type (0 start, 4 stop) of timer events.
    sport, sub_sport
        Codes of the session message; no message without sport.
    local_offset_s
        What the local clock is ahead of UTC; None for no activity message.
    maker
        Name of the product, kept to 16 bytes.
    """
    zero = fit_time(START)
    fit = FitBytes()
    fit.define(
        0, "file_id", ["type", "manufacturer", "serial_number", "product_name"], sizes={"product_name": 16}
    )
    fit.add(0, 4, 255, 3_999_888_777, maker)
    fit.define(1, "record", fields)
    at = list(fields).index("timestamp") if "timestamp" in fields else None
    for row in rows:
        values = list(row)
        if at is not None and isinstance(values[at], int):
            values[at] = zero + int(values[at] or 0)
        fit.add(1, *values)
    fit.define(2, "event", ["timestamp", "event", "event_type"])
    for at_s, event_type in events:
        fit.add(2, zero + at_s, 0, event_type)
    if sport is not None:
        fit.define(3, "session", ["sport", "sub_sport", "total_timer_time"])
        fit.add(3, sport, sub_sport, 1000 * len(rows))
    if local_offset_s is not None:
        fit.define(4, "activity", ["timestamp", "local_timestamp"])
        fit.add(4, zero, zero + local_offset_s)
    return fit
