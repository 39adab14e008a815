"""A line of the diary and a recording are one session by day, kind and length; the bounds are ours."""

import datetime as dt
from typing import Any

import pytest

from rideready.model.session import Kind
from rideready.services.pairing import APART, LoggedCircuit, pair_lines
from rideready.store.diary import LogEntry
from rideready.store.values import SessionRow
from tests.dashboards.rows import a_session_row

#: The local day of `a_session_row`, in a place two hours ahead.
DAY = dt.date(2026, 9, 1)


def line(kind: str = "cardio", minutes: float | None = 30.0, number: int = 1, **changes: Any) -> LogEntry:
    told: dict[str, Any] = {"day": DAY, "kind": kind, "minutes": minutes, "rpe": 4.0, "number": number}
    return LogEntry(**(told | changes))


def recorded(minutes: float = 30.0, kind: Kind = Kind.BIKE, number: int = 7) -> SessionRow:
    return a_session_row(session_id=number, duration_s=60 * minutes, kind=kind)


@pytest.mark.parametrize(
    ("word", "kind", "is_one"),
    [
        ("cardio", Kind.RUN, True),
        ("cardio", Kind.OTHER, True),
        ("cardio", Kind.STRENGTH, False),
        ("bursts", Kind.BIKE, True),
        ("bursts", Kind.TEST, True),
        ("strength", Kind.STRENGTH, True),
        ("strength", Kind.BIKE, False),
        ("stretching", Kind.WALK, False),
        ("stretching", Kind.OTHER, True),
        ("circuit", Kind.CIRCUIT, True),
        ("illness", Kind.OTHER, False),
    ],
)
def test_kinds_that_are_alike_pair(word: str, kind: Kind, *, is_one: bool) -> None:
    assert pair_lines([line(word)], [recorded(kind=kind)]) == ({1: 7} if is_one else {})


@pytest.mark.parametrize(
    ("planned", "ridden", "is_one"),
    [
        (30, 20, True),  # ten minutes
        (30, 45, True),  # a third of the longer
        (30, 46, False),
        (30, 19, False),
        (5, 15, True),
        (60, 90, True),
        (None, 300, True),
    ],
)
def test_lengths_that_are_near_pair(planned: float | None, ridden: float, *, is_one: bool) -> None:
    assert pair_lines([line(minutes=planned)], [recorded(ridden)]) == ({1: 7} if is_one else {})


def test_the_local_day_counts() -> None:
    late = a_session_row(start_utc=dt.datetime(2026, 9, 1, 22, 30, tzinfo=dt.UTC), duration_s=1800.0)
    assert pair_lines([line()], [late]) == {}  # half past midnight on the 2nd
    assert pair_lines([line(day=dt.date(2026, 9, 2))], [late]) == {1: 12}


def test_a_recording_without_a_clock_pairs_with_nothing() -> None:
    assert pair_lines([line()], [a_session_row(start_utc=None, duration_s=1800.0)]) == {}


def test_one_recording_takes_one_place_and_the_nearest_go_together() -> None:
    lines = [line(minutes=30, number=1), line(minutes=40, number=2)]
    assert pair_lines(lines, [recorded(39)]) == {2: 7}
    assert pair_lines(lines, [recorded(39), recorded(31, number=8)]) == {1: 8, 2: 7}


def test_a_named_kind_goes_before_an_unnamed_one() -> None:
    rows = [recorded(30, Kind.OTHER, number=7), recorded(36, Kind.RUN, number=8)]
    assert pair_lines([line()], rows) == {1: 8}


def test_what_is_to_be_counted_apart_stays_apart() -> None:
    assert pair_lines([line(tags=(APART,))], [recorded()]) == {}


@pytest.mark.parametrize(
    ("recorded_min", "rpe", "is_one"),
    [(45, None, True), (32, None, True), (31, None, False), (45, 4.0, False)],
)
def test_a_lead_in_belongs_to_a_circuits_recording_that_is_long_enough_for_both(
    recorded_min: float, rpe: float | None, *, is_one: bool
) -> None:
    rows = [recorded(recorded_min, Kind.CIRCUIT)]
    circuit = LoggedCircuit(DAY, minutes=22.0, session_id=7)
    found = pair_lines([line(minutes=20.0, rpe=rpe)], rows, circuits=[circuit])
    assert found == ({1: 7} if is_one else {})


def test_the_recording_of_a_logged_circuit_takes_no_other_place() -> None:
    circuit = LoggedCircuit(DAY, minutes=22.0, session_id=7)
    assert pair_lines([line("circuit", 30.0)], [recorded(30, Kind.CIRCUIT)], circuits=[circuit]) == {}
