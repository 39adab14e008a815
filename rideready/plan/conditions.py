"""What illness, injury and days away allow on a day, and in a week."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

from rideready.model.condition import Away, Illness, IllnessKind, Injury
from rideready.model.exercise import Joint
from rideready.model.week import Form, SessionKind
from rideready.plan.calendar_weeks import monday_of

# After a fever, three steps of two easy days each before anything hard. Common practice, no source for the
# numbers; that training hard with or right after a fever risks the heart muscle is the reason for it.
STEP_DAYS = 2
STEP_MOST_MIN = (20, 30, 40)
#: With a cold above the neck and no fever, easy work only, this long at most. Common practice ("neck check").
COLD_MOST_MIN = 30
#: An injury tag is planned with for the week it is in and the next one; the rider takes it away sooner or keeps it.
INJURY_WEEKS = 2

_HARD = frozenset({SessionKind.CIRCUIT, SessionKind.BURSTS})
_EVERYTHING = frozenset(SessionKind)

# Which strength forms a sore joint leaves. A circuit is kept: its exercises are chosen around the joint.
_FORMS_LEFT = {
    Joint.KNEE: frozenset({Form.UPPER_AND_TRUNK}),
    Joint.SHOULDER: frozenset({Form.LEGS}),
    Joint.WRIST: frozenset({Form.LEGS}),
    Joint.NECK: frozenset({Form.LEGS}),
    Joint.LOW_BACK: frozenset[Form](),
}
_JOINTS_WITHOUT_BURSTS = frozenset({Joint.KNEE, Joint.LOW_BACK})


class Step(IntEnum):
    """What a day allows: nothing with a fever, then three steps back, then everything."""

    ILL = 0
    FIRST = 1
    SECOND = 2
    THIRD = 3
    COLD = 4
    FREE = 5


@dataclass(frozen=True, slots=True)
class Allowance:
    """What a day allows.

    Parameters
    ----------
    step
        Where the rider stands on the way back.
    most_min
        The most minutes; None for no bound.
    blocked
        Kinds of session that must not be done.
    """

    step: Step
    most_min: int | None
    blocked: frozenset[SessionKind]


_ALLOWANCES = {
    Step.ILL: Allowance(Step.ILL, 0, _EVERYTHING),
    Step.FIRST: Allowance(Step.FIRST, STEP_MOST_MIN[0], _HARD | {SessionKind.STRENGTH, SessionKind.LONG}),
    Step.SECOND: Allowance(Step.SECOND, STEP_MOST_MIN[1], _HARD | {SessionKind.STRENGTH, SessionKind.LONG}),
    Step.THIRD: Allowance(Step.THIRD, STEP_MOST_MIN[2], _HARD),
    Step.COLD: Allowance(Step.COLD, COLD_MOST_MIN, _HARD | {SessionKind.STRENGTH, SessionKind.LONG}),
    Step.FREE: Allowance(Step.FREE, None, frozenset()),
}


def assumed_end(illness: Illness, today: dt.date) -> dt.date:
    """Say when an illness ends for planning: as told, else the Sunday of this week."""
    if illness.last_day is not None:
        return illness.last_day
    return max(monday_of(today) + dt.timedelta(days=6), illness.first_day)


def allowance_on(day: dt.date, illnesses: Sequence[Illness], today: dt.date) -> Allowance:
    """Say what a day allows; of several illnesses, the strictest holds.

    Parameters
    ----------
    day
        The day in question.
    illnesses
        Past and present.
    today
        The day of planning; an illness without an end is taken to last to the end of its week.

    Returns
    -------
    Allowance
        The step, its minutes and what is blocked.

    References
    ----------
    Common practice, no source.
    """
    if not illnesses:
        return _ALLOWANCES[Step.FREE]
    steps = [_step_of(day, illness, today) for illness in illnesses]
    order = (Step.ILL, Step.FIRST, Step.COLD, Step.SECOND, Step.THIRD, Step.FREE)
    return _ALLOWANCES[min(steps, key=order.index)]


def _step_of(day: dt.date, illness: Illness, today: dt.date) -> Step:
    """Where one illness leaves the rider on a day."""
    end = assumed_end(illness, today)
    if day < illness.first_day:
        return Step.FREE
    if illness.kind is IllnessKind.COLD:
        return Step.COLD if day <= end else Step.FREE
    if day <= end:
        return Step.ILL
    step = (day - end - dt.timedelta(days=1)).days // STEP_DAYS
    return (Step.FIRST, Step.SECOND, Step.THIRD)[step] if step < len(STEP_MOST_MIN) else Step.FREE


def is_away(day: dt.date, away: Sequence[Away]) -> bool:
    """Say whether a day is among those announced as without training."""
    return any(stretch.first <= day <= stretch.last for stretch in away)


def injuries_in_week(injuries: Sequence[Injury], start: dt.date, today: dt.date) -> tuple[Injury, ...]:
    """Say which injury tags are planned with in a week: today's, in this week and the next."""
    last = monday_of(today) + dt.timedelta(weeks=INJURY_WEEKS)
    return tuple(i for i in injuries if start < last and i.since <= start + dt.timedelta(days=6))


def strength_forms_left(injuries: Sequence[Injury]) -> frozenset[Form]:
    """Say which forms of a strength session the sore joints leave."""
    forms = frozenset(Form)
    for injury in injuries:
        forms &= _FORMS_LEFT[injury.joint]
    return forms


def allows_bursts(injuries: Sequence[Injury]) -> bool:
    """Say whether all-out bursts are left in; a sore knee or low back takes them out."""
    return all(injury.joint not in _JOINTS_WITHOUT_BURSTS for injury in injuries)
