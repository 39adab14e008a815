"""What is kept of the messages of one FIT file, whichever library reads them."""

from array import array
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from rideready.importers.fit_fields import COLUMN_INDEX, COLUMNS, STAND_INS, STOPS, device_text, zone_text
from rideready.model.session import FloatArray

NAN: Final = float("nan")


@dataclass(frozen=True, slots=True)
class Leg:
    """One sport of a workout.

    Parameters
    ----------
    sport, sub_sport
        As the profile names them; numbers where it does not; None if not said.
    duration_s
        Timer time, s; 0 if not said.
    """

    sport: Any
    sub_sport: Any
    duration_s: float


@dataclass(slots=True)
class Gatherer:
    """Collects messages in file order.

    Parameters
    ----------
    rows
        Values of the records, one after the other, as wide as `COLUMNS`.
    timer
        Time and whether the timer ran from there on.
    """

    rows: "array[float]" = field(default_factory=lambda: array("d"))
    timer: list[tuple[float, bool]] = field(default_factory=list)
    legs: list[Leg] = field(default_factory=list)
    sport: Leg | None = None
    file_type: Any = None
    device: str | None = None
    zone: str | None = None
    local_clock: tuple[int, int] | None = None
    n_strap_messages: int = 0

    def take(self, name: str, fields: Iterable[Any]) -> None:
        """Take one message.

        Parameters
        ----------
        name
            Its name in the profile.
        fields
            Its fields, as either library gives them.
        """
        if name == "record":
            self.rows.extend(record_row(fields))
        elif name == "hr":
            self.n_strap_messages += 1
        else:
            take = _TAKERS.get(name)
            if take is not None:
                take(self, plain_values(fields))

    @property
    def n_records(self) -> int:
        """How many records were taken."""
        return len(self.rows) // len(COLUMNS)

    def columns(self) -> dict[str, FloatArray]:
        """Return the records as columns by name, NaN where a field was absent."""
        table = np.frombuffer(self.rows, dtype=float).reshape(-1, len(COLUMNS)) if self.rows else None
        if table is None:
            return {name: np.empty(0) for name in COLUMNS}
        return {name: table[:, index].copy() for name, index in COLUMN_INDEX.items()}

    def _file_id(self, values: Mapping[str, Any]) -> None:
        self.file_type = values.get("type")
        self.device = device_text(values) or self.device

    def _device_info(self, values: Mapping[str, Any]) -> None:
        """Keep the recorder's own name only; straps and pods have an index above 0."""
        if values.get("device_index") in {0, "creator"}:
            self.device = device_text(values) or self.device

    def _event(self, values: Mapping[str, Any]) -> None:
        at = values.get("timestamp")
        if values.get("event") != "timer" or not isinstance(at, (int, float)):
            return
        if values.get("event_type") == "start":
            self.timer.append((float(at), True))
        elif values.get("event_type") in STOPS:
            self.timer.append((float(at), False))

    def _leg(self, values: Mapping[str, Any]) -> None:
        seconds = values.get("total_timer_time")
        duration_s = float(seconds) if isinstance(seconds, (int, float)) else 0.0
        self.legs.append(Leg(values.get("sport"), values.get("sub_sport"), duration_s))

    def _sport(self, values: Mapping[str, Any]) -> None:
        self.sport = Leg(values.get("sport"), values.get("sub_sport"), 0.0)

    def _activity(self, values: Mapping[str, Any]) -> None:
        here, there = values.get("timestamp"), values.get("local_timestamp")
        self.zone = zone_text(here, there) or self.zone
        if isinstance(here, int) and isinstance(there, int):
            self.local_clock = (here, there)


_TAKERS: Final = {
    "file_id": Gatherer._file_id,  # noqa: SLF001 - this table is part of the class
    "device_info": Gatherer._device_info,  # noqa: SLF001
    "event": Gatherer._event,  # noqa: SLF001
    "session": Gatherer._leg,  # noqa: SLF001
    "sport": Gatherer._sport,  # noqa: SLF001
    "activity": Gatherer._activity,  # noqa: SLF001
}


def plain_values(fields: Iterable[Any]) -> dict[str, Any]:
    """Return native fields by name, the absent ones left out."""
    return {
        item.name: item.value
        for item in fields
        if item.value is not None and (item.field is None or item.field.field_type != "devfield")
    }


def record_row(fields: Iterable[Any]) -> list[float]:
    """Return one record as a row as wide as `COLUMNS`."""
    row = [NAN] * len(COLUMNS)
    for item in fields:
        definition = item.field
        if definition is None:
            continue
        if definition.field_type == "devfield":
            index = COLUMN_INDEX.get(STAND_INS.get(definition.native_field_num, ""))
        else:
            index = COLUMN_INDEX.get(definition.name)
        if index is not None:
            value = item.value[0] if isinstance(item.value, tuple) and item.value else item.value
            if isinstance(value, (int, float)):
                row[index] = value
    return row
