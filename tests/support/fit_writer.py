"""Writes a session as a FIT file with fit-tool, a library the importers do not read with.

One message object is filled again for every record: making a new one for each costs ten times as
long (1,400 against 14,000 records a second).
"""

import datetime as dt
import struct
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from fit_tool.definition_message import DefinitionMessage
from fit_tool.fit_file_header import FitFileHeader
from fit_tool.profile.messages.activity_message import ActivityMessage
from fit_tool.profile.messages.device_info_message import DeviceInfoMessage
from fit_tool.profile.messages.event_message import EventMessage
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.lap_message import LapMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.profile_type import (
    Activity,
    Event,
    EventType,
    FileType,
    LapTrigger,
    Manufacturer,
    Sport,
    SubSport,
)
from fit_tool.record import Record
from fit_tool.utils.crc import crc16

from rideready.model.session import Kind, Session

#: Seconds from 1970-01-01 to the FIT epoch, 1989-12-31 00:00 UTC (FIT protocol, date_time).
FIT_EPOCH_S = 631_065_600

#: Channel to field of the "record" message.
FIELDS = {
    "hr_bpm": "heart_rate",
    "power_w": "power",
    "cadence_rpm": "cadence",
    "speed_m_s": "speed",
    "distance_m": "distance",
    "altitude_m": "altitude",
    "temperature_c": "temperature",
}

_SPORTS = {
    Kind.BIKE: (Sport.CYCLING, SubSport.INDOOR_CYCLING),
    Kind.RUN: (Sport.RUNNING, SubSport.TRAIL),
    Kind.WALK: (Sport.WALKING, SubSport.GENERIC),
    Kind.STRENGTH: (Sport.TRAINING, SubSport.STRENGTH_TRAINING),
    Kind.TEST: (Sport.TRAINING, SubSport.CARDIO_TRAINING),
}


class _Body:
    """The records section of a FIT file, growing."""

    def __init__(self) -> None:
        self.content = bytearray()
        self._local_ids: dict[int, int] = {}

    def define(self, message: Any) -> None:
        """Announce the layout of a message, under a local number of its own."""
        message.local_id = self._local_ids.setdefault(message.global_id, len(self._local_ids))
        layout = DefinitionMessage.from_data_message(message)
        message.set_definition_message(layout)
        self.content += Record.from_message(layout).to_bytes()

    def add(self, message: Any) -> None:
        self.content += Record.from_message(message).to_bytes()

    def add_new(self, message: Any) -> None:
        self.define(message)
        self.add(message)

    def finished(self) -> bytes:
        header: bytes = FitFileHeader(records_size=len(self.content), gen_crc=True).to_bytes()
        whole = header + bytes(self.content)
        return whole + struct.pack("<H", crc16(whole))


def fit_bytes(session: Session, *, laps_s: tuple[float, ...] = (0.0,)) -> bytes:
    """Write a session as one FIT activity.

    Parameters
    ----------
    session
        With a start, a zone with a known offset, at least one sample, and times at whole seconds.
    laps_s
        Starts of laps, s from the start, rising from 0.

    Returns
    -------
    bytes
        Header, messages and checksum: file id, device, timer events, records, laps, session,
        activity with the local clock. The same session gives the same bytes.
    """
    if session.start_utc is None or session.zone is None or not session.t_s.size:
        raise ValueError("a FIT file needs samples, a start and a zone")
    start_s = round(session.start_utc.timestamp())
    body = _Body()
    _add_head(body, session, start_s)
    _add_records_and_events(body, session, start_s)
    _add_laps(body, session, start_s, laps_s)
    _add_tail(body, session, start_s, len(laps_s))
    return body.finished()


def _milliseconds(start_s: int, t_s: float) -> int:
    return (start_s + round(t_s)) * 1000


def _add_head(body: _Body, session: Session, start_s: int) -> None:
    file_id = FileIdMessage()
    file_id.type = FileType.ACTIVITY
    file_id.manufacturer = Manufacturer.DEVELOPMENT.value
    file_id.product = 0
    file_id.time_created = start_s * 1000
    file_id.product_name = session.device or "simulated recorder"
    body.add_new(file_id)
    device = DeviceInfoMessage()
    device.timestamp = start_s * 1000
    device.device_index = 0
    device.manufacturer = Manufacturer.DEVELOPMENT.value
    device.product = 0
    device.product_name = session.device or "simulated recorder"
    body.add_new(device)


