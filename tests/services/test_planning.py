"""The plan as the rider sees it: what changed and why, what was missed, how far the week has come."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from rideready.model.exercise import Joint
from rideready.model.week import MuscleGroup, SessionKind
from rideready.services.circuits import circuit_request
from rideready.services.context import Context, open_context
from rideready.services.diary import write_entry
from rideready.services.done import conditions, soreness
from rideready.services.planning import (
    moved_window,
    season,
    season_request,
    season_seen,
    set_window,
    this_week,
    todays_answer,
    week_progress,
)
from rideready.services.today_log import log_as_planned
from rideready.services.trained import muscles_of
from rideready.services.training import update_training

#: A Monday, seven weeks before the window.
MONDAY = dt.date(2026, 10, 19)
EARLIEST, LIKELY = dt.date(2026, 12, 5), dt.date(2026, 12, 19)


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    opened = open_context(tmp_path / "store.sqlite", today=MONDAY)
    set_window(opened, earliest=EARLIEST, likely=LIKELY)
    update_training(opened, usual_min=150.0)
    yield opened
    opened.store.close()


def on(ctx: Context, days: int) -> Context:
    return replace(ctx, today=MONDAY + dt.timedelta(days=days))


def codes(reasons: tuple[object, ...]) -> list[str]:
    return [reason.code for reason in reasons]  # type: ignore[attr-defined]


def test_easier_weeks_are_counted_from_the_first_plan(ctx: Context) -> None:
    assert season_request(on(ctx, 20)).began == MONDAY


def test_a_window_moved_in_the_season_leaves_its_beginning(ctx: Context) -> None:
    set_window(on(ctx, 20), earliest=EARLIEST, likely=LIKELY + dt.timedelta(days=3))
    assert season_request(on(ctx, 21)).began == MONDAY


def test_a_window_given_after_the_last_one_is_past_begins_a_new_season(ctx: Context) -> None:
    next_year = replace(ctx, today=dt.date(2027, 9, 6))
    set_window(next_year, earliest=dt.date(2027, 12, 4), likely=dt.date(2027, 12, 18))
    assert season_request(next_year).began == dt.date(2027, 9, 6)


def test_the_first_plan_has_not_changed(ctx: Context) -> None:
    assert season_seen(ctx).change is None
    assert season_seen(ctx).change is None


def test_a_session_done_as_planned_changes_nothing(ctx: Context) -> None:
    season_seen(ctx)
    log_as_planned(on(ctx, 1), rpe=6)
    assert season_seen(on(ctx, 2)).change is None


def test_a_sore_joint_is_told_as_the_cause_and_stays_told(ctx: Context) -> None:
    season_seen(ctx)
    write_entry(on(ctx, 1), "sore", tags=["knee"])
    first, again = season_seen(on(ctx, 1)), season_seen(on(ctx, 2))
    for seen in (first, again):
        assert seen.change is not None
        assert "season.cause_injury" in codes(seen.change.causes)
        assert seen.changed_on == MONDAY + dt.timedelta(days=1)


def test_a_lost_week_is_told_with_what_it_changes(ctx: Context) -> None:
    season_seen(ctx)
    seen = season_seen(on(ctx, 7))
    assert seen.change is not None
    assert codes(seen.change.causes) == ["season.cause_lost"]
    assert seen.change.weeks
    assert all(week.reasons for week in seen.change.weeks)


def test_a_moved_date_is_told_and_the_next_news_takes_its_place(ctx: Context) -> None:
    season_seen(ctx)
    set_window(ctx, earliest=EARLIEST, likely=LIKELY - dt.timedelta(days=7))
    moved = season_seen(ctx)
    write_entry(ctx, "sore", tags=["knee"])
    sore = season_seen(ctx)
    assert moved.change is not None
    assert sore.change is not None
    assert codes(moved.change.causes) == ["season.cause_earlier"]
    assert codes(sore.change.causes) == ["season.cause_injury"]


def test_a_look_at_an_earlier_day_neither_tells_nor_keeps(ctx: Context) -> None:
    season_seen(on(ctx, 3))
    assert season_seen(ctx).change is None
    assert season_seen(on(ctx, 3)).change is None


def test_what_if_keeps_nothing_as_seen(ctx: Context) -> None:
    season_seen(ctx)
    before = season(ctx)
    moved_window(ctx, earliest=EARLIEST, likely=LIKELY - dt.timedelta(days=7))
    assert season_seen(ctx).change is None
    assert season(ctx) == before


def missed_circuit(ctx: Context) -> Context:
    """Look at the week on Monday and return the day after its first circuit, which was not done."""
    day = next(
        one.day for one in this_week(ctx).days if any(s.kind is SessionKind.CIRCUIT for s in one.sessions)
    )
    return replace(ctx, today=day + dt.timedelta(days=1))


def test_a_missed_circuit_is_told_with_the_day_it_moves_to(ctx: Context) -> None:
    day_after = missed_circuit(ctx)
    told = [reason for reason in this_week(day_after).moved if dict(reason.values)["kind"] == "circuit"]
    assert told
    assert told[0].code in {"season.missed_moved", "season.missed_dropped"}
    assert told[0].sentence in {reason.sentence for reason in todays_answer(day_after).why}


def test_what_was_missed_is_told_all_day_however_often_it_is_asked(ctx: Context) -> None:
    day_after = missed_circuit(ctx)
    assert this_week(day_after).moved == this_week(day_after).moved != ()


def test_a_week_done_as_planned_has_nothing_missed(ctx: Context) -> None:
    for days in range(7):
        today = on(ctx, days)
        assert this_week(today).moved == ()
        if todays_answer(today).sessions:
            log_as_planned(today, rpe=6)


def test_progress_counts_target_done_and_placed(ctx: Context) -> None:
    before = {line.what: line for line in week_progress(ctx).targets}
    write_entry(ctx, "cardio", minutes=30, rpe=4)
    after = {line.what: line for line in week_progress(ctx).targets}
    assert before["minutes"].done == 0
    assert after["minutes"].done == 30
    assert after["minutes"].left == before["minutes"].left - 30
    assert after["circuits"].target == season(ctx).weeks[0].targets.circuits
    assert after["minutes"].most is not None


def test_progress_of_a_week_done_as_planned_leaves_nothing_of_its_circuits(ctx: Context) -> None:
    for days in range(7):
        if todays_answer(on(ctx, days)).sessions:
            log_as_planned(on(ctx, days), rpe=6)
    circuits = next(line for line in week_progress(on(ctx, 6)).targets if line.what == "circuits")
    assert (circuits.left, circuits.placed) == (0, 0)


def test_sore_muscles_rest_today_and_tomorrow_in_week_and_circuit(ctx: Context) -> None:
    write_entry(ctx, "sore", tags=["legs", "wrist"])
    for days, spares in ((0, True), (1, True), (2, False)):
        later = on(ctx, days)
        first = this_week(later).days[0]
        assert ("season.day_sore" in codes(first.reasons)) is spares
        assert (muscles_of([MuscleGroup.LOWER]) <= circuit_request(later).trained_hard) is spares
    assert circuit_request(on(ctx, 2)).avoid_joints == {Joint.WRIST}


def test_muscles_said_to_be_well_again_are_no_longer_spared(ctx: Context) -> None:
    write_entry(ctx, "sore", tags=["legs", "trunk"])
    write_entry(ctx, "healed", tags=["legs"])
    assert soreness(ctx) == {MuscleGroup.TRUNK: MONDAY}


def test_a_day_away_says_so(ctx: Context) -> None:
    write_entry(ctx, "away", tags=["2026-09-01", "2026-12-24"])
    assert [codes(day.reasons) for day in this_week(ctx).days] == [["season.day_away"]] * 7


def test_well_again_ends_a_fever_and_the_cold_that_came_with_it(ctx: Context) -> None:
    write_entry(ctx, "illness", tags=["fever"])
    write_entry(on(ctx, 1), "illness", tags=["cold"])
    write_entry(on(ctx, 4), "well")
    illnesses, _injuries = conditions(on(ctx, 5))
    assert [one.last_day for one in illnesses] == [MONDAY + dt.timedelta(days=3)] * 2
