"""Sound documents to be spoilt: small ones of every sort, samples, and real recordings where they are."""

import contextlib

import fitparse

from rideready.importers.chain import contain, split
from rideready.importers.decode import LIBRARY_FAULTS
from tests.support.fit_bytes import FitBytes, Value, workout
from tests.support.make_samples import SAMPLES
from tests.support.recordings import RECORDINGS

#: Larger files are taken by their beginning only, bytes.
_LARGEST_BYTES = 40_000
_FIRST_LINES = (40, 150)
_FIRST_BYTES = 4000

_ROWS: list[list[Value]] = [[second, 120 + second % 9, 200 + second % 7] for second in range(60)]
_FIELDS = ("timestamp", "heart_rate", "power")

_TABLES = (
    "Sport;Run\nDate;2026-09-12\n\nTime;Puls;Speed (km/h);Distance (km)\n"
    + "\n".join(f"0:{n // 60:02d}:{n % 60:02d};{120 + n % 9};{10 + n % 3},5;{n},25" for n in range(70)),
    "timestamp,heart_rate,pace\n"
    + "\n".join(
        f"2026-10-25T02:{n // 60:02d}:{n % 60:02d}+02:00,{120 + n % 30},5:{n % 60:02d}" for n in range(90)
    ),
    "id\telapsed (ms)\thr\n" + "\n".join(f"{n // 40}\t{(n % 40) * 1000}\t{100 + n % 50}" for n in range(120)),
    "Datum;Uhrzeit;Herzfrequenz\n"
    + "\n".join(f"31.12.2026;23:{59 - (n < 60)}:{n % 60:02d};{90 + n % 60}" for n in range(120)),
    "unix,bpm\n" + "\n".join(f"{1789198200 + 5 * n},{130 + n % 20}" for n in range(80)),
)


def small_fit() -> bytes:
    """Return a chain of two short FIT files, the first with pauses and a developer's heart rate."""
    fit: FitBytes = workout(_ROWS, _FIELDS, events=[(0, 0), (30, 4), (35, 0)])
    fit.define(5, "developer_data_id", ["developer_data_index"]).add(5, 0)
    fit.define(
        6, "field_description", ["developer_data_index", "field_definition_number", "fit_base_type_id"]
    )
    fit.add(6, 0, 1, 0x84)
    fit.define(7, "record", ["timestamp", "heart_rate"], developer=[(1, 0, "uint16")])
    return fit.build() + workout(_ROWS[:20], _FIELDS).build()


def small_tables() -> list[bytes]:
    """Return short tables in layouts of several sorts."""
    return [table.encode() for table in _TABLES]


def documents() -> list[bytes]:
    """Return everything there is to be spoilt, tables and short files above all: they make quick tries."""
    found = [small_fit(), workout(_ROWS, _FIELDS).build(), *small_tables() * 4] * 12
    for path in sorted([*SAMPLES.glob("*.*"), *RECORDINGS.glob("*.*")]):
        if path.suffix == ".csv":
            found += _of_table(path.read_bytes())
        elif path.suffix == ".fit":
            found += _of_fit(path.read_bytes())
    return found


def _of_table(data: bytes) -> list[bytes]:
    lines = data.split(b"\n")
    heads = [b"\n".join(lines[:count]) for count in _FIRST_LINES]
    return heads * 12 + ([data] if len(data) <= _LARGEST_BYTES else [])


def _of_fit(data: bytes) -> list[bytes]:
    body = split(data)[0].body
    return [contain(body[: _whole_messages(body)])] * 3 + ([data] if len(data) <= _LARGEST_BYTES else [])


def _whole_messages(body: bytes) -> int:
    """Return how long the first messages of a body are together, at least `_FIRST_BYTES` if there are so many."""
    opening = len(contain(b"")) - 2
    reader = fitparse.FitFile(contain(body), check_crc=False)
    with contextlib.suppress(*LIBRARY_FAULTS):
        while reader._file.tell() - opening < min(_FIRST_BYTES, len(body)):
            reader._parse_message()
    return int(reader._file.tell()) - opening
