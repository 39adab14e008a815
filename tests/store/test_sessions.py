"""A session comes back as it went in; its summary can be listed without touching samples."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import Connection, text

from rideready.errors import NotInStore, StoreProblem
from rideready.model.clean import Flag
from rideready.model.recovery import Grade
from rideready.model.session import Kind, Pause, Session
from rideready.store.connect import Store, open_store
from rideready.store.recoveries import recovery_rows
from rideready.store.riders import add_rider
from rideready.store.sessions import (
    add_session,
    describe,
    fingerprints_near,
    load_session,
    replace_analysis,
    replace_session,
    session_row,
    session_rows,
    stale_sessions,
)
from tests.support.stores import AN_EVENING, a_recovery, a_session, an_analysis


@pytest.fixture
def store(place: Path | str) -> Store:
    store = open_store(place)
    with store.writing() as connection:
        add_rider(connection, "first")
        add_rider(connection, "second")
    return store


def add(connection: Connection, session: Session, *, rider_id: int = 1, fingerprint: str = "key") -> int:
    return add_session(connection, rider_id, session, fingerprint=fingerprint, analysis=an_analysis())


def test_a_session_comes_back_with_everything_it_had(store: Store) -> None:
    t_s = np.array([0.0, 1.0, 2.5, 7.0])
    session = Session(
        t_s,
        {"hr_bpm": np.array([100.0, np.nan, 110.5, 120.0]), "altitude_m": np.array([1.2, np.nan, -3.0, 0.1])},
        start_utc=AN_EVENING + dt.timedelta(microseconds=250),
        zone="UTC+02:00",
        kind=Kind.RIDING,
        device="strap «ä»",
        pauses=(Pause(2.5, 7.0),),
        warnings=("It was cut off after 7 s.",),
    )
    with store.writing() as connection:
        found = load_session(connection, add(connection, session))
    assert np.array_equal(found.t_s, t_s)
    assert list(found.channels) == ["hr_bpm", "altitude_m"]
    for name, values in session.channels.items():
        assert np.array_equal(found.channels[name], values, equal_nan=True)
    assert (found.start_utc, found.zone, found.kind, found.device) == (
        session.start_utc,
        session.zone,
        session.kind,
        session.device,
    )
    assert found.start_utc is not None
    assert found.start_utc.utcoffset() == dt.timedelta(0)
    assert (found.pauses, found.warnings) == (session.pauses, session.warnings)


def test_a_session_without_clock_heart_rate_or_samples_is_kept_too(store: Store) -> None:
    with store.writing() as connection:
        number = add(connection, Session(np.array([]), {}))
        found, row = load_session(connection, number), session_row(connection, 1, number)
    assert (found.t_s.size, dict(found.channels), found.start_utc) == (0, {}, None)
    assert (row.start_utc, row.start_local, row.has_heart_rate, row.n_samples) == (None, None, False, 0)


def test_the_summary_holds_what_was_recorded_and_what_was_worked_out(store: Store) -> None:
    with store.writing() as connection:
        good, fair = a_recovery(hrr60_bpm=30.0), a_recovery(order=2, hrr60_bpm=36.0, grade=Grade.FAIR)
        rough = a_recovery(order=3, hrr60_bpm=5.0, grade=Grade.ROUGH)
        number = add_session(
            connection, 1, a_session(), fingerprint="key", analysis=an_analysis(good, fair, rough)
        )
        row = session_row(connection, 1, number)
    assert (row.session_id, row.kind, row.device) == (number, Kind.BIKE, "wrist recorder")
    assert row.start_local is not None
    assert row.start_local.isoformat() == "2026-09-01T19:30:00+02:00"
    assert (row.duration_s, row.n_samples, row.has_heart_rate) == (599.0, 600, True)
    assert (row.posture, row.rpe, row.notes) == (None, None, "")
    assert (row.mean_hr_bpm, row.peak_hr_bpm, row.clean_share, row.trimp) == (121.5, 150.0, 0.98, 21.5)
    assert row.flagged_s == {Flag.OK: 590, Flag.ABSENT: 10}
    assert row.class_minutes == (1.0, 2.0, 3.0, 3.5, 0.25)
    assert row.maximum_is_predicted is False
    assert (row.n_recoveries, row.n_trusted, row.median_hrr60_bpm) == (3, 2, 33.0)  # median of 30 and 36


def test_sessions_are_listed_newest_first_and_without_a_clock_last(store: Store) -> None:
    with store.writing() as connection:
        numbers = [
            add(connection, a_session(start_utc=start))
            for start in (None, AN_EVENING, AN_EVENING + dt.timedelta(days=2), AN_EVENING - dt.timedelta(1))
        ]
        rows = session_rows(connection, 1)
    assert [row.session_id for row in rows] == [numbers[2], numbers[1], numbers[3], numbers[0]]


@pytest.mark.parametrize(
    ("since", "until", "found"),
    [
        (dt.date(2026, 9, 2), None, [2]),
        (None, dt.date(2026, 9, 1), [1]),
        (dt.date(2026, 9, 1), dt.date(2026, 9, 2), [2, 1]),
        (dt.date(2026, 9, 3), None, []),
    ],
)
def test_days_are_those_of_the_riders_clock(
    store: Store, since: dt.date | None, until: dt.date | None, found: list[int]
) -> None:
    with store.writing() as connection:
        add(connection, a_session(start_utc=dt.datetime(2026, 9, 1, 21, 59, tzinfo=dt.UTC)))  # 23:59 in Oslo
        add(
            connection, a_session(start_utc=dt.datetime(2026, 9, 1, 22, 1, tzinfo=dt.UTC))
        )  # 0:01 the day after
        rows = session_rows(connection, 1, since=since, until=until)
    assert [row.session_id for row in rows] == found


def test_a_kind_and_a_rider_narrow_the_list(store: Store) -> None:
    with store.writing() as connection:
        add(connection, a_session(kind=Kind.RUN))
        bike = add(connection, a_session(kind=Kind.BIKE))
        add(connection, a_session(kind=Kind.BIKE), rider_id=2)
        assert [row.session_id for row in session_rows(connection, 1, kind=Kind.BIKE)] == [bike]


def test_what_the_rider_tells_is_kept(store: Store) -> None:
    with store.writing() as connection:
        number = add(connection, a_session())
        describe(connection, number, {"kind": "circuit", "posture": "standing", "rpe": 7.5, "notes": "cold"})
        row, session = session_row(connection, 1, number), load_session(connection, number)
    assert (row.kind, row.posture, row.rpe, row.notes) == (Kind.CIRCUIT, "standing", 7.5, "cold")
    assert session.kind is Kind.CIRCUIT


def test_a_new_analysis_takes_the_place_of_the_old_one_whole(store: Store) -> None:
    with store.writing() as connection:
        first = an_analysis(a_recovery(), a_recovery(order=2))
        number = add_session(connection, 1, a_session(), fingerprint="key", analysis=first)
        replace_analysis(
            connection, number, an_analysis(a_recovery(hrr60_bpm=20.0), trimp=None, made_for="new")
        )
        row = session_row(connection, 1, number)
        recoveries = recovery_rows(connection, 1)
    assert (row.n_recoveries, row.trimp, row.median_hrr60_bpm) == (1, None, 20.0)
    assert [found.recovery.hrr60_bpm for found in recoveries] == [20.0]


def test_only_sessions_of_another_version_or_for_other_numbers_are_stale(store: Store) -> None:
    with store.writing() as connection:
        for version, made_for in ((1, "numbers"), (0, "numbers"), (1, "others")):
            analysis = an_analysis(version=version, made_for=made_for)
            add_session(connection, 1, a_session(), fingerprint="key", analysis=analysis)
        assert stale_sessions(connection, 1, version=1, made_for="numbers") == [2, 3]


def test_fingerprints_are_looked_up_around_a_day_and_among_sessions_without_a_clock(store: Store) -> None:
    with store.writing() as connection:
        for number, start in enumerate((None, *(AN_EVENING + dt.timedelta(days) for days in (0, 3, 4)))):
            add(connection, a_session(start_utc=start), fingerprint=f"key {number}")
        add(connection, a_session(), rider_id=2)
        assert fingerprints_near(connection, 1, dt.date(2026, 9, 1)) == [
            (1, "key 0"),
            (2, "key 1"),
            (3, "key 2"),
        ]
        assert [number for number, _ in fingerprints_near(connection, 1, None)] == [1, 2, 3, 4]


def test_a_fuller_recording_takes_the_place_of_the_one_that_is_there(store: Store) -> None:
    with store.writing() as connection:
        short = Session.from_arrays([0, 1], [100, 101], kind=Kind.OTHER)
        number = add_session(
            connection, 1, short, fingerprint="short", analysis=an_analysis(a_recovery(), trimp=1.0)
        )
        describe(connection, number, {"rpe": 6.0, "notes": "cold"})
        full = an_analysis(a_recovery(), a_recovery(order=2), trimp=30.0)
        replace_session(connection, number, a_session(), fingerprint="full", analysis=full)
        row, session = session_row(connection, 1, number), load_session(connection, number)
        assert fingerprints_near(connection, 1, None) == [(number, "full")]
    assert (row.kind, row.device, row.duration_s, row.trimp) == (Kind.BIKE, "wrist recorder", 599.0, 30.0)
    assert (row.rpe, row.notes, row.n_recoveries) == (6.0, "cold", 2)
    assert np.array_equal(session.hr_bpm, a_session().hr_bpm, equal_nan=True)


def test_a_kind_the_rider_corrected_stays_when_a_fuller_recording_comes(store: Store) -> None:
    with store.writing() as connection:
        number = add(connection, a_session())
        describe(connection, number, {"kind": "circuit"})
        replace_session(connection, number, a_session(), fingerprint="full", analysis=an_analysis())
        assert session_row(connection, 1, number).kind is Kind.CIRCUIT


def test_a_session_that_is_not_there_is_named(store: Store) -> None:
    with store.reading() as connection, pytest.raises(NotInStore, match="there is no session 12"):
        load_session(connection, 12)


def test_another_riders_session_is_not_there(store: Store) -> None:
    with store.writing() as connection:
        number = add(connection, a_session(), rider_id=2)
        with pytest.raises(NotInStore, match=f"there is no session {number}"):
            session_row(connection, 1, number)


def test_damaged_samples_name_their_session(store: Store) -> None:
    with store.writing() as connection:
        number = add(connection, a_session())
        connection.execute(text("UPDATE samples SET data = substr(data, 1, 30)"))
        with pytest.raises(StoreProblem) as problem:
            load_session(connection, number)
    assert str(problem.value) == (f"session {number}: samples are damaged. Import the recording again.")
