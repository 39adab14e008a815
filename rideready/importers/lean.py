"""fitparse without what nobody here asks of it: many times as fast on real files, the same values.

fitparse builds an object for each field of each message, including the half of a file that is never looked
at. Its reading of headers, definitions, developer fields and odd records is kept; plain records, nine in ten
messages, are skimmed off in stretches (`rideready.importers.skim`), and messages that are not wanted are
passed over. It reaches into methods of fitparse 1.2.0, which is why that version is pinned; a test compares
it with plain fitparse.
"""

from typing import Any, Final

import fitparse
from fitparse import records
from fitparse.utils import FitEOFError, FitParseError

from rideready.importers.fit_fields import (
    COLUMN_INDEX,
    DEVELOPER_MESSAGES,
    OTHER_MESSAGES,
    RECORD_FIELDS,
    STAND_INS,
)
from rideready.importers.gather import Gatherer
from rideready.importers.skim import Cell, Shape, numpy_kind, skim

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
        self._body = data
        self._shapes: dict[int, Shape] = {}  # by local number, of the plain definitions in force
        super().__init__(data, check_crc=False, data_processor=_Untouched())

    def read_all(self) -> None:
        """Read to the end; what was read before a fault stays with the gatherer."""
        while self._parse_message() is not None:
            self._messages.clear()

    @property
    def position(self) -> int:
        """How far the file was read, bytes."""
        return 0 if self._file is None else int(self._file.tell())

    def _parse_definition_message(self, header: Any) -> Any:
        definition = super()._parse_definition_message(header)
        shape = _shape(definition)
        if shape is None:
            self._shapes.pop(header.local_mesg_num, None)
        else:
            self._shapes[header.local_mesg_num] = shape
        return definition

    def _parse_data_message(self, header: Any) -> Any:
        definition = self._local_mesgs.get(header.local_mesg_num)
        if definition is None:
            raise FitParseError(f"message of type {header.local_mesg_num} before its definition")
        if header.local_mesg_num in self._shapes and header.time_offset is None:
            self._skim()
            return records.DataMessage(header=header, def_mesg=definition, fields=[])
        message = super()._parse_data_message(header)
        if self._bytes_left < 0:  # fitparse would take the checksum behind the body for its last values
            raise FitEOFError("a message is cut short")
        self._gatherer.take(message.name, message.fields)
        return message

    def _skim(self) -> None:
        """Read the message whose header byte was just read, and every plain one behind it."""
        start = self._file.tell() - 1
        end = min(start + 1 + self._bytes_left, len(self._body))
        found = skim(self._body, start, end, self._shapes)
        if found.end == start:
            raise FitEOFError("a message is cut short")
        self._file.seek(found.end)
        self._bytes_left -= found.end - start - 1
        if found.last_stamp is not None:
            self._compressed_ts_accumulator = found.last_stamp
        self._gatherer.rows.frombytes(found.rows.tobytes())
        self._gatherer.n_strap_messages += found.n_strap_messages


def _shape(definition: Any) -> Shape | None:
    """Work out how the messages of a definition are skimmed; None if fitparse itself reads them."""
    name = definition.name
    if name in OTHER_MESSAGES or name in DEVELOPER_MESSAGES or _is_odd(definition):
        return None
    cells: list[Cell] = []
    stamp = None
    at = 0
    for item in definition.field_defs:
        is_stamp = item.def_num == _TIMESTAMP and item.base_type.name == "uint32" and item.size == 4
        if is_stamp:
            stamp = len(cells)
        if is_stamp or (name == "record" and item.name in RECORD_FIELDS):
            cells.append(_cell(at, item, definition))
        at += item.size
    at += sum(item.size for item in definition.dev_field_defs)
    return Shape(at, tuple(cells), stamp, name)


def _cell(at: int, item: Any, definition: Any) -> Cell:
    column = COLUMN_INDEX[item.name] if definition.name == "record" else None
    scale = (item.field.scale or 1) if item.field else 1
    offset = (item.field.offset or 0) if item.field else 0
    kind = numpy_kind(item.base_type.fmt, definition.endian)
    return Cell(at, kind, column, _INVALID[item.base_type.name], scale, offset)


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
