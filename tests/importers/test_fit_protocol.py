"""Corners of the FIT protocol: byte order, packed values, developer fields, clocks that are none."""

import datetime as dt

import numpy as np

from rideready.importers.fit import read_fit
from rideready.model.session import Kind, Session
from tests.support.fit_bytes import FitBytes, Value, fit_time, workout

ZERO_UTC = dt.datetime(2026, 9, 12, 5, 30, tzinfo=dt.UTC)


def _read(fit: FitBytes) -> Session:
    (session,) = read_fit("ride.fit", fit.build())
    return session


def _rows(n: int, pulse: int = 120) -> list[list[Value]]:
    return [[second, pulse + second % 7] for second in range(n)]


def test_a_developer_field_with_the_name_of_a_native_one_does_not_replace_it() -> None:
    fit = FitBytes()
    fit.define(0, "developer_data_id", ["developer_data_index"]).add(0, 0)
    fit.define(
        1,
        "field_description",
        ["developer_data_index", "field_definition_number", "fit_base_type_id", "field_name"],
        sizes={"field_name": 8},
    )
    fit.add(1, 0, 7, 0x00, "sport")
    fit.define(2, "record", ["timestamp", "heart_rate"]).add(2, fit_time(ZERO_UTC), 120)
    fit.define(3, "session", ["sport", "sub_sport"], developer=[(7, 0, "enum")]).add(3, 2, 0, 1)

    assert _read(fit).kind is Kind.BIKE


def test_a_developer_field_stands_in_only_where_the_native_one_is_absent() -> None:
    fit = FitBytes()
    fit.define(0, "developer_data_id", ["developer_data_index"]).add(0, 0)
    fit.define(
        1,
        "field_description",
        [
            "developer_data_index",
            "field_definition_number",
            "fit_base_type_id",
            "field_name",
            "native_field_num",
        ],
        sizes={"field_name": 8},
    )
    fit.add(1, 0, 7, 0x84, "Watts", 7).add(1, 0, 8, 0x84, "speed", None)
    fit.define(2, "record", ["timestamp", "heart_rate"], developer=[(7, 0, "uint16"), (8, 0, "uint16")])
    zero = fit_time(ZERO_UTC)
    fit.add(2, zero, 120, 250, 999).add(2, zero + 1, 121, 260, 999)
    fit.define(3, "record", ["timestamp", "heart_rate", "power"], developer=[(7, 0, "uint16")])
    fit.add(3, zero + 2, 122, 300, 270)
    session = _read(fit)

    np.testing.assert_array_equal(session.channel("power_w"), [250, 260, 300])
    assert "speed_m_s" not in session.channels


def test_big_endian_messages_read_the_same() -> None:
    rows: list[list[Value]] = [[0, 120, 8333], [1, 121, 8400]]
    little = _read(workout(rows, ("timestamp", "heart_rate", "speed")))
    fit = FitBytes(order=">")
    fit.define(0, "file_id", ["type"]).add(0, 4)
    fit.define(1, "record", ["timestamp", "heart_rate", "speed"])
    for second, pulse, speed in rows:
        fit.add(1, fit_time(ZERO_UTC) + int(second or 0), pulse, speed)
    big = _read(fit)

    np.testing.assert_array_equal(big.t_s, little.t_s)
    np.testing.assert_array_equal(big.channel("speed_m_s"), little.channel("speed_m_s"))


def test_compressed_times_count_on_from_the_last_full_one() -> None:
    # FIT protocol: header 1ttxxxxx holds the local number and the lowest five bits of the time.
    fit = FitBytes()
    zero = fit_time(ZERO_UTC)
    fit.define(0, "record", ["timestamp", "heart_rate"]).add(0, zero, 120)
    fit.define(1, "record", ["heart_rate"])
    for second in (1, 2, 31, 33):
        fit.body += bytes([0x80 | 1 << 5 | (zero + second) % 32, 120 + second])
    session = _read(fit)

    np.testing.assert_array_equal(session.t_s, [0, 1, 2, 31, 33])
    np.testing.assert_array_equal(session.hr_bpm, [120, 121, 122, 151, 153])


def test_packed_speed_and_distance_are_unpacked() -> None:
    # FIT profile: compressed_speed_distance holds 12 bits of speed (1/100 m/s), 12 bits of distance (1/16 m).
    fit = FitBytes()
    fit.define(
        0,
        "record",
        ["timestamp", "heart_rate", "compressed_speed_distance"],
        sizes={"compressed_speed_distance": 3},
    )
    speed, distance = 850, 160
    packed = (speed | distance << 12).to_bytes(3, "little")
    fit.add(0, fit_time(ZERO_UTC), 120, packed).add(0, fit_time(ZERO_UTC) + 1, 121, packed)
    session = _read(fit)

    np.testing.assert_allclose(session.channel("speed_m_s"), [8.5, 8.5])
    np.testing.assert_allclose(session.channel("distance_m"), [10.0, 10.0])


def test_a_clock_set_by_satellite_after_the_start_costs_only_the_first_records() -> None:
    rows: list[list[Value]] = [[-900_000_000, 120], *_rows(20)]
    session = _read(workout(rows))

    assert session.start_utc == ZERO_UTC
    assert session.t_s.size == 20
    assert any("1 record carries" in warning for warning in session.warnings)


def test_a_bare_counter_with_a_local_clock_gives_the_local_start() -> None:
    fit = FitBytes()
    fit.define(0, "record", ["timestamp", "heart_rate"]).add(0, 1_000, 120).add(0, 1_060, 130)
    local = fit_time(dt.datetime(2026, 9, 12, 8, 0, tzinfo=dt.UTC))
    fit.define(1, "activity", ["timestamp", "local_timestamp"]).add(1, 1_060, local)
    session = _read(fit)

    assert session.start_utc == dt.datetime(2026, 9, 12, 7, 59, tzinfo=dt.UTC)
    assert session.zone is None
    assert any("local time" in warning for warning in session.warnings)


def test_a_bare_counter_alone_gives_no_date() -> None:
    fit = FitBytes()
    fit.define(0, "record", ["timestamp", "heart_rate"]).add(0, 1_000, 120).add(0, 1_060, 130)
    session = _read(fit)

    assert session.start_utc is None
    np.testing.assert_array_equal(session.t_s, [0, 60])
    assert any("day is unknown" in warning for warning in session.warnings)


def test_heart_rate_in_the_straps_own_memory_is_mentioned() -> None:
    fit = workout(_rows(5))
    fit.define(5, "hr", ["timestamp", "filtered_bpm"]).add(5, fit_time(ZERO_UTC), 140)

    assert any("strap" in warning for warning in _read(fit).warnings)
