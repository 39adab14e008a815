"""Writes a session as a CSV file, in two layouts that spreadsheets and recorders produce."""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from zoneinfo import ZoneInfo

import numpy as np

from rideready.model.session import Kind, Session


def _shown(value: float, decimals: int, *, mark: str = ".") -> str:
    """Write a number with so many decimals; nothing where it is absent."""
    return "" if np.isnan(value) else f"{value:.{decimals}f}".replace(".", mark)


#: Channel to header, factor and decimals.
_ENGLISH = {
    "hr_bpm": ("heart_rate_bpm", 1.0, 0),
    "power_w": ("power_w", 1.0, 0),
    "cadence_rpm": ("cadence_rpm", 1.0, 0),
    "speed_m_s": ("speed_m_s", 1.0, 3),
    "distance_m": ("distance_m", 1.0, 2),
    "altitude_m": ("altitude_m", 1.0, 1),
    "temperature_c": ("temperature_c", 1.0, 0),
}
_GERMAN = {
    "hr_bpm": ("Herzfrequenz (bpm)", 1.0, 0),
    "power_w": ("Leistung (W)", 1.0, 0),
    "cadence_rpm": ("Trittfrequenz (1/min)", 1.0, 0),
    "speed_m_s": ("Geschwindigkeit (km/h)", 3.6, 4),
    "distance_m": ("Strecke (km)", 0.001, 5),
    "altitude_m": ("Höhe (m)", 1.0, 1),
    "temperature_c": ("Temperatur (°C)", 1.0, 0),
}
#: Kind to its English and German word.
_SPORTS = {kind: (kind.value, kind.value) for kind in Kind} | {
    Kind.BIKE: ("cycling", "Radfahren"),
    Kind.RUN: ("running", "Laufen"),
    Kind.TEST: ("step test", "Test"),
    Kind.STRENGTH: ("strength training", "Krafttraining"),
}


def _local_times(session: Session) -> list[dt.datetime]:
    if session.start_utc is None or session.zone is None:
        raise ValueError("this layout needs a start and a zone")
    zone = ZoneInfo(session.zone)
    start = session.start_utc
    return [(start + dt.timedelta(seconds=t)).astimezone(zone) for t in session.t_s.tolist()]


def _columns(
    session: Session, layout: Mapping[str, tuple[str, float, int]], mark: str
) -> Iterable[tuple[str, list[str]]]:
    for name, (header, factor, decimals) in layout.items():
        if name in session.channels:
            values = (session.channels[name] * factor).tolist()
            yield header, [_shown(value, decimals, mark=mark) for value in values]


def _table(columns: list[tuple[str, list[str]]], delimiter: str) -> str:
    headers = delimiter.join(header for header, _ in columns)
    rows = (delimiter.join(row) for row in zip(*(values for _, values in columns), strict=True))
    return "\n".join([headers, *rows, ""])


def english_csv(session: Session) -> bytes:
    """Two lines above the headings, comma, decimal point, ISO 8601 time with its offset, elapsed seconds."""
    columns = [
        ("time", [when.isoformat() for when in _local_times(session)]),
        ("elapsed_s", [_shown(t, 0) for t in session.t_s.tolist()]),
        *_columns(session, _ENGLISH, "."),
    ]
    above = f"sport,{_SPORTS[session.kind][0]}\ndevice,{session.device or ''}\n"
    return (above + _table(columns, ",")).encode("utf-8")


def german_csv(session: Session) -> bytes:
    """Two lines above the headings, semicolon, decimal comma, units, local date and time without a zone; BOM."""
    times = _local_times(session)
    columns = [
        ("Datum", [when.strftime("%d.%m.%Y") for when in times]),
        ("Uhrzeit", [when.strftime("%H:%M:%S") for when in times]),
        *_columns(session, _GERMAN, ","),
    ]
    above = f"Sportart;{_SPORTS[session.kind][1]}\nGerät;{session.device or ''}\n"
    return (above + _table(columns, ";")).encode("utf-8-sig")


#: Layouts by name.
LAYOUTS: Mapping[str, Callable[[Session], bytes]] = MappingProxyType(
    {"english": english_csv, "german": german_csv}
)
