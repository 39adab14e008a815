"""What a FIT file says, built byte by byte so that every value is known."""

import datetime as dt
from collections.abc import Sequence

import numpy as np
import pytest

from rideready.errors import UnreadableFile
from rideready.importers.fit import read_fit
from rideready.model.session import Kind, Pause, Session
from tests.support.fit_bytes import FitBytes, Value, workout

ZERO_UTC = dt.datetime(2026, 9, 12, 5, 30, tzinfo=dt.UTC)


def _read(fit: FitBytes) -> Session:
    (session,) = read_fit("ride.fit", fit.build())
    return session


def _rows(n: int, pulse: int = 120) -> list[list[Value]]:
    return [[second, pulse + second % 7] for second in range(n)]


def test_start_zone_kind_and_device_come_from_the_messages_that_name_them() -> None:
    session = _read(workout(_rows(10)))

    assert session.start_utc == ZERO_UTC
    assert session.zone == "UTC+02:00"
    assert session.kind is Kind.BIKE
    assert session.device == "development Testbench One"
    assert session.warnings == ()


def test_the_serial_number_is_not_kept() -> None:
    session = _read(workout(_rows(10)))

    assert "3999888777" not in repr(session)


@pytest.mark.parametrize(
    ("offset_s", "zone"),
    [
        (7200, "UTC+02:00"),
        (0, "UTC+00:00"),
        (-12_600, "UTC-03:30"),
        (20_700, "UTC+05:45"),
        (7230, "UTC+02:00"),
    ],
)
def test_the_zone_is_the_local_clock_less_the_clock_in_quarters(offset_s: int, zone: str) -> None:
    assert _read(workout(_rows(3), local_offset_s=offset_s)).zone == zone


@pytest.mark.parametrize("offset_s", [None, 7200 + 400, 16 * 3600, -13 * 3600])
def test_an_offset_that_no_place_uses_gives_no_zone(offset_s: int | None) -> None:
    assert _read(workout(_rows(3), local_offset_s=offset_s)).zone is None


def test_scales_and_offsets_are_those_of_the_profile() -> None:
    # FIT profile: altitude (raw / 5) - 500 m, speed raw / 1000 m/s, distance raw / 100 m.
    fields = ("timestamp", "heart_rate", "altitude", "speed", "distance", "power", "temperature", "cadence")
    session = _read(workout([[0, 130, 12_500, 8333, 12_345, 250, -7, 88]], fields))

    values = {name: float(column[0]) for name, column in session.channels.items()}
    assert values == {
        "hr_bpm": 130.0,
        "power_w": 250.0,
        "cadence_rpm": 88.0,
        "speed_m_s": 8.333,
        "distance_m": 123.45,
        "altitude_m": 2000.0,
        "temperature_c": -7.0,
    }


def test_position_is_never_read() -> None:
    fields = ("timestamp", "heart_rate", "position_lat", "position_long")
    session = _read(workout([[0, 130, 712_345_678, 123_456_789], [1, 131, 712_345_679, 123_456_790]], fields))

    assert list(session.channels) == ["hr_bpm"]


def test_cadence_is_strides_with_their_fraction() -> None:
    # FIT profile: fractional_cadence is raw / 128 of the unit of cadence.
    fields = ("timestamp", "cadence", "fractional_cadence")
    session = _read(workout([[0, 84, 64], [1, 85, None]], fields))

    np.testing.assert_array_equal(session.channel("cadence_rpm"), [84.5, 85.0])


def test_the_finer_speed_and_altitude_count_where_both_are_there() -> None:
    fields = ("timestamp", "heart_rate", "speed", "enhanced_speed", "altitude", "enhanced_altitude")
    rows: list[list[Value]] = [[0, 120, 2000, 2001, 2600, 2601], [1, 120, 2000, None, 2600, None]]
    session = _read(workout(rows, fields))

    np.testing.assert_allclose(session.channel("speed_m_s"), [2.001, 2.0])
    np.testing.assert_allclose(session.channel("altitude_m"), [20.2, 20.0])


def test_the_codes_for_none_and_a_pulse_of_zero_are_absent() -> None:
    fields = ("timestamp", "heart_rate", "power", "cadence", "temperature")
    session = _read(workout([[0, 255, 65535, 255, 127], [1, 0, 0, 0, 0], [2, 120, 200, 80, 20]], fields))

    np.testing.assert_array_equal(session.hr_bpm, [np.nan, np.nan, 120])
    np.testing.assert_array_equal(session.channel("power_w"), [np.nan, 0, 200])
    np.testing.assert_array_equal(session.channel("cadence_rpm"), [np.nan, 0, 80])
    np.testing.assert_array_equal(session.channel("temperature_c"), [np.nan, 0, 20])


def test_a_session_without_heart_rate_is_a_session_and_says_so() -> None:
    session = _read(workout([[0, None, 100], [1, None, 110]], ("timestamp", "heart_rate", "power")))

    assert not session.has_heart_rate
    assert "hr_bpm" not in session.channels
    assert any("No heart rate" in warning for warning in session.warnings)


def test_uneven_spacing_is_kept_as_it_came() -> None:
    session = _read(workout([[0, 120], [3, 121], [4, 122], [56, 90]]))

    np.testing.assert_array_equal(session.t_s, [0, 3, 4, 56])
    assert session.pauses == ()


