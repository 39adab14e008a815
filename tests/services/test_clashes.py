"""Nobody is in two workouts at once, and no workout is still to come."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from rideready.model.session import Session
from rideready.services.context import Context, open_context
from rideready.services.deletion import restore_session
from rideready.services.importing import import_paths
from rideready.services.recoveries import list_recoveries
from rideready.services.sessions import list_sessions
from rideready.services.trends import season_start, trend
from tests.support.csv_writer import english_csv
from tests.support.fit_bytes import START, workout
from tests.support.stores import AN_EVENING, a_ride

TODAY = dt.date(2026, 9, 2)


@pytest.fixture
def ctx(tmp_path: Path) -> Context:
    return open_context(tmp_path / "store.sqlite", today=TODAY)


def by_wrist(*, late_s: int = 45, n_lost: int = 60, off_bpm: float = 3.0) -> Session:
    """Return the ride of `a_ride` as a watch has it: begun later, ended earlier, some seconds behind and a bit off."""
    ride = a_ride()
    pulse = np.roll(ride.hr_bpm, 6)[late_s : ride.t_s.size - n_lost]
    noise = np.random.default_rng(5).normal(off_bpm, 2.0, pulse.size)
    start = AN_EVENING + dt.timedelta(seconds=late_s)
    return Session.from_arrays(
        np.arange(pulse.size), np.round(pulse + noise), start_utc=start, zone=ride.zone
    )


def put(folder: Path, name: str, session: Session) -> Path:
    path = folder / name
    path.write_bytes(english_csv(session))
    return path


def test_two_devices_of_one_workout_count_once_and_it_is_said(ctx: Context, tmp_path: Path) -> None:
    bike, watch = put(tmp_path, "bike.csv", a_ride()), put(tmp_path, "watch.csv", by_wrist())
    assert import_paths(ctx, [bike]).stored == 1
    report = import_paths(ctx, [watch])
    assert (report.stored, report.duplicates, report.session_ids) == (0, 1, ())
    (note,) = report.warnings
    assert note.reason == (
        "It is a second recording of the workout of session 1: session 1 counts, "
        "and session 2 was set aside (rideready delete 2 --undo brings it back)."
    )
    assert [row.session_id for row in list_sessions(ctx)] == [1]
    assert {row.session_id for row in list_recoveries(ctx)} == {1}
    again = import_paths(ctx, [watch])
    assert (again.stored, again.unchanged) == (0, 1)
    assert [row.session_id for row in list_sessions(ctx)] == [1]


def test_what_was_set_aside_can_be_had_back(ctx: Context, tmp_path: Path) -> None:
    import_paths(ctx, [put(tmp_path, "bike.csv", a_ride()), put(tmp_path, "watch.csv", by_wrist())])
    restore_session(ctx, 2)
    assert len(list_sessions(ctx)) == 2
    np.testing.assert_array_equal([row.duration_s for row in list_sessions(ctx)], [734, 839])


def test_a_recording_with_heart_rate_takes_the_place_of_one_without(ctx: Context, tmp_path: Path) -> None:
    ride = a_ride()
    dull = Session(ride.t_s, {"power_w": ride.channels["power_w"]}, start_utc=AN_EVENING, zone=ride.zone)
    import_paths(ctx, [put(tmp_path, "bike.csv", dull)])
    report = import_paths(ctx, [put(tmp_path, "watch.csv", by_wrist())])
    assert (report.stored, report.session_ids) == (1, (2,))
    assert "session 2 counts, and session 1 was set aside" in report.warnings[-1].reason
    assert [row.session_id for row in list_sessions(ctx)] == [2]


def test_a_much_longer_recording_takes_the_place_of_a_short_one(ctx: Context, tmp_path: Path) -> None:
    import_paths(ctx, [put(tmp_path, "watch.csv", by_wrist(n_lost=300))])
    import_paths(ctx, [put(tmp_path, "bike.csv", a_ride())])
    assert [row.session_id for row in list_sessions(ctx)] == [2]


def test_two_riders_side_by_side_are_two(ctx: Context, tmp_path: Path) -> None:
    paths = [put(tmp_path, "one.csv", a_ride()), put(tmp_path, "other.csv", by_wrist(off_bpm=25))]
    assert import_paths(ctx, paths).stored == 2


def test_workouts_one_after_the_other_are_two_even_if_the_first_was_stopped_late(
    ctx: Context, tmp_path: Path
) -> None:
    paths = [put(tmp_path, "one.csv", a_ride()), put(tmp_path, "other.csv", by_wrist(late_s=500, n_lost=0))]
    longer = a_ride()
    later = Session(
        longer.t_s, longer.channels, start_utc=AN_EVENING + dt.timedelta(seconds=500), zone=longer.zone
    )
    paths[1] = put(tmp_path, "other.csv", later)
    assert import_paths(ctx, paths).stored == 2


def test_without_a_zone_the_pulses_have_to_go_together(ctx: Context, tmp_path: Path) -> None:
    watch = by_wrist()
    shown = [[int(t) + 45, int(bpm)] for t, bpm in zip(watch.t_s, watch.hr_bpm, strict=True)]
    even = [[t, 135] for t in range(45, 780)]  # as near as may be in the middle, but never up or down
    ride = a_ride()
    bike = put(tmp_path, "bike.csv", Session(ride.t_s, ride.channels, start_utc=START, zone=ride.zone))
    (tmp_path / "watch.fit").write_bytes(workout(shown, local_offset_s=None).build())
    (tmp_path / "even.fit").write_bytes(workout(even, local_offset_s=None).build())
    assert import_paths(ctx, [bike]).stored == 1
    assert import_paths(ctx, [tmp_path / "even.fit"]).stored == 1
    assert import_paths(ctx, [tmp_path / "watch.fit"]).stored == 0


@pytest.mark.parametrize(("days", "n_told"), [(1, 0), (2, 0), (3, 1), (30_000, 1)])
def test_a_session_still_to_come_is_stored_and_told(
    days: int, n_told: int, ctx: Context, tmp_path: Path
) -> None:
    report = import_paths(ctx, [put(tmp_path, "ride.csv", a_ride(days=days))])
    assert report.stored == 1
    said = [note.reason for note in report.warnings if "still to come" in note.reason]
    day = (AN_EVENING + dt.timedelta(days)).date()
    told = (
        f"It begins on {day}, which is still to come: look at the clock of the recorder and of this computer."
    )
    assert said == [told] * n_told


def test_a_session_still_to_come_neither_hides_nor_stretches_the_season(ctx: Context, tmp_path: Path) -> None:
    import_paths(ctx, [put(tmp_path, f"{days}.csv", a_ride(days=-days, seed=900)) for days in (0, 2, 4)])
    before = trend(ctx)
    assert import_paths(ctx, [put(tmp_path, "far.csv", a_ride(days=26_000))]).stored == 1
    assert season_start(ctx) is None  # half a year before the newest session that can be one
    after = trend(ctx)
    assert (after.n_sessions, after.weeks) == (before.n_sessions, before.weeks)
    assert before.n_sessions == 3
    assert before.weeks == pytest.approx(4 / 7)
    asked = trend(ctx, until=dt.date(2200, 1, 1))
    assert asked.n_sessions == 4  # it is there for whoever asks
