"""The same session in two files is recognised; two sessions are not confused."""

import datetime as dt
import itertools
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rideready.importers.fingerprint import could_match, fingerprint, more_complete, same_session
from rideready.importers.registry import read_session
from rideready.model.session import FloatArray, Session
from tests.support.recordings import recording

START = dt.datetime(2026, 9, 12, 5, 30, tzinfo=dt.UTC)
NAMES = [f"recording-{number:02d}.fit" for number in (1, 2, 3, 4, 5, 8, 9, 10, 11)]


def _pulse(n: int = 2400, *, seed: int = 1) -> FloatArray:
    """Efforts and recoveries of uneven length, whole bpm, as no second session has them."""
    rng = np.random.default_rng(seed)
    goal = np.repeat(rng.uniform(95, 175, 40), rng.integers(30, 120, 40))[:n]
    pulse = np.empty(n)
    level = 90.0
    for second in range(n):
        level += (goal[second % goal.size] - level) / 35
        pulse[second] = level
    return np.round(pulse + rng.normal(0, 0.4, n))


def _session(pulse: FloatArray, **facts: object) -> Session:
    session = Session.from_arrays(np.arange(pulse.size), pulse, start_utc=START, zone="UTC+02:00")
    return replace(session, **facts)  # type: ignore[arg-type]


def _part(session: Session, first_s: float, last_s: float, *, every: int = 1) -> Session:
    """Cut the ends off and thin the samples; the clock goes with the first one left."""
    kept = np.flatnonzero((session.t_s >= first_s) & (session.t_s <= last_s))[::every]
    start = session.start_utc
    return replace(
        session,
        t_s=session.t_s[kept] - session.t_s[kept[0]],
        channels={name: values[kept] for name, values in session.channels.items()},
        start_utc=start and start + dt.timedelta(seconds=float(session.t_s[kept[0]])),
        pauses=(),
    )


def _moved(session: Session, hours: float) -> Session:
    start = session.start_utc
    return replace(session, start_utc=start and start + dt.timedelta(hours=hours), zone=None)


@cache
def _recorded(name: str) -> Session:
    return read_session(recording(name))


COPIES: dict[str, Callable[[Session], Session]] = {
    "as it is": lambda s: s,
    "thinned to every fifth sample": lambda s: _part(s, 0, np.inf, every=5),
    "ends cut off": lambda s: _part(s, 45, s.duration_s - 90),
    "middle third": lambda s: _part(s, s.duration_s / 3, 2 * s.duration_s / 3),
    "local clock without zone": lambda s: _moved(s, 2),
    "local clock without zone, far west, thinned": lambda s: _moved(_part(s, 20, np.inf, every=5), -9.5),
    "clock one second off": lambda s: _moved(s, 1 / 3600),
    "no clock, begin cut off": lambda s: replace(_part(s, 70, np.inf), start_utc=None, zone=None),
    "power lost": lambda s: replace(s, channels={"hr_bpm": s.hr_bpm}),
}


@pytest.mark.parametrize("name", COPIES)
def test_a_copy_is_recognised(name: str) -> None:
    session = _session(_pulse())
    copy = COPIES[name](session)

    assert same_session(session, copy)
    assert same_session(copy, session)
    assert could_match(fingerprint(session), fingerprint(copy))


@pytest.mark.parametrize("copy", COPIES)
@pytest.mark.parametrize("name", NAMES)
def test_a_copy_of_a_real_recording_is_recognised(name: str, copy: str) -> None:
    session = _recorded(name)
    made = COPIES[copy](session)

    assert same_session(session, made)
    assert could_match(fingerprint(session), fingerprint(made))


def test_no_two_real_recordings_are_confused_even_on_one_clock_or_none() -> None:
    sessions = [_recorded(name) for name in NAMES]
    confused = [
        (index, other)
        for (index, a), (other, b) in itertools.combinations(enumerate(sessions), 2)
        for made in (a, replace(a, start_utc=b.start_utc), replace(a, start_utc=None, zone=None))
        if same_session(made, b)
    ]

    assert confused == []


