"""Several activities in one FIT file."""

import datetime as dt

import numpy as np
import pytest

from rideready.importers.fit import read_fit
from rideready.model.session import Kind, Pause
from tests.support.fit_bytes import START, Value, workout

RUNNING, CYCLING, ROWING = 1, 2, 15
FIELDS = ("timestamp", "heart_rate", "distance")


def _part(start_s: int, *, n: int = 60, maker: str = "Testbench One", sport: int = CYCLING) -> bytes:
    rows: list[list[Value]] = [[start_s + second, 120, 100 * second] for second in range(n)]
    return workout(rows, FIELDS, maker=maker, sport=sport).build()


def test_parts_within_half_an_hour_are_one_session_with_a_pause() -> None:
    (session,) = read_fit("day.fit", _part(0) + _part(600))

    assert session.t_s.size == 120
    assert session.start_utc == START
    assert session.pauses == (Pause(59, 600),)
    assert session.warnings == ()


def test_the_half_hour_counts_from_the_end_of_the_part_before() -> None:
    (session,) = read_fit("day.fit", _part(0) + _part(1500) + _part(3000))

    assert session.pauses == (Pause(59, 1500), Pause(1559, 3000))


def test_distance_goes_on_counting_from_part_to_part() -> None:
    (session,) = read_fit("day.fit", _part(0) + _part(600))

    # 100 hundredths of a metre a record: 59 m in each part.
    assert session.channel("distance_m")[-1] == pytest.approx(118.0)
    assert np.all(np.diff(session.channel("distance_m")) >= 0)


@pytest.mark.parametrize("gap_s", [1800, 4 * 3600])
def test_parts_half_an_hour_apart_are_sessions_of_their_own(gap_s: int) -> None:
    first, second = read_fit("day.fit", _part(0) + _part(59 + gap_s))

    assert first.start_utc == START
    assert second.start_utc == START + dt.timedelta(seconds=59 + gap_s)
    assert first.pauses == second.pauses == ()


def test_parts_of_two_recorders_are_two_sessions() -> None:
    sessions = read_fit("day.fit", _part(0) + _part(600, maker="Testbench Two"))

    assert [session.device for session in sessions] == [
        "development Testbench One",
        "development Testbench Two",
    ]


def test_parts_in_any_order_come_out_by_time() -> None:
    (session,) = read_fit("day.fit", _part(600, n=30) + _part(0))

    assert session.t_s[-1] == 629
    assert session.pauses == (Pause(59, 600),)


def test_a_chain_of_two_sports_counts_as_the_longer_and_says_so() -> None:
    (session,) = read_fit("day.fit", _part(0, sport=ROWING) + _part(100, n=200, sport=RUNNING))

    assert session.kind is Kind.RUN
    assert any("row 1 min, run 3 min" in warning for warning in session.warnings)


def test_damage_in_the_first_part_does_not_hide_the_second() -> None:
    first = bytearray(_part(0))
    first[-40:-2] = b"\xff" * 38
    (session,) = read_fit("day.fit", bytes(first) + _part(600))

    assert session.t_s[-1] == 659
    assert session.t_s.size > 100
    assert "damaged" in session.warnings[0]


def test_a_first_part_cut_short_does_not_hide_the_second() -> None:
    (session,) = read_fit("day.fit", _part(0)[:-60] + _part(600))

    assert session.t_s[-1] == 659
    assert "ends early" in session.warnings[0]
