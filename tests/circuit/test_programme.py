"""The chosen set against brute force over every set."""

from collections import Counter
from itertools import combinations

import pytest

from rideready.circuit.aims import WEIGHTS
from rideready.circuit.constraints import set_rules, time_rule
from rideready.circuit.library import STATIONS
from rideready.circuit.linear import LinearProgramme
from rideready.circuit.programme import choose, least_seconds_of_counts, points_of_set
from rideready.model.exercise import Equipment, Exercise, Family, PulseDrive, Sides
from tests.circuit.hard_rules import families_of, is_allowed
from tests.circuit.riders import seeded

SEVENTH = 1 / 7  # no sums of whole points that tie by chance


def set_points(chosen: tuple[Exercise, ...]) -> float:
    """Points of how a set goes together, once more from the words of `Weights`."""
    n = len(chosen)
    muscles = Counter(m for e in chosen for m in e.primary)
    movements = Counter(e.movement for e in chosen)
    pieces = {p for e in chosen for p in e.equipment}
    ready = {Equipment.MAT, Equipment.BIKE, Equipment.BOX, Equipment.BAR}
    wanted_legs = {4: 1, 5: 2, 6: 2, 7: 3, 8: 3}[n]
    wanted_drive = {4: 2, 5: 2, 6: 3, 7: 3, 8: 4}[n]
    legs = sum("legs" in families_of(e) for e in chosen)
    drive = sum(e.pulse_drive is PulseDrive.HIGH for e in chosen)
    points = WEIGHTS.uses_covered * len({use for e in chosen for use in e.serves})
    points -= WEIGHTS.short_of_legs * max(0, wanted_legs - legs)
    trunk = sum("trunk" in families_of(e) for e in chosen)
    points -= WEIGHTS.short_of_trunk * max(0, {4: 1, 5: 2, 6: 2, 7: 2, 8: 2}[n] - trunk)
    points -= WEIGHTS.short_of_drive * max(0, wanted_drive - drive)
    points -= WEIGHTS.same_movement * sum(k - 1 for k in movements.values())
    points -= WEIGHTS.same_muscle * sum(k - 1 for k in muscles.values())
    points -= WEIGHTS.crowded * sum(max(0, k - n // 2) for k in muscles.values())
    points -= WEIGHTS.many_sided * max(0, sum(e.sides is Sides.EACH for e in chosen) - 2)
    joints = Counter(j for e in chosen for j in e.joints)
    points -= WEIGHTS.same_joint * sum(max(0, k - n // 2) for k in joints.values())
    return points - WEIGHTS.piece * len(pieces - ready)


def ranked(exercises: list[Exercise], points: dict[str, float], n: int) -> list[tuple[float, frozenset[str]]]:
    """Every allowed set, best first."""
    sets = [
        (sum(points[e.name] for e in chosen) + set_points(chosen), frozenset(e.name for e in chosen))
        for chosen in combinations(exercises, n)
        if is_allowed(chosen)
    ]
    return sorted(sets, key=lambda pair: -pair[0])


@pytest.mark.parametrize("n", [4, 5, 6, 8])
def test_the_choice_equals_the_best_by_brute_force_and_so_do_the_next(n: int) -> None:
    rng = seeded(f"brute force {n}")
    solved = 0
    for _ in range(14):
        exercises = [e for e in STATIONS if rng.random() < 13 / len(STATIONS)][:13]
        points = {e.name: rng.randint(-20, 20) * SEVENTH + rng.random() / 1000 for e in exercises}
        expected = ranked(exercises, points, n)
        rules = set_rules(exercises, tuple(Family), n)
        before: list[frozenset[str]] = []
        for value, names in expected[:3]:
            choice = choose(exercises, [points[e.name] for e in exercises], rules, besides=before)
            assert choice is not None
            assert choice.points == pytest.approx(value, abs=1e-9)
            assert frozenset(e.name for e in choice.exercises) == names
            before.append(names)
            solved += 1
        if len(expected) <= 3:
            assert choose(exercises, [points[e.name] for e in exercises], rules, besides=before) is None
    assert solved >= 6


def test_the_time_at_hand_holds_where_it_bites() -> None:
    rng = seeded("time")
    exercises = list(STATIONS[::10])
    bites = 0
    for _ in range(12):
        points = {e.name: rng.random() for e in exercises}
        limit = rng.uniform(13, 17)  # seconds of a count, all exercises together
        sets = [
            (sum(points[e.name] for e in chosen) + set_points(chosen), chosen)
            for chosen in combinations(exercises, 5)
            if is_allowed(chosen)
        ]
        inside = [(v, c) for v, c in sets if sum(e.seconds_of_a_count for e in c) <= limit]
        rules = set_rules(exercises, tuple(Family), 5)
        rules.append(time_rule(exercises, 55, 55 * limit))
        choice = choose(exercises, [points[e.name] for e in exercises], rules)
        best = max((v for v, _ in inside), default=None)
        bites += best != max(v for v, _ in sets)
        assert (None if choice is None else round(choice.points, 9)) == (
            None if best is None else round(best, 9)
        )
    assert bites >= 3


def test_the_least_time_equals_the_least_by_brute_force() -> None:
    exercises = list(STATIONS[::7])
    rules = set_rules(exercises, tuple(Family), 5)
    least = min(
        sum(e.seconds_of_a_count for e in chosen)
        for chosen in combinations(exercises, 5)
        if is_allowed(chosen)
    )
    assert least_seconds_of_counts(exercises, rules) == pytest.approx(least)


def test_points_of_a_set_are_as_the_words_say() -> None:
    rng = seeded("set points")
    for n in (4, 5, 6, 7, 8):
        for _ in range(20):
            chosen = tuple(rng.sample(STATIONS, n))
            assert points_of_set(chosen) == pytest.approx(set_points(chosen))


def test_too_few_exercises_have_no_choice() -> None:
    assert choose(STATIONS[:3], [1.0] * 3, set_rules(STATIONS[:3], (), 4)) is None
    assert choose([], [], set_rules([], (), 4)) is None


def test_an_empty_programme_is_met_or_not() -> None:
    programme = LinearProgramme()
    assert programme.solve() == []
    programme.row([], 1, 2)
    assert programme.solve() is None


def test_whole_variables_come_out_whole() -> None:
    # Most of 3x + 2y with 2x + 2y <= 7, x <= 2: x = 2, y = 1 as whole numbers, 1.5 as real ones.
    programme = LinearProgramme()
    x, y = programme.whole(-3.0, 2), programme.whole(-2.0, 9)
    programme.row([(x, 2.0), (y, 2.0)], 0, 7)
    assert programme.solve() == [2, 1]
