"""A clock that is changed during a session moves none of its seconds; midnight is no change at all."""

import datetime as dt
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from rideready.importers.clock_changes import undo_put_forward, undo_set_back
from rideready.importers.fit import read_fit
from rideready.importers.registry import read_session
from rideready.model.rider import Rider
from rideready.model.session import FloatArray, Session
from rideready.services.analysis import analyse
from tests.support.csv_writer import english_csv, german_csv
from tests.support.fit_bytes import Value, workout
from tests.support.stores import a_ride

RIDER = Rider(max_hr_bpm=186, resting_hr_bpm=52)
#: When summer time begins and ends in the year 2026, in UTC (IANA time zone database, europe and northamerica).
CHANGES = [
    ("Europe/Oslo", dt.datetime(2026, 3, 29, 1, tzinfo=dt.UTC)),
    ("Europe/Oslo", dt.datetime(2026, 10, 25, 1, tzinfo=dt.UTC)),
    ("America/Denver", dt.datetime(2026, 3, 8, 9, tzinfo=dt.UTC)),
    ("America/Denver", dt.datetime(2026, 11, 1, 8, tzinfo=dt.UTC)),
]


def ride_at(start: dt.datetime, zone: str) -> Session:
    """Return `a_ride`, its first recovery begun 4 min after the start."""
    ride = a_ride()
    return Session(ride.t_s, ride.channels, start_utc=start, zone=zone, kind=ride.kind)


def figures(session: Session) -> list[tuple[float, float | None, float | None]]:
    found = (measured.recovery for measured in analyse(session, RIDER).recoveries)
    return [(one.end_of_effort_s, one.hrr60_bpm, one.tau_s) for one in found]


@pytest.mark.parametrize(("zone", "change"), CHANGES)
@pytest.mark.parametrize("before_min", [2, 5])
def test_summer_time_moves_nothing_in_a_table_that_names_its_offsets(
    zone: str, change: dt.datetime, before_min: int, tmp_path: Path
) -> None:
    ride = ride_at(change - dt.timedelta(minutes=before_min), zone)
    offsets = {(change + dt.timedelta(seconds=s)).astimezone(ZoneInfo(zone)).utcoffset() for s in (-1, 0)}
    assert len(offsets) == 2  # there is a change in the middle of this ride
    path = tmp_path / "ride.csv"
    path.write_bytes(english_csv(ride))
    read = read_session(path)
    assert read.start_utc == ride.start_utc
    np.testing.assert_array_equal(read.t_s, ride.t_s)
    assert read.warnings == ()
    assert figures(read) == figures(ride)


@pytest.mark.parametrize(("zone", "change"), CHANGES)
@pytest.mark.parametrize("before_min", [2, 5])
def test_summer_time_moves_nothing_in_a_table_of_local_times_whose_place_is_named(
    zone: str, change: dt.datetime, before_min: int, tmp_path: Path
) -> None:
    ride = ride_at(change - dt.timedelta(minutes=before_min), zone)
    path = tmp_path / "ride.csv"
    path.write_bytes(german_csv(ride))
    read = read_session(path, choices={"zone": zone})
    assert read.start_utc == ride.start_utc
    np.testing.assert_array_equal(read.t_s, ride.t_s)
    assert figures(read) == figures(ride)


@pytest.mark.parametrize(("zone", "change"), [CHANGES[1], CHANGES[3]])
def test_the_hour_that_comes_twice_is_told_where_no_place_is_named(
    zone: str, change: dt.datetime, tmp_path: Path
) -> None:
    ride = ride_at(change - dt.timedelta(minutes=5), zone)
    path = tmp_path / "ride.csv"
    path.write_bytes(german_csv(ride))
    read = read_session(path)
    np.testing.assert_array_equal(read.t_s, ride.t_s)
    np.testing.assert_array_equal(read.hr_bpm, ride.hr_bpm)
    assert [said for said in read.warnings if said.startswith("The clock goes back by 60 min after 5 min")]


