"""Plans made anew: what changed, why, and what is given up; a moved window beside today's plan."""

import datetime as dt
from dataclasses import replace

import pytest

from rideready.errors import BadInput
from rideready.model.condition import Away, Injury
from rideready.model.exercise import Joint, Level
from rideready.model.season import OpeningWindow, Season, SeasonRequest, WeekDone
from rideready.plan.replan import replan, what_if
from rideready.plan.season import plan_season

WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))
START = dt.date(2026, 8, 24)
PAST = tuple(WeekDone(START - dt.timedelta(weeks=n), 200, 40, 2, 1, 2, 0, 50) for n in range(4, 0, -1))
REQUEST = SeasonRequest(WINDOW, START, PAST, level=Level.ADVANCED, began=START)


def weeks_done(season: Season, shares: list[float]) -> tuple[WeekDone, ...]:
    """Do the plan's first weeks, each to a share."""
    return tuple(
        WeekDone(
            week.start,
            week.targets.moderate_equivalent_min * share,
            week.targets.vigorous_min * share,
            round(week.targets.circuits * share),
            round(week.targets.strength * share),
            round(week.targets.mobility * share),
            round(week.targets.burst_practices * share),
            week.targets.long_piece_min * share,
        )
        for week, share in zip(season.weeks, shares, strict=False)
    )


def later(season: Season, shares: list[float], **more: object) -> SeasonRequest:
    """Ask again after some weeks done to their shares."""
    today = START + dt.timedelta(weeks=len(shares))
    asked = replace(REQUEST, today=today, history=(*PAST, *weeks_done(season, shares)))
    return replace(asked, **more)  # type: ignore[arg-type]


def codes(reasons: tuple[object, ...]) -> list[str]:
    """List the codes of some reasons."""
    return [reason.code for reason in reasons]  # type: ignore[attr-defined]


def test_weeks_done_as_planned_change_nothing() -> None:
    before = plan_season(REQUEST)
    again = replan(before, later(before, [1.0, 1.0, 1.0]))
    assert again.weeks == ()
    assert again.causes == ()
    assert again.consequences == ()


def test_a_lost_week_is_named_and_every_changed_week_is_put_down_to_it() -> None:
    before = plan_season(REQUEST)
    again = replan(before, later(before, [1.0, 1.0, 0.0]))
    assert codes(again.causes) == ["season.cause_lost"]
    assert again.weeks
    assert all(again.causes[0] in change.reasons for change in again.weeks)
    first = again.weeks[0]
    assert first.before is not None
    assert first.after is not None
    assert first.after.moderate_equivalent_min < first.before.moderate_equivalent_min


@pytest.mark.parametrize(("share", "code"), [(0.75, "season.cause_less"), (1.4, "season.cause_more")])
def test_less_and_more_than_planned_are_told_apart(share: float, code: str) -> None:
    before = plan_season(REQUEST)
    assert codes(replan(before, later(before, [1.0, share])).causes) == [code]


def test_an_injury_and_its_end_are_named() -> None:
    before = plan_season(REQUEST)
    sore = replan(before, later(before, [1.0], injuries=(Injury(Joint.KNEE, START),)))
    assert codes(sore.causes) == ["season.cause_injury"]
    healed = replan(sore.after, later(before, [1.0, 1.0]))
    assert "season.cause_injury_over" in codes(healed.causes)


def test_days_away_and_other_days_at_hand_are_named_each_for_the_weeks_it_changes() -> None:
    before = plan_season(REQUEST)
    away = Away(START + dt.timedelta(weeks=3), START + dt.timedelta(weeks=3, days=6))
    again = replan(before, later(before, [1.0], away=(away,), minutes_by_weekday=(30,) * 7))
    assert codes(again.causes) == ["season.cause_away", "season.cause_days"]
    of_the_trip = next(change for change in again.weeks if change.start == away.first)
    assert codes(of_the_trip.reasons)[0] == "season.cause_away"
    assert all(change.reasons for change in again.weeks)


def test_an_earlier_window_says_what_is_given_up() -> None:
    moved = what_if(REQUEST, OpeningWindow(dt.date(2026, 11, 7), dt.date(2026, 11, 14)))
    assert codes(moved.causes) == ["season.cause_earlier"]
    said = " ".join(reason.sentence for reason in moved.consequences)
    # By hand: ten weeks up to the taper, a third of them rounded up for bursts; before, 15 with four for bursts.
    assert "Given up: 5 of 11 weeks of building; that leaves 6." in said
    assert "The taper now begins on Mon 2 Nov 2026." in said
    gone = [change for change in moved.weeks if change.after is None]
    assert [codes(change.reasons) for change in gone] == [["season.cause_earlier", "season.week_gone"]] * 5


def test_a_later_window_says_what_is_won() -> None:
    moved = what_if(REQUEST, OpeningWindow(WINDOW.earliest, WINDOW.likely + dt.timedelta(weeks=2)))
    assert "season.won" in codes(moved.consequences)
    assert "season.cause_later" in codes(moved.causes)


def test_snow_within_days_loses_the_floor_and_says_what_is_short() -> None:
    moved = what_if(REQUEST, OpeningWindow(START + dt.timedelta(days=3), START + dt.timedelta(days=6)))
    assert codes(moved.consequences)[0] == "season.floor_lost"
    assert "burst practices" in moved.consequences[0].sentence
    assert "season.taper_cut" in codes(moved.consequences)


def test_what_if_leaves_the_plan_for_today_as_it_is() -> None:
    moved = what_if(REQUEST, OpeningWindow(dt.date(2026, 11, 7), dt.date(2026, 11, 14)))
    assert moved.before == plan_season(REQUEST)
    assert moved.after == plan_season(replace(REQUEST, window=moved.after.request.window))


def test_a_window_that_has_passed_can_be_moved_to_the_coming_one() -> None:
    before = plan_season(replace(REQUEST, window=OpeningWindow(START, START + dt.timedelta(days=3))))
    again = replan(before, later(before, [1.0], window=WINDOW))
    assert "season.cause_later" in codes(again.causes)
    assert again.after.request.window == WINDOW


def test_a_window_in_the_past_is_refused() -> None:
    with pytest.raises(BadInput, match="is past"):
        what_if(REQUEST, OpeningWindow(START - dt.timedelta(days=9), START - dt.timedelta(days=2)))
