"""A plan adopted by the second rider of a store, and two riders' progress."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rideready.errors import BadInput
from rideready.model.exercise import Equipment, Level
from rideready.model.season import OpeningWindow
from rideready.model.week import WeekPlan
from rideready.plan.week import usual_availability
from rideready.services.context import Context
from rideready.services.partner import (
    Adoption,
    adopt,
    adopted,
    keep_progress,
    own_progress,
    partners_progress,
    progress_file_text,
    side_by_side,
)
from rideready.services.planning import season, set_window
from rideready.services.sharing import plan_file_text, share_plan
from rideready.services.training import get_training, update_training
from rideready.share.plan_file import PlanFile
from rideready.share.progress_file import progress_from_bytes
from rideready.share.reading import plan_from_bytes
from tests.circuit.hard_rules import is_possible
from tests.plan.season_rules import broken_ramp, broken_taper
from tests.plan.week_rules import broken_rules
from tests.services.partners import riders


@pytest.fixture
def both(tmp_path: Path) -> Iterator[tuple[Context, Context]]:
    giver, partner = riders(tmp_path)
    yield giver, partner
    giver.store.close()
    partner.store.close()


def _handed_over(giver: Context) -> PlanFile:
    return plan_from_bytes(plan_file_text(share_plan(giver, giver="Runa Vell")).encode(), "plan.json")


def _dump(ctx: Context) -> list[str]:
    with ctx.store.reading() as connection:
        dump: Any = connection.connection
        return list(dump.iterdump())


def test_the_givers_plan_is_feasible_for_the_second_rider_under_every_rule(
    both: tuple[Context, Context],
) -> None:
    giver, partner = both
    report = adopt(partner, _handed_over(giver))
    fitted = report.fitted
    assert report.adoption is Adoption.ADOPTED
    assert fitted.season is not None
    assert [*broken_ramp(fitted.season), *broken_taper(fitted.season)] == []
    for week in fitted.weeks:
        plan = WeekPlan(week.week, week.days, (), (), (), 0, 0.0)
        assert broken_rules(plan, usual_availability(fitted.season, week.week)) == []
    circuits = [one.circuit for one in fitted.circuits if one.circuit is not None]
    assert circuits
    for circuit in circuits:
        request = replace(
            fitted.adopter.circuit, equipment=frozenset({Equipment.MAT, Equipment.BAND}), level=Level.BEGINNER
        )
        assert all(is_possible(station.exercise, request) for station in circuit.stations)


def test_the_plan_is_adopted_by_the_rider_who_is_meant_and_by_no_other(both: tuple[Context, Context]) -> None:
    giver, partner = both
    before = get_training(giver)
    plan = _handed_over(giver)
    adopt(partner, plan)
    assert get_training(partner).window == plan.window
    assert season(partner).request.window == plan.window
    assert (get_training(giver), adopted(giver)) == (before, None)
    found = adopted(partner)
    assert found is not None
    assert found.plan == plan


def test_adopting_twice_changes_nothing(both: tuple[Context, Context]) -> None:
    giver, partner = both
    plan = _handed_over(giver)
    adopt(partner, plan)
    before = _dump(partner)
    report = adopt(partner, plan)
    assert report.adoption is Adoption.UNCHANGED
    assert report.changes == ()
    assert _dump(partner) == before


def test_adopting_again_leaves_a_window_the_rider_has_moved_since(both: tuple[Context, Context]) -> None:
    giver, partner = both
    plan = _handed_over(giver)
    adopt(partner, plan)
    set_window(partner, earliest=dt.date(2026, 12, 1), likely=dt.date(2026, 12, 24))
    before = _dump(partner)
    assert (
        adopt(partner, replace(plan, revision=9)).adoption is Adoption.UNCHANGED
    )  # the same plan, sent again
    assert _dump(partner) == before


def test_a_newer_version_updates_and_says_what_changed(both: tuple[Context, Context]) -> None:
    giver, partner = both
    adopt(partner, _handed_over(giver))
    set_window(giver, earliest=dt.date(2026, 11, 28), likely=dt.date(2026, 12, 12))
    report = adopt(partner, _handed_over(giver))
    said = " ".join(reason.sentence for reason in report.changes)
    assert report.adoption is Adoption.UPDATED
    assert "The opening window is now 28 November to 12 December." in said
    assert "The weeks ahead ask for" in said
    assert get_training(partner).window == OpeningWindow(dt.date(2026, 11, 28), dt.date(2026, 12, 12))


def test_an_older_version_and_the_own_plan_are_refused_and_change_nothing(
    both: tuple[Context, Context],
) -> None:
    giver, partner = both
    old = _handed_over(giver)
    set_window(giver, earliest=dt.date(2026, 11, 28), likely=dt.date(2026, 12, 12))
    adopt(partner, _handed_over(giver))
    before = _dump(partner)
    with pytest.raises(BadInput, match="older than the plan adopted: revision 1 and not 2"):
        adopt(partner, old)
    with pytest.raises(BadInput, match="this is your own plan"):
        adopt(giver, old)
    assert _dump(partner) == before


def test_a_plan_whose_window_is_past_is_refused_and_changes_nothing(both: tuple[Context, Context]) -> None:
    giver, partner = both
    plan = _handed_over(giver)
    before = _dump(partner)
    with pytest.raises(BadInput, match="is past"):
        adopt(replace(partner, today=dt.date(2027, 2, 1)), plan)
    assert _dump(partner) == before


def test_another_plan_takes_the_place_of_the_first_and_says_so(both: tuple[Context, Context]) -> None:
    giver, partner = both
    plan = _handed_over(giver)
    adopt(partner, plan)
    other = replace(plan, plan_id="0e37df36-f698-11e6-8dd4-cb9ced3df976")
    report = adopt(partner, other)
    assert report.adoption is Adoption.REPLACED
    assert report.changes[0].sentence == "It takes the place of another plan, from Runa Vell."


def test_the_adopted_plan_follows_the_riders_own_days(both: tuple[Context, Context]) -> None:
    giver, partner = both
    adopt(partner, _handed_over(giver))
    update_training(partner, minutes_by_weekday=(0, 30, 0, 30, 0, 0, 0))
    found = adopted(partner)
    assert found is not None
    assert {day.day.weekday() for week in found.weeks for day in week.days if day.sessions} <= {1, 3}


def test_progress_tells_weeks_and_verdict_and_nothing_else(both: tuple[Context, Context]) -> None:
    giver, _ = both
    progress = own_progress(giver)
    assert [week.start for week in progress.weeks] == [dt.date(2026, 9, 28), dt.date(2026, 10, 5)]
    assert progress.weeks[0].done_min > 0
    assert progress.weeks[0].planned_min > 0
    assert progress.name == ""
    assert progress_from_bytes(progress_file_text(progress).encode(), "progress.json") == progress


def test_a_partners_progress_is_kept_beside_the_own(both: tuple[Context, Context]) -> None:
    giver, partner = both
    sent = own_progress(giver, name="Runa")
    keep_progress(partner, sent)
    keep_progress(partner, replace(sent, weeks=sent.weeks[:1]))
    (found,) = partners_progress(partner)
    assert found.weeks == sent.weeks[:1]
    assert partners_progress(giver) == []
    rows = side_by_side(sent, found)
    assert [(row.own is None, row.partner is None) for row in rows] == [(False, False), (False, True)]
