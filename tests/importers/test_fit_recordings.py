"""What is known of the real recordings, against what is read.

Records, first and last time, channels and pauses were counted with fitparse 1.2.0 as it comes, message by
message, without the code under test; heart rates and lengths agree with the index that came with the files.
"""

import datetime as dt
import itertools

import fitparse
import numpy as np
import pytest

from rideready.errors import UnreadableFile
from rideready.importers.decode import decode
from rideready.importers.fit import read_fit
from rideready.importers.fit_fields import RECORD_FIELDS
from rideready.importers.registry import read_session, read_sessions
from rideready.model.session import Kind
from tests.support.fit_bytes import fit_time
from tests.support.recordings import recording

# name, samples (records less those sharing a second), minutes, pulse low, high, values, kind, zone
FACTS = [
    ("recording-01.fit", 2809, 47.2, 69, 178, 2808, Kind.RUN, "UTC+02:00"),
    ("recording-02.fit", 590 - 7, 43.7, 73, 171, 583, Kind.RUN, None),
    ("recording-03.fit", 10686 - 15, 211.5, 115, 189, 10671, Kind.BIKE, None),
    ("recording-04.fit", 3424, 57.0, 94, 146, 3424, Kind.RUN, None),
    ("recording-05.fit", 1773, 158.2, 138, 187, 1430, Kind.BIKE, "UTC+02:00"),
    ("recording-06.fit", 21, 0.9, 56, 112, 21, Kind.RUN, "UTC-07:00"),
    ("recording-07.fit", 17, 0.8, 66, 82, 17, Kind.WALK, "UTC-07:00"),
    ("recording-08.fit", 4488, 74.8, 77, 199, 4488, Kind.RUN, "UTC+08:00"),
    ("recording-09.fit", 7251, 120.8, 72, 172, 7251, Kind.BIKE, "UTC+02:00"),
    ("recording-10.fit", 1417, 23.6, 69, 110, 1415, Kind.STRENGTH, "UTC-05:00"),
    ("recording-11.fit", 4803, 80.0, 70, 141, 4292, Kind.STRENGTH, "UTC+02:00"),
]
SOUND = [name for name, *_ in FACTS]


@pytest.mark.parametrize("facts", FACTS, ids=SOUND)
def test_a_recording_has_the_samples_counted_by_hand(
    facts: tuple[str, int, float, float, float, int, Kind, str | None],
) -> None:
    name, n, minutes, low, high, n_pulse, kind, zone = facts
    session = read_session(recording(name))

    assert session.t_s.size == n
    assert session.duration_s / 60 == pytest.approx(minutes, abs=0.06)
    assert np.count_nonzero(np.isfinite(session.hr_bpm)) == n_pulse
    assert [np.nanmin(session.hr_bpm), np.nanmax(session.hr_bpm)] == [low, high]
    assert (session.kind, session.zone) == (kind, zone)
    assert session.device


@pytest.mark.parametrize("name", [*SOUND, "no-heart-rate.fit"])
def test_the_fast_way_through_fitparse_gives_what_the_plain_one_gives(name: str) -> None:
    data = recording(name).read_bytes()
    columns = decode(data)[0].columns
    # The first records of each file: the plain way takes a second for 5,000 of them.
    plain = list(itertools.islice(fitparse.FitFile(data, check_crc=False).get_messages("record"), 250))
    expected = np.full((len(plain), len(RECORD_FIELDS)), np.nan)
    for row, message in enumerate(plain):
        values = {field.name: field.value for field in message if field.value is not None}
        values["timestamp"] = fit_time(values["timestamp"].replace(tzinfo=dt.UTC))
        for place, field in enumerate(RECORD_FIELDS):
            # The plain way repeats a coarse speed or altitude under the name of the fine one.
            is_copy = field.startswith("enhanced_") and field.removeprefix("enhanced_") in values
            expected[row, place] = np.nan if is_copy else values.get(field, np.nan)

    read = np.column_stack([columns[field][: len(plain)] for field in RECORD_FIELDS])

    np.testing.assert_allclose(read, expected, rtol=0, atol=1e-9)
    assert np.count_nonzero(np.isfinite(expected)) > len(plain)


def test_the_long_ride_has_the_pauses_of_its_timer() -> None:
    session = read_session(recording("recording-03.fit"))

    # 48 stops and 47 starts in the file: the last stop ends the ride, one lasts no time.
    assert len(session.pauses) == 46
    assert max(pause.end_s - pause.start_s for pause in session.pauses) == 1051


def test_the_chained_file_is_one_session_since_its_other_files_hold_only_strap_memory() -> None:
    sessions = read_sessions(recording("recording-05.fit"))

    assert len(sessions) == 1
    assert np.median(np.diff(sessions[0].t_s)) == 6
    assert any("strap" in warning for warning in sessions[0].warnings)
    assert any("Several sports" in warning for warning in sessions[0].warnings)


