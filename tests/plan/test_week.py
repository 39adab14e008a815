"""A week on its days: what is placed, what is dropped and why, and where missed sessions go."""

import datetime as dt
from dataclasses import replace

import pytest

from rideready.model.condition import Illness, IllnessKind, Injury
from rideready.model.exercise import Joint
from rideready.model.season import Phase, Targets, Week
from rideready.model.week import (
    WHOLE_BODY,
    DoneSession,
    Form,
    MuscleGroup,
    SessionKind,
    WeekPlan,
)
from rideready.plan.week import plan_week
from tests.plan.week_rules import broken_rules

MONDAY = dt.date(2026, 10, 5)
TARGETS = Targets(200, 34, 2, 1, 3, 0, 50, 17, 15, 0, 40)
WEEK = Week(
    MONDAY,
    MONDAY + dt.timedelta(days=6),
    Phase.BUILD,
    is_easier=False,
    targets=TARGETS,
    base_min=190,
    limit_min=209,
)
EVERY_DAY = {MONDAY + dt.timedelta(days=d): 60 for d in range(7)}
SUNDAY = 6


def day(number: int) -> dt.date:
    """Return a day of the week, Monday 0."""
    return MONDAY + dt.timedelta(days=number)


def days_with(plan: WeekPlan, kind: SessionKind) -> list[int]:
    """List the days, Monday 0, on which a kind stands."""
    return [(d.day - MONDAY).days for d in plan.days for s in d.sessions if s.kind is kind]


def done_as_in(plan: WeekPlan, *numbers: int) -> list[DoneSession]:
    """Do some days of a plan as planned."""
    return [
        DoneSession.as_planned(d.day, s)
        for d in plan.days
        if (d.day - MONDAY).days in numbers
        for s in d.sessions
    ]


def test_a_roomy_week_holds_everything_it_asks_for() -> None:
    plan = plan_week(WEEK, EVERY_DAY, long_day=SUNDAY)
    assert broken_rules(plan, EVERY_DAY) == []
    assert plan.dropped == ()
    assert plan.short_by_min < 10
    assert days_with(plan, SessionKind.CIRCUIT) == [0, 2]
    assert days_with(plan, SessionKind.LONG) == [SUNDAY]
    assert days_with(plan, SessionKind.STRENGTH) == [4]


@pytest.mark.parametrize("wish", [1, 3, 5, 6])
def test_the_long_piece_stands_where_the_rider_wants_it(wish: int) -> None:
    assert days_with(plan_week(WEEK, EVERY_DAY, long_day=wish), SessionKind.LONG) == [wish]


def test_a_long_piece_that_does_not_fit_on_its_day_moves_and_says_so() -> None:
    short_sunday = EVERY_DAY | {day(6): 30}
    plan = plan_week(WEEK, short_sunday, long_day=SUNDAY)
    moved_to = days_with(plan, SessionKind.LONG)
    assert moved_to
    assert moved_to != [SUNDAY]
    assert "season.long_elsewhere" in [reason.code for reason in plan.reasons]


def test_a_missed_circuit_moves_and_what_it_displaces_is_dropped_and_both_are_said() -> None:
    monday = plan_week(WEEK, EVERY_DAY, long_day=SUNDAY)
    thursday = plan_week(WEEK, EVERY_DAY, (), today=day(3), long_day=SUNDAY, previous=monday)
    assert broken_rules(thursday, EVERY_DAY) == []
    assert [reason.sentence for reason in thursday.moved] == [
        "The circuit missed on Mon 5 moves to Thu 8.",
        "The circuit missed on Wed 7 moves to Sat 10.",
    ]
    assert [(d.kind, d.count) for d in thursday.dropped] == [(SessionKind.STRENGTH, 1)]
    assert thursday.dropped[0].reason.code == "season.dropped_48_h"


