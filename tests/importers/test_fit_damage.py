"""Damaged FIT files: what was readable before and around the damage, and a word about it."""

import inspect
import struct
from types import ModuleType

import fitdecode
import fitparse
import numpy as np
import pytest
from fitparse import records

from rideready.errors import UnreadableFile
from rideready.importers.chain import crc16, split
from rideready.importers.decode import LIBRARY_FAULTS, decode
from rideready.importers.fit import read_fit
from rideready.importers.lean import LeanFitFile
from rideready.importers.mend import mends
from rideready.model.session import Session
from tests.support.fit_bytes import START as ZERO_UTC
from tests.support.fit_bytes import FitBytes, Value, crc, fit_time, workout

ROWS: list[list[Value]] = [[second, 100 + second % 60, 200 + second % 50] for second in range(600)]
FIELDS = ("timestamp", "heart_rate", "power")


def _ride() -> FitBytes:
    return workout(ROWS, FIELDS, events=[(0, 0), (599, 4)])


def _read(data: bytes) -> Session:
    (session,) = read_fit("ride.fit", data)
    return session


def _record_offset(fit: FitBytes, number: int) -> int:
    """Where a record of `_ride` begins in the built file: behind header, file_id and its own definition."""
    return 14 + fit.ends[2 + number]


@pytest.mark.parametrize("n_bytes", [0, 1, 768, 8191, 8192, 8193, 20_011])
def test_the_checksum_agrees_with_one_worked_out_bit_by_bit(n_bytes: int) -> None:
    data = (bytes(range(256)) * 79)[:n_bytes]

    assert crc16(data) == crc(data)


def test_the_checksum_has_the_published_check_value() -> None:
    # CRC-16/ARC, the catalogue of parametrised CRC algorithms: "123456789" gives 0xBB3D.
    assert crc16(b"123456789") == 0xBB3D


def test_a_wrong_checksum_loses_nothing_and_is_told() -> None:
    session = _read(_ride().build(spoil_crc=1))

    assert session.t_s.size == 600
    assert session.warnings[0] == (
        "The file is damaged (the checksum does not match, so single values may be wrong): 10.0 min were read."
    )


@pytest.mark.parametrize("n_whole", [1, 300, 599])
@pytest.mark.parametrize("n_bytes_more", [0, 1, 5])
def test_a_cut_file_gives_every_whole_record_before_the_cut(n_whole: int, n_bytes_more: int) -> None:
    fit = _ride()
    session = _read(fit.build()[: _record_offset(fit, n_whole) + n_bytes_more])

    assert session.t_s.size == n_whole
    np.testing.assert_array_equal(session.hr_bpm, [row[1] for row in ROWS[:n_whole]])
    assert "ends early" in session.warnings[0]
    assert f"{(n_whole - 1) / 60:.1f} min were read" in session.warnings[0]


@pytest.mark.parametrize("claimed", [0, 77])
def test_a_length_that_was_never_filled_in_is_worked_out(claimed: int) -> None:
    session = _read(_ride().build(body_size=claimed))

    assert session.t_s.size == 600
    assert "The file is damaged" in session.warnings[0]


def test_a_missing_checksum_at_the_end_loses_nothing() -> None:
    session = _read(_ride().build()[:-2])

    assert session.t_s.size == 600
    assert "checksum at the end is missing" in session.warnings[0]


@pytest.mark.parametrize("header_size", [12, 14])
@pytest.mark.parametrize("spoilt", [slice(8, 12), slice(0, 12)], ids=["signature", "all"])
def test_a_broken_header_is_passed_over(header_size: int, spoilt: slice) -> None:
    data = bytearray(_ride().build(header_size=header_size))
    data[spoilt] = b"\x55" * len(data[spoilt])

    session = _read(bytes(data))

    assert session.t_s.size == 600
    assert "header at byte 0 is broken" in session.warnings[0]


