"""Today's answer: session, minutes, pulse numbers, circuit, why, and what 20 minutes can do."""

import datetime as dt
from dataclasses import replace

import pytest

from rideready.model.condition import Illness, IllnessKind, Injury
from rideready.model.exercise import Joint, Level
from rideready.model.rider import Rider
from rideready.model.season import OpeningWindow, SeasonRequest, WeekDone
from rideready.model.today import TodayAnswer
from rideready.model.week import DoneSession, SessionKind
from rideready.plan.season import plan_season
from rideready.plan.today import today
from rideready.plan.week import week_at_hand

WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))
MONDAY = dt.date(2026, 9, 21)
PAST = tuple(WeekDone(MONDAY - dt.timedelta(weeks=n), 200, 40, 2, 1, 2, 0, 50) for n in range(4, 0, -1))
# Karvonen et al. 1957: with a maximum of 200 and a rest of 60, 60 % of the reserve is 144 bpm.
KARVONEN = Rider(max_hr_bpm=200, resting_hr_bpm=60)
REQUEST = SeasonRequest(WINDOW, MONDAY, PAST, level=Level.ADVANCED, began=MONDAY, long_day=6)


def answer(request: SeasonRequest = REQUEST, rider: Rider = KARVONEN, *done: DoneSession) -> TodayAnswer:
    """Plan season, week and day."""
    season = plan_season(request)
    return today(season, week_at_hand(season, done), rider)


def on(number: int, **more: object) -> SeasonRequest:
    """Ask on a day of the week, Monday 0."""
    return replace(REQUEST, today=MONDAY + dt.timedelta(days=number), **more)  # type: ignore[arg-type]


def test_a_circuit_day_says_that_a_circuit_is_due_and_what_it_has_to_fit() -> None:
    said = answer()
    assert said.circuit is not None
    assert said.circuit.level is Level.ADVANCED
    assert said.circuit.minutes + said.circuit.lead_in_min == said.sessions[0].minutes
    assert said.why[0].sentence.startswith("Circuit 1 of 2 this week")


def test_pulse_numbers_are_this_riders_own() -> None:
    lead_in, circuit, _ = answer().parts[:3]
    assert lead_in.effort is not None
    assert circuit.effort is not None
    # Moderate is 40 to 59 % of the reserve, vigorous 60 to 89 % (Garber et al. 2011): 116 to 143, 144 to 185.
    assert (lead_in.effort.low_bpm, lead_in.effort.high_bpm) == (116, 143)
    assert (circuit.effort.low_bpm, circuit.effort.high_bpm) == (144, 185)
    assert "below 144 bpm" in circuit.how.sentence


@pytest.mark.parametrize(
    ("rider", "code"),
    [
        (Rider(max_hr_bpm=200, resting_hr_bpm=60, takes_heart_rate_medicine=True), "season.effort_medicine"),
        (Rider(), "season.effort_no_numbers"),
    ],
)
def test_without_a_pulse_to_go_by_effort_and_talk_stand_alone(rider: Rider, code: str) -> None:
    circuit = answer(rider=rider).parts[1]
    assert circuit.effort is not None
    assert (circuit.effort.low_bpm, circuit.effort.high_bpm) == (None, None)
    assert (circuit.effort.rpe_low, circuit.effort.rpe_high) == (5, 7)
    assert circuit.effort.talk.sentence.startswith("You can say a few words")
    assert circuit.effort.basis.code == code
    assert "bpm" not in circuit.how.sentence


@pytest.mark.parametrize(
    ("rider", "code"),
    [
        (Rider(age_years=40, resting_hr_bpm=60), "season.effort_predicted"),
        (Rider(max_hr_bpm=190), "season.effort_of_maximum"),
        (KARVONEN, "season.effort_of_reserve"),
    ],
)
def test_the_numbers_say_what_they_rest_on(rider: Rider, code: str) -> None:
    effort = answer(rider=rider).parts[0].effort
    assert effort is not None
    assert effort.basis.code == code
    assert effort.low_bpm is not None


