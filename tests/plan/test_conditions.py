"""What illness, injury and days away allow; the steps are common practice, no source for their numbers."""

import datetime as dt

import pytest

from rideready.errors import BadInput
from rideready.model.condition import Away, Illness, IllnessKind, Injury
from rideready.model.exercise import Joint
from rideready.model.week import Form, SessionKind
from rideready.plan.conditions import (
    Step,
    allowance_on,
    allows_bursts,
    assumed_end,
    injuries_in_week,
    is_away,
    strength_forms_left,
)

FIRST = dt.date(2026, 10, 6)
LAST = dt.date(2026, 10, 8)
FEVER = Illness(IllnessKind.FEVER, FIRST, LAST)


def steps(illness: Illness, first: dt.date, days: int) -> list[Step]:
    """List the steps of some days in a row."""
    return [allowance_on(first + dt.timedelta(days=n), [illness], first).step for n in range(days)]


def test_after_a_fever_come_three_steps_of_two_easy_days_each() -> None:
    expected = [Step.FREE, *[Step.ILL] * 3]
    expected += [Step.FIRST] * 2 + [Step.SECOND] * 2 + [Step.THIRD] * 2 + [Step.FREE]
    assert steps(FEVER, FIRST - dt.timedelta(days=1), 11) == expected


def test_nothing_hard_is_allowed_before_the_steps_are_over() -> None:
    days = [LAST + dt.timedelta(days=n) for n in range(7)]
    for day in days:
        allowed = allowance_on(day, [FEVER], FIRST)
        assert {SessionKind.CIRCUIT, SessionKind.BURSTS} <= allowed.blocked
    assert allowance_on(LAST + dt.timedelta(days=7), [FEVER], FIRST).blocked == frozenset()


def test_the_steps_allow_20_30_and_40_minutes() -> None:
    most = [allowance_on(LAST + dt.timedelta(days=n), [FEVER], FIRST).most_min for n in range(8)]
    assert most == [0, 20, 20, 30, 30, 40, 40, None]


def test_a_cold_allows_easy_work_and_is_over_when_it_is_over() -> None:
    cold = Illness(IllnessKind.COLD, FIRST, LAST)
    assert steps(cold, FIRST, 4) == [Step.COLD] * 3 + [Step.FREE]
    assert SessionKind.CIRCUIT in allowance_on(FIRST, [cold], FIRST).blocked
    assert SessionKind.EASY not in allowance_on(FIRST, [cold], FIRST).blocked


def test_an_illness_without_an_end_lasts_to_the_end_of_the_week_for_planning() -> None:
    lasting = Illness(IllnessKind.FEVER, FIRST)
    assert assumed_end(lasting, FIRST) == dt.date(2026, 10, 11)
    assert assumed_end(lasting, dt.date(2026, 10, 14)) == dt.date(2026, 10, 18)


def test_of_two_illnesses_the_stricter_holds() -> None:
    cold = Illness(IllnessKind.COLD, FIRST, LAST)
    assert allowance_on(LAST, [cold, FEVER], FIRST).step is Step.ILL


@pytest.mark.parametrize(
    ("joints", "forms", "bursts"),
    [
        ((), frozenset(Form), True),
        ((Joint.KNEE,), {Form.UPPER_AND_TRUNK}, False),
        ((Joint.SHOULDER,), {Form.LEGS}, True),
        ((Joint.KNEE, Joint.WRIST), frozenset(), False),
        ((Joint.LOW_BACK,), frozenset(), False),
    ],
)
def test_a_sore_joint_leaves_the_strength_work_that_spares_it(
    joints: tuple[Joint, ...],
    forms: frozenset[Form],
    bursts: bool,  # noqa: FBT001 - an expected value
) -> None:
    injuries = [Injury(joint, FIRST) for joint in joints]
    assert strength_forms_left(injuries) == forms
    assert allows_bursts(injuries) is bursts


@pytest.mark.parametrize("joint", list(Joint))
def test_every_joint_of_the_exercises_has_its_rule(joint: Joint) -> None:
    assert strength_forms_left([Injury(joint, FIRST)]) < frozenset(Form)


def test_an_injury_tag_is_planned_with_for_this_week_and_the_next() -> None:
    injury = Injury(Joint.KNEE, dt.date(2026, 10, 1))
    mondays = [dt.date(2026, 10, 5) + dt.timedelta(weeks=n) for n in range(3)]
    assert [bool(injuries_in_week([injury], monday, FIRST)) for monday in mondays] == [True, True, False]


def test_days_away_are_those_between_both_ends() -> None:
    away = [Away(FIRST, LAST)]
    days = [FIRST - dt.timedelta(days=1), FIRST, LAST, LAST + dt.timedelta(days=1)]
    assert [is_away(day, away) for day in days] == [False, True, True, False]


def test_an_illness_or_days_away_that_end_before_they_begin_are_refused() -> None:
    with pytest.raises(BadInput, match="before it begins"):
        Illness(IllnessKind.COLD, LAST, FIRST)
    with pytest.raises(BadInput, match="before they begin"):
        Away(LAST, FIRST)
