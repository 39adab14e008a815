"""The rules of a week, written a second time and independently of the programme, for the tests."""

import datetime as dt
from collections.abc import Mapping, Sequence

from rideready.model.week import DayPlan, DoneSession, MuscleGroup, SessionKind, WeekPlan

MAIN = frozenset({SessionKind.CIRCUIT, SessionKind.BURSTS, SessionKind.LONG, SessionKind.EASY})
ONE_A_DAY = (MAIN, frozenset({SessionKind.STRENGTH}), frozenset({SessionKind.MOBILITY}))
NOT_ON_THE_EVE = frozenset({SessionKind.CIRCUIT, SessionKind.BURSTS, SessionKind.LONG, SessionKind.STRENGTH})
DAY = dt.timedelta(days=1)


def broken_rules(
    plan: WeekPlan, availability: Mapping[dt.date, int], done: Sequence[DoneSession] = ()
) -> list[str]:
    """Name every hard rule that a week's plan breaks."""
    return [
        *_side_by_side(plan, done),
        *_within_48_h(plan, done),
        *(broken for day in plan.days for broken in _on_one_day(plan, day, availability, done)),
        *_in_the_week(plan, done),
    ]


def _side_by_side(plan: WeekPlan, done: Sequence[DoneSession]) -> list[str]:
    planned = {day.day for day in plan.days if any(s.is_hard for s in day.sessions)}
    hard = planned | {s.day for s in done if s.is_hard}
    twice = planned & {s.day for s in done if s.is_hard}
    return [f"hard on {day} and the day beside it" for day in planned if {day - DAY, day + DAY} & hard] + [
        f"hard twice on {day}" for day in twice
    ]


def _within_48_h(plan: WeekPlan, done: Sequence[DoneSession]) -> list[str]:
    broken = []
    for group in MuscleGroup:
        planned = [day.day for day in plan.days for s in day.sessions if group in s.groups]
        trained = planned + [s.day for s in done if group in s.groups]
        broken += [
            f"{group} twice within 48 h of {day}"
            for day in planned
            if sum(abs((day - other).days) < 2 for other in trained) > 1
        ]
    return broken


def _on_one_day(
    plan: WeekPlan, day: DayPlan, availability: Mapping[dt.date, int], done: Sequence[DoneSession]
) -> list[str]:
    broken = []
    here = [s for s in done if s.day == day.day]
    if day.minutes > max(availability.get(day.day, 0) - sum(s.minutes for s in here), 0):
        broken.append(f"{day.day} has more minutes than it holds")
    kinds = [s.kind for s in day.sessions]
    for sort in ONE_A_DAY:
        new = sum(kind in sort for kind in kinds)
        if new and new + sum(s.kind in sort for s in here) > 1:
            broken.append(f"{day.day} has two of {sorted(sort)}")
    if plan.week.opening_day == day.day + DAY and NOT_ON_THE_EVE & set(kinds):
        broken.append("the eve of opening day is not easy")
    return broken


def _in_the_week(plan: WeekPlan, done: Sequence[DoneSession]) -> list[str]:
    broken = []
    in_week = [s for s in done if 0 <= (s.day - plan.week.start).days < 7]
    active = {s.day for s in in_week if s.kind is not SessionKind.MOBILITY}
    new = {day.day for day in plan.days if any(s.kind is not SessionKind.MOBILITY for s in day.sessions)}
    if new - active and len(new | active) > 6:
        broken.append("no day of rest")
    planned = plan.moderate_equivalent_min
    total = planned + sum(s.moderate_equivalent_min for s in in_week)
    if planned and total > plan.week.limit_min + 1e-6:
        broken.append(f"{total} min go beyond the limit of {plan.week.limit_min}")
    targets = plan.week.targets
    wanted = {
        SessionKind.CIRCUIT: targets.circuits,
        SessionKind.BURSTS: targets.burst_practices,
        SessionKind.STRENGTH: targets.strength,
        SessionKind.MOBILITY: targets.mobility,
    }
    for kind, most in wanted.items():
        count = plan.count(kind)
        if count and count + sum(s.kind is kind for s in in_week) > most:
            broken.append(f"more of {kind} than wanted")
    steady = [s.minutes for s in in_week if s.kind in {SessionKind.LONG, SessionKind.EASY}]
    if plan.count(SessionKind.LONG) > int(max(steady, default=0) < 0.9 * targets.long_piece_min):
        broken.append("a second long piece")
    return broken