@pytest.mark.parametrize("filler", [b"\x00", b"\xff", b"\x41", b"\x01\x7e"], ids=repr)
@pytest.mark.parametrize("n_spoilt", [8, 30, 400])
def test_records_on_both_sides_of_a_damaged_stretch_are_read(filler: bytes, n_spoilt: int) -> None:
    fit = _ride()
    data = bytearray(fit.build())
    start = _record_offset(fit, 200) + 3
    data[start : start + n_spoilt] = (filler * n_spoilt)[:n_spoilt]

    session = _read(bytes(data))

    # Eight bytes a record: the stretch touches n / 8 + 2 at most; finding back into step may cost a few.
    lost = 600 - session.t_s.size
    assert lost <= n_spoilt // 8 + 8
    seconds = session.t_s.astype(int)
    assert seconds[0] == 0
    assert seconds[-1] == 599
    is_sound = (seconds < 200) | (seconds > 200 + n_spoilt // 8 + 8)
    np.testing.assert_array_equal(session.hr_bpm[is_sound], (100 + seconds % 60)[is_sound])
    assert "damaged" in session.warnings[0]


def test_missing_bytes_in_the_middle_cost_only_their_records() -> None:
    fit = _ride()
    data = fit.build()
    start = _record_offset(fit, 300) + 2
    session = _read(data[:start] + data[start + 21 :])

    assert session.t_s.size >= 590
    assert session.t_s[-1] == 599


def test_a_field_of_a_wrong_size_stops_one_reader_and_not_the_other() -> None:
    # Nine bytes of 16-bit numbers: fitparse 1.2.0 gives up, fitdecode takes them as bytes.
    fit = FitBytes()
    zero = fit_time(ZERO_UTC)
    fit.define(0, "file_id", ["type"]).add(0, 4)
    fit.define(1, "record", ["timestamp", "heart_rate"])
    for second in range(100):
        fit.add(1, zero + second, 120)
    definition = struct.pack("<BBBHB", 0x42, 0, 0, 20, 3) + bytes([253, 4, 0x86, 3, 1, 0x02, 7, 9, 0x84])
    fit.body += definition
    for second in range(100, 300):
        fit.body += bytes([2]) + struct.pack("<IB9x", zero + second, 130)
    session = _read(fit.build())

    assert session.t_s.size == 300
    assert "cannot be read" in session.warnings[0]
    assert "5.0 min were read" in session.warnings[0]


def test_nothing_readable_is_one_clear_error() -> None:
    data = _ride().build()[:60]

    with pytest.raises(UnreadableFile, match="damaged FIT file without one readable sample"):
        read_fit("ride.fit", data)


def test_a_developer_field_nobody_described_does_not_stop_the_file() -> None:
    fit = FitBytes()
    fit.define(0, "record", ["timestamp", "heart_rate"], developer=[(1, 0, "uint16")])
    fit.add(0, fit_time(ZERO_UTC), 120, 7).add(0, fit_time(ZERO_UTC) + 1, 121, 7)

    np.testing.assert_array_equal(_read(fit.build()).hr_bpm, [120, 121])


def test_developer_fields_of_one_file_are_forgotten_before_the_next() -> None:
    fit = FitBytes()
    fit.define(0, "developer_data_id", ["developer_data_index"]).add(0, 0)
    fit.define(
        1, "field_description", ["developer_data_index", "field_definition_number", "fit_base_type_id"]
    )
    fit.add(1, 0, 1, 0x84)
    decode(fit.build())
    assert 0 in records.DEV_TYPES

    decode(workout(ROWS[:2], FIELDS).build())

    assert records.DEV_TYPES == {}


def _library_exceptions() -> list[type[Exception]]:
    found: dict[type[Exception], None] = {}
    modules: list[ModuleType] = [
        fitparse.utils,
        fitparse.base,
        fitparse.records,
        fitdecode,
        fitdecode.exceptions,
    ]
    for module in modules:
        for _, thing in inspect.getmembers(module, inspect.isclass):
            if issubclass(thing, Exception) and thing.__module__.split(".")[0] in {"fitparse", "fitdecode"}:
                found[thing] = None
    return list(found)


def _raised(kind: type[Exception]) -> Exception:
    needs = {"FitEOFError": (2, 1, 0), "FitParseError": (0,)}
    return kind(*needs.get(kind.__name__, ())) if kind.__module__.startswith("fitdecode") else kind("x")


def test_the_libraries_have_the_exceptions_this_test_walks() -> None:
    assert len(_library_exceptions()) == 9


@pytest.mark.parametrize(
    "kind", [*_library_exceptions(), *LIBRARY_FAULTS], ids=lambda k: f"{k.__module__}.{k.__name__}"
)
def test_every_exception_of_the_libraries_becomes_a_fault(
    kind: type[Exception], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise _raised(kind)

    monkeypatch.setattr(LeanFitFile, "read_all", fail)
    monkeypatch.setattr(fitdecode.FitReader, "_read_record", fail)

    with pytest.raises(UnreadableFile, match="damaged"):
        read_fit("ride.fit", _ride().build())


def test_a_sound_body_is_not_mended() -> None:
    body = bytes(_ride().body)

    assert mends(body) == ()


def test_chained_files_are_cut_apart_with_the_faults_of_each() -> None:
    first, second = workout(ROWS[:5], FIELDS).build(spoil_crc=1), workout(ROWS[5:9], FIELDS).build()
    pieces = split(first + second)

    assert [len(piece.faults) for piece in pieces] == [1, 0]


def test_stray_bytes_behind_the_last_file_are_told() -> None:
    session = _read(_ride().build() + b"\x07" * 40)

    assert session.t_s.size == 600
    assert "last 40 bytes belong to no record" in session.warnings[0]


def test_zeros_behind_the_last_file_are_padding() -> None:
    assert _read(_ride().build() + bytes(512)).warnings == ()
