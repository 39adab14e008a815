"""What of a week did not fit and which rule kept it out; and where missed sessions went."""

import datetime as dt
from collections import Counter
from collections.abc import Sequence

from rideready.model.reason import Reason, because
from rideready.model.week import DayPlan, DoneSession, Dropped, SessionKind, WeekPlan
from rideready.plan.calendar_weeks import weekday_in_words
from rideready.plan.programme import MOST_ACTIVE_DAYS, Placement, Programme, Rule
from rideready.plan.solve import solve

# In the order in which a rider would ask about them; the first that, lifted alone, lets a session in is named.
_ASKED = (
    (Rule.BLOCKED, "season.dropped_blocked"),
    (Rule.RAMP, "season.dropped_ramp"),
    (Rule.HARD_DAYS, "season.dropped_hard_days"),
    (Rule.REST_48_H, "season.dropped_48_h"),
    (Rule.MINUTES, "season.dropped_minutes"),
    (Rule.ONE_A_DAY, "season.dropped_one_a_day"),
    (Rule.REST_DAY, "season.dropped_rest_day"),
)


def _counts(placement: Placement) -> Counter[SessionKind]:
    return Counter(session.kind for sessions in placement.sessions for session in sessions)


def dropped_from(programme: Programme, placement: Placement) -> tuple[Dropped, ...]:
    """Say which wanted sessions did not fit, each kind with the rule that keeps it out.

    Parameters
    ----------
    programme
        The week.
    placement
        Its best placement.

    Returns
    -------
    tuple of Dropped
        Found out by solving the week again with one rule lifted at a time. Where no single rule would do,
        the days left are too few.
    """
    placed = _counts(placement)
    missing = {
        kind: len(worths) - placed[kind]
        for kind, worths in programme.wanted.worths.items()
        if len(worths) > placed[kind]
    }
    why: dict[SessionKind, str] = {}
    if not programme.days:
        why = dict.fromkeys(missing, "season.dropped_no_days")
    for rule, code in _ASKED:
        if len(why) == len(missing):
            break
        if not _is_in_play(rule, programme, placement):
            continue
        freed = _counts(solve(programme, without=frozenset({rule})))
        for kind in missing:
            if kind not in why and freed[kind] > placed[kind]:
                why[kind] = code
    return tuple(
        Dropped(kind, count, because(why.get(kind, "season.dropped_too_few_days"), kind=kind.label))
        for kind, count in missing.items()
    )


def _is_in_play(rule: Rule, programme: Programme, placement: Placement) -> bool:
    """Whether lifting a rule can change anything; saves solving again where it cannot."""
    rooms = programme.days
    if rule is Rule.BLOCKED:
        return any(room.blocked or room.spared for room in rooms)
    if rule is Rule.RAMP:
        placed = sum(s.moderate_equivalent_min for sessions in placement.sessions for s in sessions)
        least = min(
            (o.session.moderate_equivalent_min for o in programme.offers if o.session.is_hard), default=0
        )
        return placed + least > programme.wanted.most_min
    if rule is Rule.REST_DAY:
        return programme.active_days_before + len(rooms) > MOST_ACTIVE_DAYS
    return True


def moved_from(
    previous: WeekPlan,
    days: Sequence[DayPlan],
    dropped: Sequence[Dropped],
    done: Sequence[DoneSession],
    today: dt.date,
) -> tuple[Reason, ...]:
    """Say where each session went that the plan before had placed on a day now past, and that was not done.

    Parameters
    ----------
    previous
        The plan before.
    days, dropped
        The plan now.
    done
        The week's sessions that were done.
    today
        Days before it are past.

    Returns
    -------
    tuple of Reason
        One for each missed session: moved to a day, or dropped. Steady pieces go by their minutes and
        mobility is not worth a sentence.
    """
    told = (SessionKind.CIRCUIT, SessionKind.BURSTS, SessionKind.STRENGTH, SessionKind.LONG)
    said = []
    gone = {item.kind: item.reason for item in dropped}
    for kind in told:
        planned = [plan.day for plan in previous.days if _has(plan, kind)]
        was_done = sum(s.kind is kind and s.day >= previous.days[0].day for s in done)
        missed = [day for day in planned if day < today][was_done:]
        before = {day for day in planned if day >= today}
        new_days = [plan.day for plan in days if _has(plan, kind) and plan.day not in before]
        kept = sum(_has(plan, kind) for plan in days) - len(before)
        for n, day in enumerate(missed):
            words = {"kind": kind.label, "day": weekday_in_words(day)}
            if n < kept and n < len(new_days):
                said.append(because("season.missed_moved", to_day=weekday_in_words(new_days[n]), **words))
            elif kind in gone:
                said.append(because("season.missed_dropped", why=gone[kind].sentence, **words))
    return tuple(said)


def _has(plan: DayPlan, kind: SessionKind) -> bool:
    return any(session.kind is kind for session in plan.sessions)