def test_times_out_of_order_are_sorted_and_it_is_said() -> None:
    session = _read(workout([[0, 120], [2, 122], [1, 121], [3, 123]]))

    np.testing.assert_array_equal(session.hr_bpm, [120, 121, 122, 123])
    assert any("backward once" in warning for warning in session.warnings)


def test_records_of_one_second_are_merged_value_by_value() -> None:
    fields = ("timestamp", "heart_rate", "power")
    session = _read(workout([[0, 120, None], [0, None, 210], [1, 121, 220], [1, 122, None]], fields))

    np.testing.assert_array_equal(session.t_s, [0, 1])
    np.testing.assert_array_equal(session.hr_bpm, [120, 122])
    np.testing.assert_array_equal(session.channel("power_w"), [210, 220])


def test_timer_stops_and_starts_become_pauses() -> None:
    rows: list[list[Value]] = [[second, 120] for second in [*range(10), *range(40, 50)]]
    session = _read(workout(rows, events=[(0, 0), (9, 4), (40, 0), (49, 4)]))

    assert session.pauses == (Pause(9, 40),)


@pytest.mark.parametrize(
    "events",
    [
        [(0, 0), (9, 4), (12, 4), (40, 0), (44, 0), (49, 4)],
        [(40, 0), (9, 4), (0, 0)],
    ],
    ids=["repeated", "out of order"],
)
def test_repeated_or_shuffled_timer_events_make_one_pause(events: Sequence[tuple[int, int]]) -> None:
    rows: list[list[Value]] = [[second, 120] for second in [*range(10), *range(40, 50)]]

    assert _read(workout(rows, events=events)).pauses == (Pause(9, 40),)


def test_a_pause_outside_the_samples_is_cut_to_them() -> None:
    rows: list[list[Value]] = [[second, 120] for second in range(100, 110)]
    session = _read(workout(rows, events=[(0, 0), (50, 4), (103, 0)]))

    assert session.pauses == (Pause(0, 3),)


def test_a_gap_without_a_timer_event_is_no_pause() -> None:
    session = _read(workout([[0, 120], [600, 110]]))

    assert session.pauses == ()


@pytest.mark.parametrize(
    ("sport", "sub_sport", "kind"),
    [
        (1, 0, Kind.RUN),
        (2, 6, Kind.BIKE),
        (4, 14, Kind.ROW),
        (4, 6, Kind.BIKE),
        (10, 20, Kind.STRENGTH),
        (11, 0, Kind.WALK),
        (12, 0, Kind.SKI),
        (36, 0, Kind.RIDING),
        (62, 0, Kind.CIRCUIT),
        (5, 17, Kind.OTHER),
        (None, None, Kind.OTHER),
    ],
)
def test_sport_codes_of_the_profile_give_the_kind(
    sport: int | None, sub_sport: int | None, kind: Kind
) -> None:
    assert _read(workout(_rows(3), sport=sport, sub_sport=sub_sport)).kind is kind


def test_several_sports_count_as_the_longest_and_it_is_said() -> None:
    fit = workout(_rows(100), sport=1)
    fit.define(5, "session", ["sport", "sub_sport", "total_timer_time"]).add(5, 2, 0, 3_600_000)
    session = _read(fit)

    assert session.kind is Kind.BIKE
    assert any("Several sports" in warning for warning in session.warnings)


def test_the_change_between_two_sports_is_no_sport_of_its_own() -> None:
    fit = workout(_rows(100), sport=1)
    fit.define(5, "session", ["sport", "sub_sport", "total_timer_time"]).add(5, 3, 0, 3_600_000)
    session = _read(fit)

    assert session.kind is Kind.RUN
    assert session.warnings == ()


def test_only_the_recorder_itself_names_the_device() -> None:
    fit = workout(_rows(5))
    fit.define(5, "device_info", ["device_index", "product_name"], sizes={"product_name": 8})
    fit.add(5, 0, "Bench 2").add(5, 3, "Strap")

    assert _read(fit).device == "Bench 2"


def test_a_few_records_that_share_a_second_are_no_news() -> None:
    session = _read(workout([*_rows(100), [50, 130]]))

    assert session.t_s.size == 100
    assert not any("repeat" in warning for warning in session.warnings)


def test_of_many_records_in_one_second_the_last_value_counts() -> None:
    session = _read(workout([[0, 60 + n] for n in range(100)] + [[1, 90]]))

    assert session.hr_bpm.tolist() == [159, 90]
    assert any("99 samples repeat" in warning for warning in session.warnings)


@pytest.mark.parametrize(
    ("file_type", "words"),
    [(2, "settings"), (32, "monitoring"), (5, "planned workout"), (6, "course"), (9, "weight")],
)
def test_a_file_that_is_no_workout_says_what_it_is(file_type: int, words: str) -> None:
    fit = FitBytes().define(0, "file_id", ["type"]).add(0, file_type)

    with pytest.raises(UnreadableFile, match=words) as caught:
        read_fit("other.fit", fit.build())
    assert str(caught.value).startswith("other.fit: ")


def test_an_activity_without_records_says_so() -> None:
    with pytest.raises(UnreadableFile, match="without samples"):
        read_fit("empty.fit", workout([]).build())
