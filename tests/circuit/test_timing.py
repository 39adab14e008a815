"""How long a ladder takes, against worked figures."""

import datetime as dt

import pytest

from rideready.circuit.timing import around_s, fixed_s, ladder_counts, ladder_s, rest_of
from rideready.model.circuit import CircuitLog, CircuitRequest, RestBy, RestChoice, RestRecoveries, Start
from rideready.model.rider import Rider
from tests.circuit.riders import DAY

RIDER = Rider(max_hr_bpm=200, resting_hr_bpm=60)


@pytest.mark.parametrize(("top", "counts"), [(5, 15), (8, 36), (10, 55), (12, 78)])
def test_a_ladder_from_n_to_one_is_n_times_n_plus_one_halves(top: int, counts: int) -> None:
    assert ladder_counts(top) == counts == sum(range(1, top + 1))


def test_three_exercises_at_three_seconds_a_rep_take_930_seconds() -> None:
    # Worked by hand: ladder 10..1 x 3 exercises = 165 reps x 3 s, and 29 changes of 15 s: 495 + 435 = 930 s.
    assert ladder_s(10, [3.0] * 3, change_s=15.0, rest_s=15.0) == 930.0


def test_rests_stand_between_rounds_only() -> None:
    assert ladder_s(1, [2.0], change_s=10.0, rest_s=60.0) == 2.0
    assert ladder_s(3, [2.0], change_s=10.0, rest_s=60.0) == 6 * 2.0 + 2 * 60.0


def test_everything_but_the_reps_is_changes_rests_warm_up_and_cool_down() -> None:
    # cold: 3 min easy and 3 moves of 40 s; cool-down: 2 min easy and 4 stretches of 60 s
    assert around_s(Start.COLD) == 180 + 120 + 120 + 240
    assert fixed_s(10, 5, 45.0, Start.COLD) == 10 * 4 * 10 + 9 * 45 + 660


def test_straight_from_cardio_the_warm_up_is_a_minute() -> None:
    assert around_s(Start.COLD) - around_s(Start.FROM_CARDIO) == 300 - 60


def request(**fields: object) -> CircuitRequest:
    return CircuitRequest(DAY, **({"rider": RIDER} | fields))  # type: ignore[arg-type]


def test_the_rest_level_is_karvonens_fraction_of_the_reserve() -> None:
    # Karvonen: rest 60, maximum 200, 60 % -> 144 bpm (a teaching page's example).
    rest, reasons = rest_of(request())
    assert (rest.by, rest.level_bpm, rest.reserve) == (RestBy.PULSE, 144.0, 0.6)
    assert (rest.expected_s, rest.at_most_s) == (45.0, 90.0)
    assert "below 144 bpm" in reasons[0].sentence


def test_a_rest_seen_in_the_log_replaces_the_usual_one() -> None:
    old = CircuitLog(DAY - dt.timedelta(9), (), 10, 10, recoveries=RestRecoveries(1.0, 70.0))
    new = CircuitLog(DAY - dt.timedelta(2), (), 10, 10, recoveries=RestRecoveries(1.0, 33.0))
    later = CircuitLog(DAY + dt.timedelta(1), (), 10, 10, recoveries=RestRecoveries(1.0, 20.0))
    rest, reasons = rest_of(request(log=(new, later, old)))
    assert rest.expected_s == 33.0
    assert "last recorded circuit" in reasons[0].sentence


def test_a_rest_is_never_reckoned_longer_than_its_cap() -> None:
    rest, _ = rest_of(request(rest=RestChoice(cap_s=30.0)))
    assert rest.expected_s == rest.at_most_s == 30.0


@pytest.mark.parametrize(
    ("rider", "code"),
    [
        (Rider(max_hr_bpm=180), "circuit.rest_no_numbers"),
        (Rider(), "circuit.rest_no_numbers"),
        (
            Rider(max_hr_bpm=180, resting_hr_bpm=60, takes_heart_rate_medicine=True),
            "circuit.rest_medicine",
        ),
    ],
)
def test_without_a_pulse_that_tells_the_rest_goes_by_the_clock(rider: Rider, code: str) -> None:
    rest, reasons = rest_of(request(rider=rider))
    assert (rest.by, rest.expected_s, rest.level_bpm) == (RestBy.CLOCK, 45.0, None)
    assert [reason.code for reason in reasons] == [code]


def test_a_rest_by_the_clock_is_as_long_as_asked_for() -> None:
    rest, _ = rest_of(request(rest=RestChoice(by=RestBy.CLOCK, clock_s=20.0)))
    assert rest.expected_s == rest.at_most_s == 20.0