def test_a_border_crossed_to_the_west_moves_nothing_and_is_told(tmp_path: Path) -> None:
    ride = a_ride()
    shown = [dt.datetime(2026, 9, 1, 14, 7, 30) + dt.timedelta(seconds=t) for t in ride.t_s.tolist()]  # noqa: DTZ001
    local = [when - dt.timedelta(hours=1) if n >= 300 else when for n, when in enumerate(shown)]
    rows = [f"{when.isoformat(' ')},{bpm:.0f}" for when, bpm in zip(local, ride.hr_bpm, strict=True)]
    path = tmp_path / "ride.csv"
    path.write_text("\n".join(["time,hr_bpm", *rows]))
    read = read_session(path)
    # The ride is shorter than an hour: sorted by the clock its second part would come first.
    np.testing.assert_array_equal(read.t_s, ride.t_s)
    np.testing.assert_array_equal(read.hr_bpm, ride.hr_bpm)
    assert [said for said in read.warnings if said.startswith("The clock goes back by 60 min after 5 min")]


def test_a_ride_over_midnight_has_its_length_and_the_day_it_began(tmp_path: Path) -> None:
    ride = ride_at(dt.datetime(2026, 9, 1, 21, 55, tzinfo=dt.UTC), "Europe/Oslo")
    for number, write in enumerate((english_csv, german_csv)):
        path = tmp_path / f"{number}.csv"
        path.write_bytes(write(ride))
        read = read_session(path, choices={"zone": "Europe/Oslo"})
        assert read.start_utc == ride.start_utc
        np.testing.assert_array_equal(read.t_s, ride.t_s)
        assert figures(read) == figures(ride)


def _fit_rows(t_s: FloatArray, hr_bpm: FloatArray) -> list[list[Value]]:
    return [[int(t), int(bpm)] for t, bpm in zip(t_s, hr_bpm, strict=True)]


@pytest.mark.parametrize("back_s", [37, 200, 3600])
def test_a_recorder_whose_clock_is_set_back_keeps_its_order(back_s: int) -> None:
    ride = a_ride()
    t_s = np.concatenate([ride.t_s, ride.t_s + 840, ride.t_s + 1680, ride.t_s + 2520, ride.t_s + 3360])
    hr_bpm = np.concatenate([ride.hr_bpm + shift for shift in (0, 2, -3, 4, 1)])
    shown = np.where(np.arange(t_s.size) >= 3800, t_s - back_s, t_s)
    (read,) = read_fit("ride.fit", workout(_fit_rows(shown, hr_bpm)).build())
    np.testing.assert_array_equal(read.t_s, t_s)
    np.testing.assert_array_equal(read.hr_bpm, hr_bpm)
    how_far = "60 min" if back_s == 3600 else f"{back_s} s" if back_s < 90 else "3 min"
    assert [
        said for said in read.warnings if said.startswith(f"The clock goes back by {how_far} after 63 min")
    ]


def test_timer_events_are_not_believed_where_the_clock_was_set_back() -> None:
    ride = a_ride()
    shown = np.where(ride.t_s >= 500, ride.t_s - 200, ride.t_s)
    rows = _fit_rows(shown, ride.hr_bpm)
    (read,) = read_fit("ride.fit", workout(rows, events=[(0, 0), (350, 4), (380, 0)]).build())
    assert read.pauses == ()


def test_a_stretch_written_twice_is_merged_and_not_placed_behind() -> None:
    ride = a_ride()
    t_s = np.concatenate([ride.t_s[:500], ride.t_s[300:]])
    hr_bpm = np.concatenate([ride.hr_bpm[:500], ride.hr_bpm[300:]])
    (read,) = read_fit("ride.fit", workout(_fit_rows(t_s, hr_bpm)).build())
    np.testing.assert_array_equal(read.t_s, ride.t_s)
    np.testing.assert_array_equal(read.hr_bpm, ride.hr_bpm)


def test_stretches_of_different_channels_are_merged() -> None:
    t_s = np.tile(np.arange(100.0), 2)
    empty = np.full(100, np.nan)
    channels = {
        "hr_bpm": np.concatenate([np.arange(100.0) + 80, empty]),
        "power_w": np.concatenate([empty, np.arange(100.0) + 200]),
    }
    assert undo_set_back(t_s, channels).warnings == ()


def test_an_hour_left_out_is_a_pause_where_summer_time_does_not_begin() -> None:
    noon = (dt.datetime(2026, 9, 1, 12) - dt.datetime(1970, 1, 1)).total_seconds()  # noqa: DTZ001
    t_s = noon + np.concatenate([np.arange(60.0), np.arange(3660.0, 3720.0)])
    np.testing.assert_array_equal(undo_put_forward(t_s, ZoneInfo("Europe/Oslo")), t_s)
