"""What an ordinary week holds, under the rules of the week."""

import datetime as dt

import pytest

from rideready.model.season import Phase, WeekDone
from rideready.model.week import DoneSession, SessionKind
from rideready.plan.capacity import Capacity, capacity_of
from rideready.plan.history import week_done_from
from rideready.plan.sizes import Shape

WISH = Shape(2, 1, 1, 3, 30)


@pytest.mark.parametrize(
    ("minutes", "circuits", "practices", "strength"),
    [
        pytest.param((60,) * 7, 2, 1, 1, id="time every day"),
        pytest.param(
            (60, 0, 60, 0, 60, 0, 0), 2, 1, 1, id="three days apart: short strength beside the bursts"
        ),
        pytest.param((0, 0, 0, 0, 0, 60, 60), 0, 1, 1, id="two days side by side: one hard, one strength"),
        pytest.param((60, 0, 0, 0, 0, 0, 60), 0, 1, 1, id="Sunday and Monday stand side by side too"),
        pytest.param((20,) * 7, 0, 0, 1, id="20 min hold no full circuit"),
        pytest.param((0,) * 7, 0, 0, 0, id="no time"),
    ],
)
def test_the_sessions_that_fit_week_after_week(
    minutes: tuple[int, ...], circuits: int, practices: int, strength: int
) -> None:
    held = capacity_of(minutes, Phase.BURSTS, WISH).shape
    assert (held.circuits, held.burst_practices, held.strength) == (circuits, practices, strength)


def test_more_time_never_holds_fewer_minutes() -> None:
    totals = [
        capacity_of((each,) * 7, Phase.BUILD, Shape(2, 0, 1, 3, 40)).total_min for each in (30, 45, 60, 90)
    ]
    assert totals == sorted(totals)


def test_sessions_are_as_long_as_the_days_allow() -> None:
    short, long = (capacity_of((each,) * 7, Phase.BUILD, Shape(2, 0, 1, 3, 40)) for each in (30, 90))
    assert (short.circuit_session_min, short.long_min) == (27, 30)
    assert (long.circuit_session_min, long.long_min) == (45, 90)


def test_steady_minutes_that_surely_fit_are_the_long_piece_and_whole_pieces_on_the_other_days() -> None:
    held = Capacity(Shape(2, 0, 1, 2, 40), 200, 45, 0, 60, (65, 45, 25))
    # By hand: the long piece of 60 on the 65 min day, 40 and 20 on the others; without one, 60 + 40 + 20.
    assert held.steady_min(60, hard_sessions=2) == 60 + 40 + 20
    assert held.steady_min(0, hard_sessions=2) == 60 + 40 + 20
    # Other pieces stay shorter than the long one: 40 + 30 + 20, the long one on the day where it costs least.
    assert held.steady_min(40, hard_sessions=2) == 30 + 40 + 20
    assert held.steady_min(90, hard_sessions=2) == 60 + 40 + 20
    # A circuit left out frees its 45 min.
    assert held.steady_min(0, hard_sessions=1) == 60 + 40 + 20 + 40


def test_what_was_done_in_a_week_adds_up() -> None:
    monday = dt.date(2026, 10, 5)
    sessions = [
        DoneSession(monday, SessionKind.CIRCUIT, 45, 60, 20),
        DoneSession(monday + dt.timedelta(days=1), SessionKind.EASY, 30, 30),
        DoneSession(monday + dt.timedelta(days=6), SessionKind.LONG, 70, 70),
        DoneSession(monday + dt.timedelta(days=2), SessionKind.STRENGTH, 40),
        DoneSession(monday + dt.timedelta(days=7), SessionKind.BURSTS, 26, 32, 11),
    ]
    assert week_done_from(monday, sessions) == WeekDone(monday, 160, 20, 1, 1, 0, 0, 70)
