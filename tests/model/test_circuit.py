"""Values of the circuit: what they refuse and what follows from them."""

import datetime as dt
from typing import Any

import pytest

from rideready.errors import BadInput
from rideready.model.circuit import (
    Circuit,
    CircuitLog,
    CircuitRequest,
    CircuitStation,
    Rest,
    RestBy,
    RestChoice,
    RestRecoveries,
)
from rideready.model.circuit_match import CircuitMatch, RoundMatch
from rideready.model.exercise import Exercise, Family, Level, Movement, Muscle, RidingUse, Sides

DAY = dt.date(2026, 10, 1)


def exercise(name: str, *, seconds: float = 3.0, sides: Sides = Sides.TOGETHER) -> Exercise:
    return Exercise(
        name=name,
        instruction="Do it.",
        movement=Movement.SQUAT,
        primary=(Muscle.QUADS,),
        secondary=(),
        serves=(RidingUse.STANDING,),
        level=Level.BEGINNER,
        seconds_per_rep=seconds,
        sides=sides,
    )


def circuit(*exercises: Exercise, top: int) -> Circuit:
    reps = tuple(range(top, 0, -1))
    stations = tuple(CircuitStation(e, reps, sum(reps) * e.seconds_of_a_count, None, ()) for e in exercises)
    rest = Rest(RestBy.CLOCK, 30, 30)
    return Circuit(DAY, top, top, stations, (), (), rest, 10.0, 20.0, 20.0, 7.0, 140.0, ())


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"top_count": 1}, "top count"),
        ({"top_count": 21}, "top count"),
        ({"exercises": 3}, "number of exercises"),
        ({"exercises": 9}, "number of exercises"),
        ({"minutes": 0.0}, "time at hand"),
        ({"minutes": float("nan")}, "time at hand"),
        ({"alternative": 6}, "alternative"),
        ({"alternative": -1}, "alternative"),
    ],
)
def test_a_request_out_of_range_says_which_value(wrong: dict[str, Any], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        CircuitRequest(DAY, **wrong)


@pytest.mark.parametrize("wrong", [{"reserve": 0.1}, {"cap_s": 5.0}, {"clock_s": 601.0}])
def test_a_rest_out_of_range_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(BadInput, match="should lie between"):
        RestChoice(**wrong)


@pytest.mark.parametrize("wrong", [{"rounds_done": 11}, {"rounds_done": -1}, {"rpe": 10.5}, {"top_count": 0}])
def test_a_log_out_of_range_is_refused(wrong: dict[str, Any]) -> None:
    given = {"top_count": 10, "rounds_done": 0} | wrong
    with pytest.raises(BadInput, match="should lie between"):
        CircuitLog(DAY, ("Push-up",), **given)


def test_a_share_of_rests_over_one_is_refused() -> None:
    with pytest.raises(BadInput, match="share of rests"):
        RestRecoveries(1.2)


def test_the_rounds_done_are_counted_from_the_top() -> None:
    log = CircuitLog(DAY, ("Push-up",), top_count=10, rounds_done=3)
    assert not log.is_finished
    assert log.counts_done == 10 + 9 + 8


def test_a_finished_ladder_counts_every_rep() -> None:
    log = CircuitLog(DAY, ("Push-up",), top_count=10, rounds_done=10)
    assert log.is_finished
    assert log.counts_done == 55  # 10 * 11 / 2


@pytest.mark.parametrize(("n", "total"), [(5, 275), (6, 330)])
def test_ten_to_one_gives_275_reps_for_five_exercises_and_330_for_six(n: int, total: int) -> None:
    # Common practice, no source: 10 down to 1, five or six exercises, 55 reps each.
    written = circuit(*(exercise(str(i)) for i in range(n)), top=10)
    assert written.total_reps == total
    assert sum(written.stations[0].reps) == 55


def test_a_round_is_its_reps_and_the_changes_between_them() -> None:
    written = circuit(exercise("a", seconds=2.0), exercise("b", sides=Sides.EACH), top=2)
    # two reps of 2 s and of 3 s a side, and one change of 10 s; then one rep of each and a change
    assert written.round_s == (2 * (2 + 6) + 10, 1 * (2 + 6) + 10)
    assert written.rounds == (2, 1)
    assert written.names == ("a", "b")


def test_an_exercise_counts_for_every_family_it_trains() -> None:
    row = Exercise(
        name="row",
        instruction="Row.",
        movement=Movement.PULL,
        primary=(Muscle.LATS, Muscle.FOREARMS),
        secondary=(Muscle.OBLIQUES,),
        serves=(RidingUse.HOLDING,),
        level=Level.BEGINNER,
        seconds_per_rep=2.5,
    )
    assert row.families == (Family.PULL, Family.GRIP)
    assert exercise("squat").families == (Family.LOWER,)


def round_match(reps: int, *, rest: float | None, settle: float | None) -> RoundMatch:
    return RoundMatch(reps, 0.0, 60.0, 60.0, 160.0, rest, None if rest is None else 30.0, settle)


def test_the_recoveries_of_a_match_leave_out_the_last_round() -> None:
    rounds = (
        round_match(3, rest=40.0, settle=25.0),
        round_match(2, rest=60.0, settle=None),
        round_match(1, rest=None, settle=None),
    )
    match = CircuitMatch(0.0, 300.0, 5.0, 5.0, rounds, 130.0, 130.0, 0.5, 1.0, ())
    assert match.recoveries == RestRecoveries(settled_share=0.5, median_rest_s=50.0)


def test_without_a_rest_level_a_match_has_no_recoveries() -> None:
    rounds = (round_match(2, rest=40.0, settle=None), round_match(1, rest=None, settle=None))
    match = CircuitMatch(0.0, 300.0, 5.0, 5.0, rounds, None, None, None, 1.0, ())
    assert match.recoveries is None