def test_what_matters_most_is_kept_when_two_days_are_left() -> None:
    monday = plan_week(WEEK, EVERY_DAY, long_day=SUNDAY)
    saturday = plan_week(WEEK, EVERY_DAY, (), today=day(5), long_day=SUNDAY, previous=monday)
    assert days_with(saturday, SessionKind.CIRCUIT) == [5]
    assert days_with(saturday, SessionKind.LONG) == [6]
    assert {d.kind for d in saturday.dropped} >= {SessionKind.CIRCUIT, SessionKind.STRENGTH}
    assert saturday.short_by_min > 0
    assert "season.week_short" in [reason.code for reason in saturday.reasons]
    said = " ".join(reason.sentence for reason in saturday.moved)
    assert "The circuit missed on Wed 7 is dropped." in said


def test_days_done_as_planned_leave_the_rest_of_the_plan_alone() -> None:
    monday = plan_week(WEEK, EVERY_DAY, long_day=SUNDAY)
    done = done_as_in(monday, 0, 1, 2)
    thursday = plan_week(WEEK, EVERY_DAY, done, today=day(3), long_day=SUNDAY, previous=monday)
    assert [d.sessions for d in thursday.days] == [d.sessions for d in monday.days[3:]]
    assert thursday.moved == ()
    assert thursday.dropped == ()


def test_a_hard_session_yesterday_keeps_today_easy_even_across_the_week_boundary() -> None:
    sunday_before = DoneSession(day(-1), SessionKind.CIRCUIT, 45, 60, 20, WHOLE_BODY, is_hard=True)
    plan = plan_week(WEEK, EVERY_DAY, [sunday_before])
    assert broken_rules(plan, EVERY_DAY, [sunday_before]) == []
    assert days_with(plan, SessionKind.CIRCUIT)[0] == 1
    assert plan.done == ()


def test_minutes_done_beyond_the_limit_leave_no_room_for_more() -> None:
    hike = DoneSession(day(0), SessionKind.EASY, 230, 230)
    plan = plan_week(WEEK, EVERY_DAY, [hike], today=day(1))
    assert plan.moderate_equivalent_min == 0
    assert plan.count(SessionKind.STRENGTH) == 1
    assert [d.reason.code for d in plan.dropped if d.kind is SessionKind.CIRCUIT] == ["season.dropped_ramp"]


def test_a_long_ride_counts_as_the_long_piece() -> None:
    ride = DoneSession(day(0), SessionKind.EASY, 80, 80)
    plan = plan_week(WEEK, EVERY_DAY, [ride], today=day(1))
    assert plan.count(SessionKind.LONG) == 0
    assert SessionKind.LONG not in {d.kind for d in plan.dropped}


def test_a_piece_called_long_that_is_clearly_shorter_leaves_the_long_piece_open() -> None:
    short = DoneSession(day(0), SessionKind.LONG, 40, 40)
    assert plan_week(WEEK, EVERY_DAY, [short], today=day(1)).count(SessionKind.LONG) == 1


def test_sore_muscles_are_left_alone_today_and_tomorrow() -> None:
    plan = plan_week(WEEK, EVERY_DAY, sore={MuscleGroup.LOWER: day(0)})
    assert min(days_with(plan, SessionKind.CIRCUIT)) == 2
    said = [[reason.code for reason in one.reasons] for one in plan.days[:3]]
    assert said[:2] == [["season.day_sore"], ["season.day_sore"]]
    assert "season.day_sore" not in said[2]


def test_muscles_sore_since_yesterday_are_left_alone_for_one_more_day() -> None:
    plan = plan_week(WEEK, EVERY_DAY, sore={MuscleGroup.LOWER: day(-1)})
    assert min(days_with(plan, SessionKind.CIRCUIT)) == 1


def test_a_sore_knee_leaves_upper_body_strength_and_the_circuits() -> None:
    plan = plan_week(WEEK, EVERY_DAY, injuries=[Injury(Joint.KNEE, MONDAY)])
    forms = {s.form for d in plan.days for s in d.sessions if s.kind is SessionKind.STRENGTH}
    assert forms == {Form.UPPER_AND_TRUNK}
    assert plan.count(SessionKind.CIRCUIT) == 2