def test_the_parts_add_up_to_the_minutes() -> None:
    for number in range(7):
        said = answer(on(number))
        assert sum(part.minutes for part in said.parts) == said.minutes


@pytest.mark.parametrize("number", range(7))
def test_20_minutes_are_always_enough_for_something(number: int) -> None:
    short = answer(on(number)).if_only_20_min
    assert 0 < sum(part.minutes for part in short) <= 20


def test_20_minutes_of_a_circuit_day_keep_the_circuit() -> None:
    assert [part.what for part in answer().if_only_20_min] == [
        "steady work leading in",
        "circuit",
        "cool-down",
    ]


def test_a_burst_day_names_bursts_that_end_at_85_to_90_percent_of_maximum() -> None:
    november = dt.date(2026, 11, 16)
    past = tuple(WeekDone(november - dt.timedelta(weeks=n), 200, 40, 2, 1, 2, 0, 50) for n in range(4, 0, -1))
    said = answer(replace(REQUEST, today=november, history=past))
    bursts = next(part for part in said.parts if "bursts" in part.what)
    assert bursts.effort is not None
    # Lamberts, Lambert 2009, J Strength Cond Res 23: 85 to 90 % of 200.
    assert (bursts.effort.low_bpm, bursts.effort.high_bpm) == (170, 180)
    assert said.circuit is None


def test_a_day_that_is_done_owes_nothing() -> None:
    first = week_at_hand(plan_season(REQUEST)).days[0]
    done = [DoneSession.as_planned(first.day, session) for session in first.sessions]
    said = answer(REQUEST, KARVONEN, *done)
    assert SessionKind.CIRCUIT not in {session.kind for session in said.sessions}
    assert said.circuit is None
    if not said.sessions:
        assert [reason.code for reason in said.why] == ["season.why_done"]
        assert said.if_only_20_min == ()


def test_with_a_fever_there_is_nothing_to_do_and_the_doctor_line_stands() -> None:
    said = answer(on(2, illnesses=(Illness(IllnessKind.FEVER, MONDAY),)))
    assert said.sessions == ()
    assert said.if_only_20_min == ()
    assert "season.day_ill" in [reason.code for reason in said.why]
    assert "See a doctor before any hard training" in " ".join(r.sentence for r in said.cautions)


def test_on_the_way_back_steady_work_is_easy_work() -> None:
    said = answer(on(2, illnesses=(Illness(IllnessKind.FEVER, MONDAY, MONDAY + dt.timedelta(days=1)),)))
    easy = [part for part in said.parts if part.effort is not None]
    assert all(part.minutes <= 20 for part in easy)
    # Light is 30 to 39 % of the reserve: 102 to 115 bpm.
    assert {(part.effort.low_bpm, part.effort.high_bpm) for part in easy if part.effort} <= {(102, 115)}


def test_a_sore_joint_is_handed_on_to_the_circuit() -> None:
    sore = [answer(on(n, injuries=(Injury(Joint.SHOULDER, MONDAY),))).circuit for n in range(3)]
    due = [circuit for circuit in sore if circuit is not None]
    assert due
    assert {circuit.avoid_joints for circuit in due} == {frozenset({Joint.SHOULDER})}


def test_stop_signs_are_always_there() -> None:
    assert answer().cautions[-1].code == "season.caution_stop"


def test_the_answer_says_how_the_season_stands() -> None:
    assert answer().on_course[0].code == "season.floor_in_time"


def test_opening_day_has_nothing_to_train() -> None:
    said = answer(replace(REQUEST, window=OpeningWindow(MONDAY, MONDAY)))
    assert said.sessions == ()
    assert said.why[0].code == "season.why_opening"


def test_a_plan_of_another_week_is_refused() -> None:
    season = plan_season(REQUEST)
    with pytest.raises(ValueError, match="the plan is of the week of"):
        today(plan_season(on(7)), week_at_hand(season), KARVONEN)
