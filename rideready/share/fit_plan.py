"""A plan of somebody else, worked out again for one rider."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from rideready.model.circuit import CircuitRequest, Start
from rideready.model.condition import Clearance
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.season import Season, SeasonRequest, Week
from rideready.model.week import DayPlan, DoneSession, PlannedSession, SessionKind
from rideready.plan.calendar_weeks import in_words
from rideready.plan.season import plan_season
from rideready.plan.week import place_sessions, usual_availability
from rideready.share.fit_circuit import FittedCircuit, fit_circuit
from rideready.share.plan_file import PlanFile

#: The most circuits of a plan that are worked out.
MOST_CIRCUITS = 3
#: Weeks on whose days circuits are placed.
_WEEKS_OF_CIRCUITS = 2
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class Adopter:
    """Whom a plan is worked out for.

    Parameters
    ----------
    season
        What the rider's season is planned from; its window is that of the plan.
    circuit
        What a circuit has to fit: equipment, level, joints to spare, log. Its rider's numbers give the pulse.
    name
        As the rider wants to be called; may be empty.
    done
        Sessions done in the week of today, and on the day before it.
    """

    season: SeasonRequest
    circuit: CircuitRequest
    name: str = ""
    done: tuple[DoneSession, ...] = ()

    @property
    def rider(self) -> Rider:
        """Whose pulse numbers."""
        return self.circuit.rider


@dataclass(frozen=True, slots=True)
class PlacedWeek:
    """A week and its days from today on, with what is to be done on each."""

    week: Week
    days: tuple[DayPlan, ...]


@dataclass(frozen=True, slots=True)
class FittedPlan:
    """A plan as one rider follows it.

    Parameters
    ----------
    plan
        As it was given.
    adopter
        Whom it was worked out for.
    season
        The weeks; None until a doctor was asked.
    weeks
        The weeks placed on days, from this one on; as many as were asked for.
    circuits
        The plan's circuits as this rider can do them.
    reasons
        How it was scaled.
    """

    plan: PlanFile
    adopter: Adopter
    season: Season | None
    weeks: tuple[PlacedWeek, ...]
    circuits: tuple[FittedCircuit, ...]
    reasons: tuple[Reason, ...]

    @property
    def changes(self) -> tuple[Reason, ...]:
        """What was replaced in its circuits, each thing once."""
        said = [reason for fitted in self.circuits for reason in fitted.changes]
        return tuple(dict.fromkeys(said))


def fit_plan(plan: PlanFile, adopter: Adopter, *, weeks: int | None = None) -> FittedPlan:
    """Work a plan out again for one rider.

    Opening window and circuits are the plan's; the minutes of every week come from the rider's own ramp, so that a
    beginner does not inherit a volume; days, equipment and level are the rider's own.

    Parameters
    ----------
    plan
        The plan.
    adopter
        Whose.
    weeks
        How many weeks are placed on days; None for all.

    Returns
    -------
    FittedPlan
        Without weeks and circuits where a doctor is to be asked first.

    Raises
    ------
    BadInput, Infeasible
        As `plan_season`: the window is past, or no day has 20 minutes.
    """
    request = replace(adopter.season, window=plan.window)
    if request.clearance is Clearance.ASK_FIRST:
        return FittedPlan(plan, adopter, None, (), (), (because("share.ask_first"),))
    season, placed = _season_and_weeks(request, weeks, adopter.done)
    circuits = _circuits(plan, adopter, placed)
    return FittedPlan(plan, adopter, season, placed, circuits, _scaling(plan, season))


@lru_cache(maxsize=256)  # in a group many train on the same days
def _season_and_weeks(
    request: SeasonRequest, weeks: int | None, done: tuple[DoneSession, ...]
) -> tuple[Season, tuple[PlacedWeek, ...]]:
    season = plan_season(request)
    return season, place_weeks(season, count=weeks, done=done)


def place_weeks(
    season: Season, *, count: int | None = None, done: Sequence[DoneSession] = ()
) -> tuple[PlacedWeek, ...]:
    """Place weeks on their days one after the other, so that rests hold across Sundays.

    Parameters
    ----------
    season
        The season.
    count
        How many weeks; None for all.
    done
        What was done in the first week so far, and on the day before it.
    """
    request, placed = season.request, []
    before = list(done)
    for week in season.weeks[:count]:
        days = place_sessions(
            week,
            usual_availability(season, week),
            before,
            today=max(request.today, week.start),
            long_day=request.long_day,
            injuries=request.injuries,
            illnesses=request.illnesses,
        )
        placed.append(PlacedWeek(week, days))
        before = [DoneSession.as_planned(day.day, session) for day in days[-1:] for session in day.sessions]
    return tuple(placed)


def circuit_minutes(session: PlannedSession) -> int:
    """Say how many minutes of a circuit session are left for the circuit, after the steady work before it."""
    return session.minutes - (session.moderate_equivalent_min - 2 * session.vigorous_min)


def circuit_days(weeks: tuple[PlacedWeek, ...]) -> list[tuple[dt.date, PlannedSession]]:
    """List the circuit sessions of placed weeks with their days."""
    return [
        (day.day, session)
        for week in weeks[:_WEEKS_OF_CIRCUITS]
        for day in week.days
        for session in day.sessions
        if session.kind is SessionKind.CIRCUIT
    ]


def _circuits(plan: PlanFile, adopter: Adopter, weeks: tuple[PlacedWeek, ...]) -> tuple[FittedCircuit, ...]:
    days = circuit_days(weeks)
    fitted = []
    for number, given in enumerate(plan.circuits[:MOST_CIRCUITS]):
        request = replace(adopter.circuit, start=Start.FROM_CARDIO)
        if days:
            day, session = days[min(number, len(days) - 1)]
            request = replace(request, date=day, minutes=float(circuit_minutes(session)))
        fitted.append(fit_circuit(given, request))
    return tuple(fitted)


def _scaling(plan: PlanFile, season: Season) -> tuple[Reason, ...]:
    """Say how the plan's minutes were scaled, and what the first week rests on."""
    first = season.weeks[0]
    given = sum(w.targets.moderate_equivalent_min for w in plan.weeks if w.start >= first.start)
    own = sum(w.targets.moderate_equivalent_min for w in season.weeks if w.start >= plan.weeks[0].start)
    if own < given:
        percent, start = round(100 * own / given), in_words(first.start)
        scaled = because("share.scaled_down", own=own, given=given, percent=percent, start=start)
    else:
        code = "share.scaled_up" if own > given else "share.not_scaled"
        scaled = because(code, own=own, given=given) if own > given else because(code, own=own)
    asked = first.targets.moderate_equivalent_min
    request = season.request
    base = because("share.starts_from", base=round(first.base_min), asked=asked)
    if first.base_min <= 0:
        base = because("share.starts_from_nothing", asked=asked, level=request.level.label)
    days = ", ".join(
        f"{name} {minutes}"
        for name, minutes in zip(WEEKDAYS, request.minutes_by_weekday, strict=True)
        if minutes
    )
    return scaled, base, because("share.days", days=days)
