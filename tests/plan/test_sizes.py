"""How a week's minutes are shared out among its sessions."""

from itertools import product

import pytest

from rideready.plan.sizes import (
    EASY_MIN,
    Bounds,
    Shape,
    burst_session,
    circuit_session,
    counts_as_long,
    easy_lengths,
    share_out,
    short_circuit_session,
    strength_sessions,
)

ROOMY = Bounds(100.0, 45, 36, 90, 12)


def test_a_session_counts_its_vigorous_minutes_twice() -> None:
    circuit, bursts = circuit_session(20, 20), burst_session(8)
    # By hand: 20 + 2 * 20 and 10 + 2 * 14, with 8 bursts of 45 s and 60 s being 14 min.
    assert (circuit.minutes, circuit.moderate_equivalent_min, circuit.vigorous_min) == (45, 60, 20)
    assert (bursts.minutes, bursts.moderate_equivalent_min, bursts.vigorous_min) == (29, 38, 14)


@pytest.mark.parametrize("circuit_min", [6, 12, 20])
def test_the_short_form_fits_into_20_minutes(circuit_min: int) -> None:
    assert short_circuit_session(circuit_min).minutes <= 20
    assert min(s.minutes for s in strength_sessions(40)) == 20


@pytest.mark.parametrize(
    ("total_min", "circuits", "practices"), list(product(range(20, 320, 15), range(3), range(3)))
)
def test_the_parts_never_exceed_the_total_and_what_is_left_makes_whole_pieces(
    total_min: int, circuits: int, practices: int
) -> None:
    targets = share_out(total_min, Shape(circuits, practices, 1, 3, 40), ROOMY)
    parts = targets.long_piece_min
    if targets.circuits:
        parts += targets.circuits * (targets.lead_in_min + 2 * targets.circuit_min)
    if targets.burst_practices:
        parts += targets.burst_practices * burst_session(targets.bursts).moderate_equivalent_min
    left = total_min - parts
    assert left >= 0
    assert targets.vigorous_min <= 0.25 * total_min
    if 0 < left < EASY_MIN[0] and targets.circuits:
        # Too little for a piece of its own goes before the circuits, as far as their days or half an hour allow.
        session = circuit_session(targets.circuit_min, targets.lead_in_min)
        full = session.minutes >= ROOMY.circuit_session_min or targets.lead_in_min >= 30
        assert full or left < targets.circuits


def test_a_circuit_gets_six_minutes_at_least_or_is_left_out() -> None:
    assert share_out(150, Shape(2, 0, 1, 3, 40), Bounds(5.0, 45, 36, 90, 12)).circuits == 0
    few = share_out(150, Shape(2, 0, 1, 3, 40), Bounds(8.0, 45, 36, 90, 12))
    assert (few.circuits, few.circuit_min) == (1, 8)


def test_bursts_leave_each_circuit_its_six_minutes() -> None:
    targets = share_out(200, Shape(1, 2, 1, 3, 30), Bounds(20.0, 45, 36, 90, 12))
    assert (targets.circuits, targets.circuit_min, targets.burst_practices, targets.bursts) == (1, 8, 2, 3)


def test_two_days_put_the_steady_minutes_into_the_long_piece() -> None:
    targets = share_out(130, Shape(1, 0, 0, 1, 0), Bounds(20.0, 45, 0, 90, 12, main_places=2))
    assert targets.long_piece_min == 130 - 20 - 2 * 20


@pytest.mark.parametrize(
    ("total_min", "main_places", "long_min"),
    # By hand: three fifths of 100; all of it where no other day is left, or where the rest is too short for a piece.
    [(100, 2, 60), (100, 1, 100), (60, 2, 60), (300, 2, 120)],
)
def test_the_long_piece_takes_three_fifths_of_the_steady_minutes(
    total_min: int, main_places: int, long_min: int
) -> None:
    bounds = Bounds(0.0, 45, 36, 120, 0, main_places=main_places)
    assert share_out(total_min, Shape(0, 0, 0, 1, 0), bounds).long_piece_min == long_min


@pytest.mark.parametrize(
    ("long_min", "longest"), [(30, 20), (50, 40), (60, 50), (90, 75), (120, 90), (0, 90)]
)
def test_other_steady_pieces_stay_clearly_shorter_than_the_long_one(long_min: int, longest: int) -> None:
    assert easy_lengths(long_min)[-1] == longest
    assert not counts_as_long(easy_lengths(long_min)[-1], long_min)
