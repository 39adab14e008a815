"""The week's programme against every placement there is, on weeks small enough to try them all."""

import datetime as dt
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest

from rideready.model.season import Phase
from rideready.model.week import WHOLE_BODY, Form, MuscleGroup, SessionKind
from rideready.plan.programme import DayRoom, Offer, Programme, Rule, Wanted
from rideready.plan.sizes import (
    Bounds,
    Shape,
    circuit_session,
    mobility_session,
    share_out,
    steady_session,
    strength_sessions,
)
from rideready.plan.solve import _Matrix, solve
from rideready.plan.wishes import offers_for, wanted, wanted_counts
from tests.plan.brute_force import best_worth

MONDAY = dt.date(2026, 10, 5)
LATER = {SessionKind.CIRCUIT: (1000, 700, 300), SessionKind.STRENGTH: (650, 400), SessionKind.MOBILITY: (60,)}


def small_programme(rng: np.random.Generator) -> Programme:
    """Three days of any week, with whatever was done before them."""
    total = int(rng.choice([60, 100, 150, 200]))
    shape = Shape(int(rng.integers(0, 3)), int(rng.integers(0, 3)), int(rng.integers(0, 3)), 2, 40)
    targets = share_out(total, shape, Bounds(40.0, 45, 36, 60, 8))
    rooms = []
    for d in range(3):
        is_first = d == 0 and rng.random() < 0.3
        blocked = frozenset({SessionKind.CIRCUIT, SessionKind.BURSTS}) if rng.random() < 0.15 else frozenset()
        spared = frozenset({MuscleGroup.LOWER}) if rng.random() < 0.15 else frozenset()
        rooms.append(
            DayRoom(
                MONDAY + dt.timedelta(days=d),
                int(rng.choice([0, 20, 30, 45, 60, 90])),
                blocked,
                spared,
                has_main=bool(is_first),
                is_hard=bool(is_first and rng.random() < 0.5),
                groups=WHOLE_BODY if is_first and rng.random() < 0.5 else frozenset(),
            )
        )
    phase = list(Phase)[int(rng.integers(0, 4))]
    long_day = MONDAY + dt.timedelta(days=int(rng.integers(0, 3)))
    wish = wanted(
        phase,
        wanted_counts(targets),
        done={},
        aim_min=int(rng.integers(0, 200)),
        most_min=int(rng.integers(0, 260)),
        long_day=long_day if rng.random() < 0.5 else None,
    )
    offers = offers_for(targets)
    # A few of the steady pieces do; each one more multiplies the placements to try.
    kept = tuple(o for o in offers if o.kind is not SessionKind.EASY or o.session.minutes in {20, 40})
    return Programme(
        tuple(rooms),
        kept,
        wish,
        active_days_before=int(rng.integers(0, 5)),
        is_hard_before=bool(rng.random() < 0.3),
        groups_before=frozenset({MuscleGroup.UPPER}) if rng.random() < 0.3 else frozenset(),
        is_cyclic=bool(rng.random() < 0.2),
    )


@pytest.mark.parametrize("seed", range(60))
def test_the_placement_is_the_best_of_all_placements(seed: int) -> None:
    programme = small_programme(np.random.default_rng(seed))
    assert solve(programme).worth == best_worth(programme)


def room(day: int, minutes: int = 60, **state: object) -> DayRoom:
    """Make a day of the week."""
    return replace(DayRoom(MONDAY + dt.timedelta(days=day), minutes), **state)  # type: ignore[arg-type]


def circuits_and_strength(*days: DayRoom, **more: object) -> Programme:
    """Make a programme of two circuits and one strength session."""
    offers = (
        Offer(circuit_session(20, 20)),
        *(Offer(session, 10 * n) for n, session in enumerate(strength_sessions(40))),
        Offer(mobility_session()),
        Offer(steady_session(SessionKind.EASY, 30), 8),
    )
    plain = Programme(tuple(days), offers, Wanted(LATER, 200, 220))
    return replace(plain, **more)  # type: ignore[arg-type]


def kinds(programme: Programme, *without: Rule) -> list[list[SessionKind]]:
    """List what the best placement puts on each day."""
    placed = solve(programme, without=frozenset(without))
    return [[s.kind for s in day if s.kind is not SessionKind.MOBILITY] for day in placed.sessions]


def test_without_a_rule_the_sessions_it_kept_apart_stand_side_by_side() -> None:
    programme = circuits_and_strength(room(0), room(1))
    assert sum(SessionKind.CIRCUIT in day for day in kinds(programme)) == 1
    lifted = kinds(programme, Rule.HARD_DAYS, Rule.REST_48_H)
    assert sum(SessionKind.CIRCUIT in day for day in lifted) == 2


def test_a_hard_day_before_and_sore_muscles_keep_the_first_day_easy() -> None:
    after_hard = circuits_and_strength(room(0), room(1), is_hard_before=True)
    sore = circuits_and_strength(room(0, spared=WHOLE_BODY), room(1))
    assert SessionKind.CIRCUIT not in kinds(after_hard)[0]
    assert kinds(sore)[0] == [SessionKind.EASY]


def test_a_split_strength_session_is_found_where_a_whole_one_would_break_48_hours() -> None:
    programme = circuits_and_strength(room(0), room(1, minutes=30, spared=frozenset({MuscleGroup.LOWER})))
    legs_before = replace(programme, groups_before=frozenset({MuscleGroup.LOWER}), is_hard_before=True)
    forms = [s.form for day in solve(legs_before).sessions for s in day if s.kind is SessionKind.STRENGTH]
    assert forms == [Form.UPPER_AND_TRUNK]


def test_six_active_days_leave_no_room_for_a_seventh() -> None:
    programme = circuits_and_strength(room(6), active_days_before=6)
    assert kinds(programme) == [[]]


def test_nothing_is_placed_on_days_without_minutes_and_nothing_is_wrong_with_that() -> None:
    placed = solve(circuits_and_strength(room(0, minutes=0), room(1, minutes=5)))
    assert placed.sessions == ((), ())
    assert placed.worth == 0


def test_the_same_programme_gives_the_same_placement() -> None:
    programme = small_programme(np.random.default_rng(7))
    assert solve(programme) == solve(programme)


def test_a_solution_of_the_solver_that_breaks_a_rule_is_not_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    programme = small_programme(np.random.default_rng(7))
    right, honest = solve(programme), _Matrix.best

    def best(matrix: _Matrix, *, presolve: bool) -> npt.NDArray[np.int64]:
        # With presolve, everything at once: what HiGHS has been seen to do (scipy issues 22812 and 24141).
        return np.ones(matrix.width, dtype=np.int64) if presolve else honest(matrix, presolve=False)

    monkeypatch.setattr(_Matrix, "best", best)
    assert solve(programme) == right


def test_a_solver_that_never_keeps_the_rules_is_an_error_and_not_a_plan(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def best(matrix: _Matrix, *, presolve: bool) -> npt.NDArray[np.int64]:
        return np.full(matrix.width, 1 if presolve else -1)

    monkeypatch.setattr(_Matrix, "best", best)
    with pytest.raises(RuntimeError, match="not solved"):
        solve(small_programme(np.random.default_rng(7)))


def test_the_solver_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    for seed in range(100, 140):
        solve(small_programme(np.random.default_rng(seed)))
    # With variables that are not whole numbers, HiGHS prints a line of its own now and then, whatever it is told.
    assert capfd.readouterr() == ("", "")
