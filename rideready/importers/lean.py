"""fitparse without what nobody here asks of it: 13 to 20 times as fast on real files, the same values.

fitparse builds an object for each field of each message, including the half of a file that is never looked
at. Its reading of headers, definitions, developer fields and odd records is kept; plain records, nine in ten
messages, are unpacked in one step, and messages that are not wanted are passed over. It reaches into
methods of fitparse 1.2.0, which is why that version is pinned; a test compares it with plain fitparse.
"""

import struct
from dataclasses import dataclass
from typing import Any, Final

import fitparse
from fitparse import records
from fitparse.utils import FitParseError

from rideready.importers.fit_fields import (
    COLUMN_INDEX,
    COLUMNS,
    DEVELOPER_MESSAGES,
    OTHER_MESSAGES,
    RECORD_FIELDS,
    STAND_INS,
)
from rideready.importers.gather import NAN, Gatherer

_TIMESTAMP: Final = 253

#: The code for "no value" of each plain number type of the protocol; floats use NaN.
_INVALID: Final = {
    "enum": 0xFF,
    "sint8": 0x7F,
    "uint8": 0xFF,
    "sint16": 0x7FFF,
    "uint16": 0xFFFF,
    "sint32": 0x7FFFFFFF,
    "uint32": 0xFFFFFFFF,
    "uint8z": 0,
    "uint16z": 0,
    "uint32z": 0,
    "float32": None,
    "float64": None,
}


class _Untouched(fitparse.FitFileDataProcessor):  # type: ignore[misc]
    """Leaves values as they are: raw times, so that none is made a naive or impossible date."""

    def run_type_processor(self, field_data: Any) -> None:
        """Do nothing."""

    def run_field_processor(self, field_data: Any) -> None:
        """Do nothing."""

    def run_unit_processor(self, field_data: Any) -> None:
        """Do nothing."""

    def run_message_processor(self, data_message: Any) -> None:
        """Do nothing."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """How the messages of one definition are read.

    Parameters
    ----------
    definition
        The definition it was made for.
    unpack
        Reads the wanted values of a plain message; None if fitparse itself reads it.
    cells
        For each value: column (None if it is only needed for its time), code for none, scale, offset.
    stamp
        Which of the values is the time, if any.
    blank
        What fitparse is handed instead of a message.
    """

    definition: Any
    unpack: struct.Struct | None
    cells: tuple[tuple[int | None, int | None, float, float], ...]
    stamp: int | None
    blank: Any


class LeanFitFile(fitparse.FitFile):  # type: ignore[misc]
    """Reads one FIT file into a gatherer.

    Parameters
    ----------
    data
        The file; its checksum is not looked at.
    gatherer
        Takes what is read.
    """

    def __init__(self, data: bytes, gatherer: Gatherer) -> None:
        self._gatherer = gatherer
        self._plans: dict[int, _Plan] = {}
        super().__init__(data, check_crc=False, data_processor=_Untouched())

    def read_all(self) -> None:
        """Read to the end; what was read before a fault stays with the gatherer."""
        while self._parse_message() is not None:
            self._messages.clear()

    @property
    def position(self) -> int:
        """How far the file was read, bytes."""
        return 0 if self._file is None else int(self._file.tell())

    def _parse_data_message(self, header: Any) -> Any:
        definition = self._local_mesgs.get(header.local_mesg_num)
        if definition is None:
            raise FitParseError(f"message of type {header.local_mesg_num} before its definition")
        plan = self._plans.get(header.local_mesg_num)
        if plan is None or plan.definition is not definition:
            plan = self._plans[header.local_mesg_num] = _plan(definition)
        if plan.unpack is None or header.time_offset is not None:
            message = super()._parse_data_message(header)
            self._gatherer.take(message.name, message.fields)
            return message
        values = plan.unpack.unpack(self._read(plan.unpack.size) or b"")
        if plan.stamp is not None and values[plan.stamp] != _INVALID["uint32"]:
            self._compressed_ts_accumulator = values[plan.stamp]
        name = definition.name
        if name == "record":
            self._gatherer.rows.extend(_row(values, plan))
        elif name == "hr":
            self._gatherer.take(name, ())
        return plan.blank


def _row(values: tuple[Any, ...], plan: _Plan) -> list[float]:
    row = [NAN] * len(COLUMNS)
    for value, (column, invalid, scale, offset) in zip(values, plan.cells, strict=True):
        if column is not None and value != invalid:
            row[column] = value / scale - offset
    return row


def _plan(definition: Any) -> _Plan:
    """Work out how the messages of a definition are read best."""
    blank = records.DataMessage(header=definition.header, def_mesg=definition, fields=[])
    name = definition.name
    by_fitparse = name in OTHER_MESSAGES or name in DEVELOPER_MESSAGES or _is_odd(definition)
    if by_fitparse:
        return _Plan(definition, None, (), None, blank)
    layout = [definition.endian]
    cells: list[tuple[int | None, int | None, float, float]] = []
    stamp = None
    for item in definition.field_defs:
        is_stamp = item.def_num == _TIMESTAMP and item.base_type.name == "uint32"
        if is_stamp:
            stamp = len(cells)
        if is_stamp or (name == "record" and item.name in RECORD_FIELDS):
            layout.append(item.base_type.fmt)
            cells.append(_cell(item, definition))
        else:
            layout.append(f"{item.size}x")
    layout += [f"{item.size}x" for item in definition.dev_field_defs]
    return _Plan(definition, struct.Struct("".join(layout)), tuple(cells), stamp, blank)


def _cell(item: Any, definition: Any) -> tuple[int | None, int | None, float, float]:
    column = COLUMN_INDEX[item.name] if definition.name == "record" else None
    scale = (item.field.scale or 1) if item.field else 1
    offset = (item.field.offset or 0) if item.field else 0
    return column, _INVALID[item.base_type.name], scale, offset


def _is_odd(definition: Any) -> bool:
    """Whether a record needs fitparse itself: lists, packed fields, or developer fields that stand in."""
    if definition.name != "record":
        return False
    for item in definition.field_defs:
        if item.name == "compressed_speed_distance":
            return True
        if item.name in RECORD_FIELDS and (
            item.size != item.base_type.size or item.base_type.name not in _INVALID
        ):
            return True
    return any(item.field and item.field.native_field_num in STAND_INS for item in definition.dev_field_defs)
