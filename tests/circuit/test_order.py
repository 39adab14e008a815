"""Order against every permutation."""

from itertools import pairwise, permutations

import pytest

from rideready.circuit.library import BY_NAME, STATIONS
from rideready.circuit.order import neighbour_cost, order
from rideready.model.exercise import Exercise, Family
from tests.circuit.riders import seeded


def clash(one: Exercise, other: Exercise) -> bool:
    return bool(set(one.primary) & set(other.primary))


def fewest_clashes(chosen: list[Exercise]) -> tuple[int, int]:
    """Fewest clashes within the round, and fewest in the whole ring, over all permutations."""
    rows = [
        (sum(clash(a, b) for a, b in pairwise(row)), clash(row[-1], row[0])) for row in permutations(chosen)
    ]
    return min(inner for inner, _ in rows), min(inner + across for inner, across in rows)


@pytest.mark.parametrize("n", [4, 5, 6])
def test_no_permutation_has_fewer_clashes(n: int) -> None:
    rng = seeded(f"order {n}")
    # Sets of few muscles, so that clashes are common.
    crowded = [e for e in STATIONS if {"quads", "chest", "abdominals"} & set(e.primary)]
    for _ in range(25):
        chosen = rng.sample(crowded, n)
        found = order(chosen)
        assert sorted(found.exercises, key=lambda e: e.name) == sorted(chosen, key=lambda e: e.name)
        inner, ring = fewest_clashes(chosen)
        assert len(found.clashes) == inner
        assert len(found.clashes) + found.clashes_across == ring


def ring_cost(row: tuple[Exercise, ...]) -> int:
    return sum(neighbour_cost(a, b) for a, b in zip(row, [*row[1:], row[0]], strict=True))


def test_no_ring_costs_less() -> None:
    rng = seeded("rings")
    for _ in range(8):
        chosen = rng.sample(STATIONS, 6)
        best = min(ring_cost(row) for row in permutations(chosen))
        assert ring_cost(order(chosen).exercises) == best


def test_the_order_does_not_depend_on_the_order_given() -> None:
    rng = seeded("shuffled")
    for n in (4, 5, 8):
        chosen = rng.sample(STATIONS, n)
        first = order(chosen)
        costs = {ring_cost(order(rng.sample(chosen, n)).exercises) for _ in range(5)}
        assert costs == {ring_cost(first.exercises)}


def test_an_unavoidable_clash_lies_across_the_end_of_the_round() -> None:
    # Two of four share the chest with a third: one ring edge must clash, and the rest lies there.
    names = ("Push-up", "Band chest press", "Goblet squat", "Burpee")
    found = order([BY_NAME[name] for name in names])
    assert found.clashes_across
    assert len(found.clashes) + 1 == fewest_clashes([BY_NAME[name] for name in names])[1]


def test_a_round_begins_with_the_legs_and_ends_with_the_grip_where_it_may() -> None:
    names = ("Farmer carry", "Push-up", "Goblet squat", "Band row", "Dead bug")
    found = order([BY_NAME[name] for name in names])
    assert Family.LOWER in found.exercises[0].families
    assert Family.GRIP not in found.exercises[0].families


@pytest.mark.parametrize(
    ("one", "other", "cost"),
    [
        ("Goblet squat", "Push-up", 0),
        ("Goblet squat", "Reverse lunge", 1000 + 2 + 2),  # both legs, both the knee
        ("Band row", "Farmer carry", 3 + 3),  # forearms along in one, upper back along in the other
        ("Romanian deadlift", "Thruster", 3 + 2 + 2),  # glutes along; both legs, both the low back
        ("Farmer carry", "Dead bug", 1),  # down on the mat
        ("Dead bug", "Crunch", 1000 + 2 + 2),
    ],
)
def test_neighbours_cost_what_they_should(one: str, other: str, cost: int) -> None:
    assert neighbour_cost(BY_NAME[one], BY_NAME[other]) == cost
    assert neighbour_cost(BY_NAME[other], BY_NAME[one]) == cost