def test_a_fever_rests_and_comes_back_in_steps() -> None:
    fever = Illness(IllnessKind.FEVER, day(-2), day(0))
    plan = plan_week(WEEK, EVERY_DAY, illnesses=[fever])
    minutes = [d.minutes for d in plan.days]
    assert minutes[0] == 0
    assert max(minutes[1:3]) <= 20
    assert max(minutes[3:5]) <= 30
    assert max(minutes[5:7]) <= 40
    assert plan.count(SessionKind.CIRCUIT) == 0
    assert [d.reason.code for d in plan.dropped if d.kind is SessionKind.CIRCUIT] == [
        "season.dropped_blocked"
    ]
    assert [d.reasons[0].code for d in plan.days] == ["season.day_ill", *["season.day_step"] * 6]


def test_the_eve_of_opening_day_stays_easy() -> None:
    week = replace(WEEK, last_day=day(4), phase=Phase.TAPER, opening_day=day(5))
    plan = plan_week(week, EVERY_DAY, long_day=SUNDAY)
    assert broken_rules(plan, EVERY_DAY) == []
    assert [d.day for d in plan.days][-1] == day(4)
    assert plan.days[-1].reasons[0].code == "season.day_eve"


def test_a_week_that_is_over_drops_everything_and_says_that_no_day_is_left() -> None:
    plan = plan_week(WEEK, EVERY_DAY, today=day(7))
    assert plan.days == ()
    assert {d.reason.code for d in plan.dropped} == {"season.dropped_no_days"}


@pytest.mark.parametrize(
    ("wanted", "available", "dropped", "code"),
    [
        # Circuit and bursts are both hard, circuit and strength train the same muscles, two circuits do both.
        (
            {"circuits": 1, "burst_practices": 1, "bursts": 6},
            (0, 1),
            SessionKind.BURSTS,
            "season.dropped_hard_days",
        ),
        ({"circuits": 1, "strength": 1}, (0, 1), SessionKind.STRENGTH, "season.dropped_48_h"),
        ({"circuits": 2}, (0, 1), SessionKind.CIRCUIT, "season.dropped_minutes"),
        ({"circuits": 2}, (0,), SessionKind.CIRCUIT, "season.dropped_minutes"),
    ],
)
def test_what_is_dropped_names_the_rule_that_lifted_alone_would_let_it_in(
    wanted: dict[str, int], available: tuple[int, ...], dropped: SessionKind, code: str
) -> None:
    nothing = replace(TARGETS, circuits=0, strength=0, mobility=0, long_piece_min=0)
    plan = plan_week(replace(WEEK, targets=replace(nothing, **wanted)), {day(n): 60 for n in available})
    assert [(d.kind, d.reason.code) for d in plan.dropped] == [(dropped, code)]


def test_no_steady_piece_is_as_long_as_the_long_piece() -> None:
    plan = plan_week(WEEK, dict.fromkeys(EVERY_DAY, 120))
    steady = [s.minutes for d in plan.days for s in d.sessions if s.kind is SessionKind.EASY]
    assert steady
    assert max(steady) < TARGETS.long_piece_min


def test_a_day_of_rest_is_left_when_every_day_has_time() -> None:
    ample = Week(
        MONDAY,
        day(6),
        Phase.BUILD,
        is_easier=False,
        targets=replace(TARGETS, moderate_equivalent_min=600),
        base_min=600,
        limit_min=660,
    )
    plan = plan_week(ample, EVERY_DAY)
    active = [d for d in plan.days if any(s.kind is not SessionKind.MOBILITY for s in d.sessions)]
    assert len(active) == 6


def test_the_same_input_gives_the_same_week() -> None:
    assert plan_week(WEEK, EVERY_DAY, long_day=2) == plan_week(WEEK, EVERY_DAY, long_day=2)
