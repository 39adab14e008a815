"""One day's answer: session, minutes, pulse numbers, whether a circuit is due, why, and what 20 minutes can do."""

import datetime as dt

from rideready.model.condition import Clearance, Illness, IllnessKind
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.season import Season, Week
from rideready.model.today import CircuitDue, SessionPart, TodayAnswer
from rideready.model.week import DayPlan, MuscleGroup, PlannedSession, SessionKind, WeekPlan
from rideready.plan.conditions import STEP_DAYS, STEP_MOST_MIN, Step, allowance_on, assumed_end
from rideready.plan.parts import parts_of, short_parts_of, way_back_part
from rideready.plan.wishes import wanted_counts

_COUNTED = {
    SessionKind.CIRCUIT: "season.why_circuit",
    SessionKind.BURSTS: "season.why_bursts",
    SessionKind.STRENGTH: "season.why_strength",
}


def today(season: Season, plan: WeekPlan, rider: Rider) -> TodayAnswer:
    """Answer what to do on the day the season was planned for.

    Parameters
    ----------
    season
        The season; its request says which day it is and what holds the rider back.
    plan
        The week of that day, placed on its days from that day on.
    rider
        Whose pulse numbers.

    Returns
    -------
    TodayAnswer
        One answer. Pulse numbers are left out where pulse is no guide for the rider; RPE and talk test
        stand beside them always. That a circuit is due is said, and what it has to fit; which exercises
        is for the circuit to choose.

    Raises
    ------
    ValueError
        If the plan is not of the season's present week.
    """
    request = season.request
    day, week = request.today, season.weeks[0]
    if plan.week.start != week.start:
        raise ValueError(f"the plan is of the week of {plan.week.start}, today is in that of {week.start}")
    placed = plan.on(day) or DayPlan(day, 0)
    step = allowance_on(day, request.illnesses, day).step
    is_bounded = step is not Step.FREE
    is_done = not placed.sessions and any(session.day == day for session in plan.done)
    parts = tuple(
        part for session in placed.sessions for part in _parts(session, week, rider, is_bounded=is_bounded)
    )
    return TodayAnswer(
        day,
        week,
        placed.sessions,
        placed.minutes,
        parts,
        _circuit_due(season, placed, plan),
        () if step is Step.ILL or is_done else _short(placed, week, rider, is_bounded=is_bounded),
        (*_why(season, placed, plan, is_done=is_done), *placed.reasons, *plan.moved),
        season.statements,
        _cautions(season, placed),
    )


def _parts(session: PlannedSession, week: Week, rider: Rider, *, is_bounded: bool) -> tuple[SessionPart, ...]:
    """Split a session; on the way back from an illness steady work is easy work."""
    if is_bounded and session.kind in {SessionKind.EASY, SessionKind.LONG}:
        return (way_back_part(session.minutes, rider),)
    return parts_of(session, week.targets, rider)


def _short(placed: DayPlan, week: Week, rider: Rider, *, is_bounded: bool) -> tuple[SessionPart, ...]:
    """Say what to do with 20 minutes."""
    if is_bounded and placed.sessions:
        first = placed.sessions[0]
        return (way_back_part(min(first.minutes, STEP_MOST_MIN[0]), rider),)
    return short_parts_of(placed.sessions, week.targets, rider)


def _circuit_due(season: Season, placed: DayPlan, plan: WeekPlan) -> CircuitDue | None:
    """Say what a circuit of today has to fit; None if none is due."""
    due = next((s for s in placed.sessions if s.kind is SessionKind.CIRCUIT), None)
    if due is None:
        return None
    request = season.request
    lead_in = due.moderate_equivalent_min - 2 * due.vigorous_min
    yesterday = request.today - dt.timedelta(days=1)
    at_rest: frozenset[MuscleGroup] = frozenset().union(
        *(session.groups for session in plan.done if session.day >= yesterday)
    )
    return CircuitDue(
        due.minutes - lead_in,
        lead_in,
        request.level,
        frozenset(injury.joint for injury in request.injuries),
        at_rest,
    )


def _why(season: Season, placed: DayPlan, plan: WeekPlan, *, is_done: bool) -> tuple[Reason, ...]:
    """Say why the day is what it is."""
    if not placed.sessions:
        if placed.day == season.request.window.likely:
            return (because("season.why_opening"),)
        if is_done:
            return (because("season.why_done"),)
        return () if placed.reasons else (because("season.why_rest"),)
    return tuple(_why_session(session, plan) for session in placed.sessions)


def _why_session(session: PlannedSession, plan: WeekPlan) -> Reason:
    """Say why one session is in the day."""
    targets = plan.week.targets
    if session.kind in _COUNTED:
        number = 1 + sum(done.kind is session.kind for done in plan.done)
        wanted = max(wanted_counts(targets)[session.kind], number)
        return because(_COUNTED[session.kind], number=number, wanted=wanted)
    if session.kind is SessionKind.EASY:
        done = sum(s.moderate_equivalent_min for s in plan.done)
        left = max(round(targets.moderate_equivalent_min - done), 0)
        return because("season.why_easy", left=left, target=targets.moderate_equivalent_min)
    return because("season.why_long" if session.kind is SessionKind.LONG else "season.why_mobility")


def _cautions(season: Season, placed: DayPlan) -> tuple[Reason, ...]:
    """Say what to beware of today."""
    request, said = season.request, []
    if request.clearance is Clearance.ASK_FIRST:
        said.append(because("season.ask_first"))
    if any(_is_recent_fever(illness, request.today) for illness in request.illnesses):
        said.append(because("season.fever"))
    if any(session.is_hard or session.kind is SessionKind.STRENGTH for session in placed.sessions):
        said.append(because("season.caution_alone"))
    return (*said, because("season.caution_stop"))


def _is_recent_fever(illness: Illness, day: dt.date) -> bool:
    """Whether a fever lasts or its way back is not over."""
    if illness.kind is not IllnessKind.FEVER or illness.first_day > day:
        return False
    return (day - assumed_end(illness, day)).days <= STEP_DAYS * len(STEP_MOST_MIN)