def test_the_same_session_as_fit_values_and_as_table_is_one(tmp_path: Path) -> None:
    session = _session(_pulse())
    rows = [
        f"{(START + dt.timedelta(hours=2, seconds=int(t))):%Y-%m-%d %H:%M:%S};{pulse:.0f}"
        for t, pulse in zip(session.t_s, session.hr_bpm, strict=True)
    ]
    path = tmp_path / "ride.csv"
    path.write_text("\n".join(["Zeit;Puls", *rows[3::2]]))

    assert same_session(session, read_session(path))


def test_two_riders_side_by_side_are_two_sessions() -> None:
    assert not same_session(_session(_pulse(seed=1)), _session(_pulse(seed=2)))


def test_two_riders_who_differ_by_four_beats_are_two_sessions() -> None:
    pulse = _pulse()

    assert not same_session(_session(pulse), _session(pulse + 4))


def test_the_same_workout_a_day_later_is_another_session() -> None:
    session = _session(_pulse())
    later = replace(session, start_utc=START + dt.timedelta(days=1))

    assert not same_session(session, later)
    assert not could_match(fingerprint(session), fingerprint(later))


def test_known_zones_leave_no_room_for_a_shifted_clock() -> None:
    session = _session(_pulse())

    assert not same_session(session, replace(session, start_utc=START + dt.timedelta(hours=1)))


def test_a_clock_off_by_no_quarter_of_an_hour_is_another_time() -> None:
    session = _session(_pulse())

    assert not same_session(session, _moved(session, 0.1))


def test_two_recordings_that_only_overlap_are_two() -> None:
    session = _session(_pulse())

    assert not same_session(_part(session, 0, 1500), _part(session, 900, 2400))


def test_an_even_pulse_proves_nothing_without_a_clock() -> None:
    rng = np.random.default_rng(3)
    even = np.round(120 + rng.normal(0, 0.6, 1200))
    session = _session(even)

    assert same_session(session, session)
    assert not same_session(session, replace(session, start_utc=None, zone=None))


def test_a_like_drift_is_not_enough_without_a_clock() -> None:
    rng = np.random.default_rng(4)
    drift = np.linspace(120, 135, 1200)
    first = _session(drift + rng.normal(0, 0.95, 1200))
    second = _session(drift + rng.normal(0, 0.95, 1200), start_utc=None, zone=None)

    assert not same_session(first, second)


def test_sessions_without_heart_rate_are_compared_by_what_they_have() -> None:
    speed = np.abs(np.sin(np.arange(900) / 40)) * 8
    session = Session(np.arange(900.0), {"speed_m_s": speed}, START, "UTC+02:00")
    other = replace(session, channels={"speed_m_s": speed[::-1].copy() + 1})

    assert same_session(session, _part(session, 10, 880))
    assert not same_session(session, other)


def test_sessions_with_nothing_in_common_are_compared_by_start_and_length() -> None:
    empty = Session(np.arange(900.0), {}, START, "UTC+02:00")

    assert same_session(empty, replace(empty, start_utc=START + dt.timedelta(seconds=1)))
    assert not same_session(empty, replace(empty, start_utc=START + dt.timedelta(seconds=5)))
    assert not same_session(empty, replace(empty, t_s=np.arange(800.0)))


def test_a_copy_with_heart_rate_cannot_be_told_from_its_key_to_be_one_without() -> None:
    session = _session(_pulse())

    assert not could_match(fingerprint(session), fingerprint(replace(session, channels={})))


def test_the_longer_copy_is_the_more_complete_one() -> None:
    session = _session(_pulse())
    part = _part(session, 0, 1200)

    assert more_complete(part, session) is session
    assert more_complete(session, part) is session


def test_of_equal_copies_the_first_is_kept_unless_the_other_knows_its_zone() -> None:
    session = _session(_pulse())
    copy = replace(session)
    local = replace(session, zone=None)

    assert more_complete(session, copy) is session
    assert more_complete(local, session) is session