def test_running_power_is_read() -> None:
    session = read_session(recording("recording-08.fit"))

    assert np.count_nonzero(np.isfinite(session.channel("power_w"))) == 4488


def test_a_session_without_heart_rate_says_so() -> None:
    session = read_session(recording("no-heart-rate.fit"))

    assert not session.has_heart_rate
    assert session.duration_s / 60 == pytest.approx(74.05, abs=0.01)
    assert any("No heart rate" in warning for warning in session.warnings)


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("damaged-crc.fit", "checksum does not match"),
        ("damaged-header.fit", "header at byte 771 is broken"),
        ("damaged-truncated.fit", "ends early"),
    ],
)
def test_a_damaged_recording_gives_its_fourteen_records_and_says_why(name: str, why: str) -> None:
    session = read_session(recording(name))

    np.testing.assert_array_equal(session.t_s, np.arange(14))
    assert why in session.warnings[0]
    assert "0.2 min were read" in session.warnings[0]


@pytest.mark.parametrize("name", ["recording-01.fit", "recording-11.fit"])
@pytest.mark.parametrize("damage", ["overwritten", "missing", "inserted"])
def test_a_damaged_stretch_costs_a_recording_only_its_own_records(name: str, damage: str) -> None:
    rng = np.random.default_rng(7)
    data = recording(name).read_bytes()
    (sound,) = read_fit(name, data)
    by_second = dict(zip(sound.t_s.tolist(), sound.hr_bpm.tolist(), strict=True))
    at = int(0.37 * len(data))
    behind = {"overwritten": 50, "missing": 50, "inserted": 0}[damage]
    noise = b"" if damage == "missing" else rng.bytes(50)

    (session,) = read_fit(name, data[:at] + noise + data[at + behind :])

    # 50 bytes touch six records of the smallest size found; a value or two may be made of noise.
    assert session.t_s.size >= sound.t_s.size - 8
    assert session.start_utc == sound.start_utc
    read = zip(session.t_s.tolist(), session.hr_bpm.tolist(), strict=True)
    assert sum(np.isfinite(pulse) and by_second.get(t) != pulse for t, pulse in read) <= 2
    assert "damaged" in session.warnings[0]


def test_bare_counters_are_placed_by_the_local_clock() -> None:
    session = read_session(recording("damaged-timestamps.fit"))

    # activity: timestamp 16444673 is local 2012-02-13 12:21:03; the first record is at 16441242.
    assert session.start_utc == dt.datetime(2012, 2, 13, 11, 23, 52, tzinfo=dt.UTC)
    assert session.zone is None
    assert np.count_nonzero(np.isfinite(session.hr_bpm)) == 685


@pytest.mark.parametrize(
    ("name", "what"),
    [("no-records-settings.fit", "settings"), ("no-records-monitoring.fit", "all-day monitoring")],
)
def test_a_recording_that_is_no_workout_says_what_it_is(name: str, what: str) -> None:
    with pytest.raises(UnreadableFile, match=f"a FIT file of {what}, not a workout"):
        read_session(recording(name))


def test_the_first_laboratory_ramp_has_its_peak_where_the_index_says() -> None:
    session = read_session(recording("lab-ramp-01.csv"))

    peak = int(np.nanargmax(session.hr_bpm))
    assert session.hr_bpm[peak] == 190
    assert session.t_s[peak] == 860
    # km/h in the file, as 12 m/s uphill are beyond anybody; the first sample is at 0 s.
    assert np.nanmax(session.channel("speed_m_s")) == pytest.approx(12 / 3.6)
    assert any("km/h" in warning for warning in session.warnings)


def test_the_second_laboratory_ramp_starts_at_its_first_sample() -> None:
    session = read_session(recording("lab-ramp-02.csv"))

    # First row at 14 s, last at 1591 s.
    assert session.t_s[0] == 0
    assert session.duration_s == 1577


def test_the_effort_tests_are_eleven_sessions_at_ten_seconds() -> None:
    sessions = read_sessions(recording("effort-tests.csv"))

    # Rows per id, counted with awk.
    assert [s.t_s.size for s in sessions] == [50, 100, 205, 86, 57, 61, 89, 42, 44, 62, 66]
    assert all(np.median(np.diff(session.t_s)) == 10 for session in sessions)
    assert sessions[2].channel("power_w").max() > 0


def test_reading_one_session_of_many_takes_the_longest_and_says_so() -> None:
    session = read_session(recording("effort-tests.csv"))

    assert session.t_s.size == 205
    assert "11 sessions" in session.warnings[0]
    assert "read_sessions" in session.warnings[0]
