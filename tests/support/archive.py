"""An archive of one-hour FIT files of several recording styles, from simulated sessions."""

import datetime as dt
import struct
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from rideready.importers.chain import crc16
from rideready.model.session import Session
from rideready.simulate import devices
from rideready.simulate.channels import Place
from rideready.simulate.recorder import Occasion, record
from rideready.simulate.scenario import RUNA, RUNA_AUTUMN, WORKOUTS, heart_on
from tests.support.fit_bytes import FitBytes, Value, fit_time

ONE_HOUR_S = 3600
#: Simulated anew; further files are these on other days, each beat off by up to two.
N_DISTINCT = 24
_KINDS = ("interval-bike", "hill-run", "strength", "bike-and-circuit")
_SENSORS = (devices.chest_strap, devices.wrist_optical, devices.coarse_recorder)
_FIELDS = {
    "hr_bpm": ("heart_rate", 1.0, 0.0),
    "power_w": ("power", 1.0, 0.0),
    "cadence_rpm": ("cadence", 1.0, 0.0),
    "speed_m_s": ("speed", 1000.0, 0.0),
    "distance_m": ("distance", 100.0, 0.0),
    "altitude_m": ("altitude", 5.0, 500.0),
    "temperature_c": ("temperature", 1.0, 0.0),
}
#: What a byte holds; a fault of the sensor may lie above.
_MOST = {"hr_bpm": 254, "temperature_c": 100, "cadence_rpm": 254, "distance_m": 1 << 31}


def simulated_hours(rng: np.random.Generator) -> list[Session]:
    """Simulate sessions of an hour: four kinds of workout, three recorders."""
    sessions = []
    for number in range(N_DISTINCT):
        make, kind = WORKOUTS[_KINDS[number % len(_KINDS)]]
        day = RUNA_AUTUMN.first_day + dt.timedelta(days=2 * number)
        programme = make(rng, RUNA_AUTUMN.strength_first)
        while sum(piece.duration_s for piece in programme) < ONE_HOUR_S:
            programme += make(rng, RUNA_AUTUMN.strength_first)
        start = dt.datetime.combine(day, dt.time(6), tzinfo=dt.UTC)
        occasion = Occasion(f"{number}", kind, start, "Europe/Oslo", Place(300.0, 12.0, 10.0))
        heart = heart_on(RUNA_AUTUMN, RUNA, day)
        sessions.append(record(programme, heart, _SENSORS[number % 3](rng), occasion, rng).session)
    return sessions


def write_archive(folder: Path, n_files: int, *, seed: int = 7) -> Iterator[Path]:
    """Write files into a folder, one session a day backwards in time."""
    rng = np.random.default_rng(seed)
    sessions = simulated_hours(rng)
    for number in range(n_files):
        session = sessions[number % len(sessions)]
        path = folder / f"{number:05d}.fit"
        start = dt.datetime(2026, 11, 20, 6, tzinfo=dt.UTC) - dt.timedelta(days=number)
        path.write_bytes(_fit(session, start, "<>"[number // 2 % 2], rng))
        yield path


def _fit(session: Session, start: dt.datetime, order: str, rng: np.random.Generator) -> bytes:
    keep = session.t_s < ONE_HOUR_S
    names = [name for name in _FIELDS if name in session.channels]
    columns: list[list[Value]] = []
    for name in names:
        _, scale, offset = _FIELDS[name]
        values = session.channels[name][keep]
        if name == "hr_bpm":
            values = np.add(values, rng.integers(-2, 3))
        codes: list[int | None] = [
            None if np.isnan(v) else round((v + offset) * scale) for v in values.tolist()
        ]
        least, most = -100 if name == "temperature_c" else 0, _MOST.get(name, 65_534)
        columns.append([code if code is not None and least <= code <= most else None for code in codes])
    zero = fit_time(start)
    fit = FitBytes(order)
    fit.define(0, "file_id", ["type", "manufacturer", "product_name"], sizes={"product_name": 24})
    fit.add(0, 4, 255, (session.device or "simulated")[:23])
    fit.define(2, "event", ["timestamp", "event", "event_type"]).add(2, zero, 0, 0)
    fit.define(1, "record", ["timestamp", *(_FIELDS[name][0] for name in names)])
    for t_s, *row in zip(session.t_s[keep].tolist(), *columns, strict=True):
        fit.add(1, zero + round(t_s), *row)
    fit.define(3, "session", ["sport", "sub_sport", "total_timer_time"]).add(3, 2, 0, 1000 * ONE_HOUR_S)
    fit.define(4, "activity", ["timestamp", "local_timestamp"]).add(4, zero, zero + 3600)
    whole = struct.pack("<BBHI4s", 12, 0x20, 2100, len(fit.body), b".FIT") + bytes(fit.body)
    return whole + struct.pack("<H", crc16(whole))
