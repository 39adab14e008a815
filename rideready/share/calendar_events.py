"""A placed plan as entries of a calendar, each under a name that stays when its day moves."""

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rideready.model.week import PlannedSession, SessionKind
from rideready.plan.parts import parts_of
from rideready.share.calendar_file import CalendarEvent
from rideready.share.fit_plan import FittedPlan, PlacedWeek
from rideready.share.words import STOP, day_in_words, in_one_line

#: When sessions begin unless the rider says otherwise.
USUAL_START = dt.time(18, 0)


@dataclass(frozen=True, slots=True)
class StartTimes:
    """When sessions begin on working days and at the weekend; None makes them entries of the whole day."""

    workday: dt.time | None = USUAL_START
    weekend: dt.time | None = dt.time(10, 0)

    def on(self, day: dt.date) -> dt.time | None:
        """Return the time of day for a date."""
        return self.weekend if day.weekday() >= 5 else self.workday


def events_of(fitted: FittedPlan, times: StartTimes, *, whose: str = "") -> list[CalendarEvent]:
    """Turn a plan into calendar entries.

    Parameters
    ----------
    fitted
        The plan with its weeks placed. Without a season there is one entry: to see a doctor.
    times
        When sessions begin. Sessions of one day follow each other.
    whose
        Keeps the entries of several riders of one plan apart; it goes into the names of entries as a digest only.

    Returns
    -------
    list of CalendarEvent
        In the order of time, opening window last.
    """
    base = uuid.uuid5(uuid.UUID(fitted.plan.plan_id), whose)
    window = fitted.plan.window
    days = (window.likely - window.earliest).days
    opening = CalendarEvent(
        f"{base}-opening@rideready.invalid",
        window.likely,
        None,
        0,
        "Opening day, most likely",
        f"The snow may come from {day_in_words(window.earliest)} on, {days} days earlier." if days else "",
    )
    if fitted.season is None:
        words = " ".join(reason.sentence for reason in fitted.reasons)
        today = fitted.adopter.season.today
        doctor = CalendarEvent(
            f"{base}-doctor@rideready.invalid", today, None, 0, "See a doctor before you start", words
        )
        return [doctor, opening]
    return [event for week in fitted.weeks for event in _week(week, fitted, times, base)] + [opening]


def cancelled(
    before: Iterable[tuple[str, dt.date]], events: Sequence[CalendarEvent], *, today: dt.date
) -> list[CalendarEvent]:
    """Take back entries that were sent before and are no longer planned; what is past stays as it was.

    Parameters
    ----------
    before
        Name and day of each entry sent before.
    events
        The entries now.
    today
        The first day that can still change.
    """
    kept = {event.uid for event in events}
    return [
        CalendarEvent(uid, day, None, 0, "Not planned any more", is_cancelled=True)
        for uid, day in before
        if uid not in kept and day >= today
    ]


def _week(
    plan: PlacedWeek, fitted: FittedPlan, times: StartTimes, base: uuid.UUID
) -> Iterable[CalendarEvent]:
    """Write entries of one week, named by kind and number so that one that moves keeps its name."""
    # Sessions before today are gone from the plan, so numbers count down to what is left of the week.
    left = Counter(session.kind for day in plan.days for session in day.sessions)
    for day in plan.days:
        start = times.on(day.day)
        for session in day.sessions:
            uid = f"{base}-{plan.week.start:%Y%m%d}-{_slug(session.kind)}-{left[session.kind]}@rideready.invalid"
            left[session.kind] -= 1
            yield CalendarEvent(
                uid,
                day.day,
                start,
                session.minutes,
                f"{session.kind.label.capitalize()}, {session.minutes} min",
                _description(session, plan, fitted),
            )
            if start is not None:
                start = _later(start, session.minutes)


def _description(session: PlannedSession, plan: PlacedWeek, fitted: FittedPlan) -> str:
    said = [in_one_line(parts_of(session, plan.week.targets, fitted.adopter.rider))]
    if session.kind is SessionKind.CIRCUIT:
        said += [
            f"Circuit {number}: {', '.join(one.circuit.names)}, {one.circuit.top_count} reps down to 1."
            for number, one in enumerate(fitted.circuits, start=1)
            if one.circuit is not None
        ]
    if session.is_hard:
        said.append(STOP)
    return "\n".join(said)


def _later(start: dt.time, minutes: int) -> dt.time | None:
    """Add minutes to a time of day; None past midnight."""
    moment = dt.datetime.combine(dt.date(2000, 1, 1), start) + dt.timedelta(minutes=minutes)
    return moment.time() if moment.day == 1 else None


def _slug(kind: SessionKind) -> str:
    return kind.value.replace(" ", "-")