def _add_records_and_events(body: _Body, session: Session, start_s: int) -> None:
    event = EventMessage()
    event.event = Event.TIMER
    event.timestamp = start_s * 1000
    event.event_type = EventType.START
    body.add_new(event)
    switches = [(p.start_s, EventType.STOP_ALL) for p in session.pauses]
    switches += [(p.end_s, EventType.START) for p in session.pauses]
    switches = sorted([*switches, (session.duration_s, EventType.STOP_ALL)], key=lambda switch: switch[0])
    record = RecordMessage()
    names = [name for name in FIELDS if name in session.channels]
    record.timestamp = start_s * 1000
    for name in names:
        setattr(record, FIELDS[name], 0)
    body.define(record)
    columns = np.column_stack([session.t_s, *(session.channels[name] for name in names)])
    for t_s, *values in columns.tolist():
        # A start comes before the first record after it, a stop after the last record before it.
        while switches and (switches[0][0], switches[0][1] is EventType.STOP_ALL) < (t_s, True):
            _add_switch(body, event, start_s, switches.pop(0))
        record.timestamp = _milliseconds(start_s, t_s)
        for name, value in zip(names, values, strict=True):
            setattr(record, FIELDS[name], None if np.isnan(value) else value)
        body.add(record)
    for switch in switches:
        _add_switch(body, event, start_s, switch)


def _add_switch(body: _Body, event: Any, start_s: int, switch: tuple[float, EventType]) -> None:
    event.timestamp = _milliseconds(start_s, switch[0])
    event.event_type = switch[1]
    body.add(event)


def _timer_s(session: Session, from_s: float, to_s: float) -> float:
    paused = sum(max(min(p.end_s, to_s) - max(p.start_s, from_s), 0.0) for p in session.pauses)
    return to_s - from_s - paused


def _add_laps(body: _Body, session: Session, start_s: int, laps_s: tuple[float, ...]) -> None:
    for index, (begin, end) in enumerate(zip(laps_s, [*laps_s[1:], session.duration_s], strict=True)):
        lap = LapMessage()
        lap.message_index = index
        lap.timestamp = _milliseconds(start_s, end)
        lap.start_time = _milliseconds(start_s, begin)
        lap.event = Event.LAP
        lap.event_type = EventType.STOP
        lap.total_elapsed_time = end - begin
        lap.total_timer_time = _timer_s(session, begin, end)
        lap.lap_trigger = LapTrigger.MANUAL
        lap.sport = _SPORTS.get(session.kind, (Sport.GENERIC, SubSport.GENERIC))[0]
        if index == 0:
            body.define(lap)
            layout = lap.definition_message
        lap.local_id = layout.local_id
        lap.set_definition_message(layout)
        body.add(lap)


def _add_tail(body: _Body, session: Session, start_s: int, n_laps: int) -> None:
    end = _milliseconds(start_s, session.duration_s)
    timer = _timer_s(session, 0.0, session.duration_s)
    whole = SessionMessage()
    whole.message_index = 0
    whole.timestamp = end
    whole.start_time = start_s * 1000
    whole.event = Event.SESSION
    whole.event_type = EventType.STOP
    whole.sport, whole.sub_sport = _SPORTS.get(session.kind, (Sport.GENERIC, SubSport.GENERIC))
    whole.total_elapsed_time = session.duration_s
    whole.total_timer_time = timer
    whole.first_lap_index = 0
    whole.num_laps = n_laps
    body.add_new(whole)
    activity = ActivityMessage()
    activity.timestamp = end
    activity.total_timer_time = timer
    activity.num_sessions = 1
    activity.type = Activity.MANUAL
    activity.event = Event.ACTIVITY
    activity.event_type = EventType.STOP
    activity.local_timestamp = end // 1000 - FIT_EPOCH_S + _offset_s(session)
    body.add_new(activity)


def _offset_s(session: Session) -> int:
    if session.start_utc is None or session.zone is None:
        raise ValueError("a local clock needs a start and a zone")
    end = session.start_utc + dt.timedelta(seconds=session.duration_s)
    offset = end.astimezone(ZoneInfo(session.zone)).utcoffset()
    return round(offset.total_seconds()) if offset is not None else 0
