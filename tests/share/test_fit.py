"""A plan worked out for another rider keeps every rule of circuits and seasons, and says what it changed."""

from dataclasses import replace

import pytest

from rideready.model.condition import Clearance
from rideready.model.exercise import Equipment, Level
from rideready.model.season import OpeningWindow
from rideready.plan.week import plan_week, usual_availability
from rideready.share.fit_circuit import fit_circuit
from rideready.share.fit_plan import fit_plan
from rideready.share.plan_file import GivenCircuit
from tests.circuit.hard_rules import broken_rules
from tests.plan.season_rules import broken_ramp, broken_taper
from tests.share.plans import CIRCUITS, MONDAY, a_beginner, a_fitted_plan, a_plan


def test_a_beginner_starts_from_few_minutes_and_not_from_the_givers() -> None:
    fitted = a_fitted_plan()
    assert fitted.season is not None
    # 60 min, three pieces of 20, for a beginner without a record: common practice, no source (plan.ramp).
    assert fitted.season.weeks[0].targets.moderate_equivalent_min == 60
    assert a_plan().weeks[0].targets.moderate_equivalent_min > 150
    own = sum(week.targets.moderate_equivalent_min for week in fitted.season.weeks)
    given = sum(week.targets.moderate_equivalent_min for week in a_plan().weeks)
    assert (
        f"{own} of the {given} weekly minutes planned, or {round(100 * own / given)} %"
        in fitted.reasons[0].sentence
    )


def test_the_season_of_an_adopted_plan_breaks_no_rule_and_ends_in_the_plans_window() -> None:
    season = a_fitted_plan().season
    assert season is not None
    assert [*broken_ramp(season), *broken_taper(season)] == []
    assert season.request.window == a_plan().window


def test_sessions_lie_on_the_adopters_own_days() -> None:
    days = (45, 0, 45, 0, 0, 60, 0)
    fitted = fit_plan(a_plan(), a_beginner(minutes_by_weekday=days))
    placed = [day for week in fitted.weeks for day in week.days if day.sessions]
    assert len(placed) > 20
    assert {day.day.weekday() for day in placed} <= {0, 2, 5}
    assert all(day.minutes <= days[day.day.weekday()] for day in placed)


@pytest.mark.parametrize("number", range(len(CIRCUITS)))
def test_a_circuit_of_the_plan_is_replaced_where_equipment_or_level_is_missing(number: int) -> None:
    fitted = a_fitted_plan().circuits[number]
    assert fitted.circuit is not None
    exercises = [station.exercise for station in fitted.circuit.stations]
    assert all(set(one.equipment) <= {Equipment.MAT, Equipment.BAND} for one in exercises)
    assert all(one.level is Level.BEGINNER for one in exercises)
    lost = set(CIRCUITS[number]) - set(fitted.circuit.names)
    said = " ".join(reason.sentence for reason in fitted.changes)
    assert lost
    assert all(f"{name}: it " in said or f"{name}: only " in said for name in lost)


def test_a_fitted_circuit_breaks_no_rule_of_circuits() -> None:
    adopter = a_beginner()
    request = replace(adopter.circuit, minutes=25.0)
    given = GivenCircuit(CIRCUITS[0], 10, adopter.circuit.rest.by, 0.6, 45.0)
    fitted = fit_circuit(given, request)
    assert fitted.circuit is not None
    told = replace(request, exercises=len(fitted.circuit.stations), top_count=None)
    assert broken_rules(fitted.circuit, told) == []


def test_what_the_rider_has_and_may_do_is_kept() -> None:
    adopter = a_beginner()
    everything = replace(adopter.circuit, level=Level.ADVANCED, equipment=frozenset(Equipment), minutes=None)
    given = GivenCircuit(CIRCUITS[0], 8, adopter.circuit.rest.by, 0.6, 45.0)
    fitted = fit_circuit(given, everything)
    assert fitted.circuit is not None
    assert set(fitted.circuit.names) == set(CIRCUITS[0])
    assert fitted.circuit.top_count == 8
    assert fitted.changes == ()


def test_an_exercise_nobody_knows_is_named_without_its_text() -> None:
    given = GivenCircuit((*CIRCUITS[0][:4], "Moon walk"), 10, a_beginner().circuit.rest.by, 0.6, 45.0)
    fitted = fit_circuit(given, a_beginner().circuit)
    said = " ".join(reason.sentence for reason in fitted.changes)
    assert "An exercise this version does not know: it is not in the list" in said
    assert "Moon" not in said


def test_whoever_is_to_ask_a_doctor_gets_no_week_and_no_circuit() -> None:
    fitted = fit_plan(a_plan(), a_beginner(clearance=Clearance.ASK_FIRST))
    assert (fitted.season, fitted.weeks, fitted.circuits) == (None, (), ())
    assert "See a doctor before you start" in fitted.reasons[0].sentence


def test_the_givers_window_wins_over_the_adopters() -> None:
    adopter = a_beginner(window=OpeningWindow(MONDAY, MONDAY))
    fitted = fit_plan(a_plan(), adopter)
    assert fitted.season is not None
    assert fitted.season.request.window == a_plan().window


def test_weeks_are_placed_as_the_planner_of_a_single_week_places_them() -> None:
    season = a_fitted_plan().season
    assert season is not None
    first = a_fitted_plan().weeks[0]
    assert first.days == plan_week(first.week, usual_availability(season, first.week)).days
