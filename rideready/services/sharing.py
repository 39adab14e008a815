"""The rider's plan to hand over: as a handout, a calendar, a plan file. Nothing private goes with it.

What is shared is planned from the rider's training and window alone: illnesses, injuries, sore joints and
health answers are left out before anything is planned, and pulse numbers are only those given for the partner.
"""

import datetime as dt
import hashlib
import json
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Connection

from rideready.circuit.progression import LOWEST_TOP
from rideready.circuit.solve import build_circuit
from rideready.errors import BadInput, Infeasible
from rideready.model.circuit import Circuit, CircuitLog, CircuitRequest, Start
from rideready.model.condition import Clearance
from rideready.model.exercise import Equipment, Joint, Level
from rideready.model.reason import because
from rideready.model.rider import Rider
from rideready.model.season import SeasonRequest
from rideready.plan.season import plan_season
from rideready.services.circuits import circuit_request
from rideready.services.context import Context
from rideready.services.planning import season_request
from rideready.share.calendar_events import StartTimes, cancelled, events_of
from rideready.share.calendar_file import CalendarEvent, CalendarSettings, write_calendar
from rideready.share.fit_circuit import FEWEST_EXERCISES, MOST_OVER_MIN
from rideready.share.fit_plan import (
    MOST_CIRCUITS,
    Adopter,
    FittedPlan,
    circuit_days,
    circuit_minutes,
    fit_plan,
    place_weeks,
)
from rideready.share.handout import handout_html
from rideready.share.plan_file import (
    GivenCircuit,
    GivenWeek,
    PlanFile,
    content_digest,
    plan_document,
    plan_text,
)
from rideready.share.reading import in_words, schema_of
from rideready.share.zone_rules import zone_named
from rideready.store.partner import PartnerKind, partner_document, put_partner_document
from rideready.store.sessions import session_rows

#: How hard a shared circuit is taken to feel when the next is chosen beside it.
_USUAL_RPE = 6.0


@dataclass(frozen=True, slots=True)
class Recipient:
    """Whom something is made for; everything may be unknown.

    Parameters
    ----------
    name
        As the partner wants to be called.
    rider
        The partner's numbers, for the pulse.
    level, equipment, minutes_by_weekday, usual_min
        How the partner trains; None for all of them keeps the giver's weeks, and says so.
    avoid_joints
        Joints of the partner to spare.
    """

    name: str = ""
    rider: Rider = field(default_factory=Rider)
    level: Level | None = None
    equipment: tuple[Equipment, ...] | None = None
    minutes_by_weekday: tuple[int, ...] | None = None
    usual_min: float | None = None
    avoid_joints: tuple[Joint, ...] = ()

    @property
    def trains_alike(self) -> bool:
        """Whether nothing is known of how the partner trains."""
        told = (self.level, self.equipment, self.minutes_by_weekday, self.usual_min)
        return all(one is None for one in told)


@dataclass(frozen=True, slots=True)
class CalendarWishes:
    """How a calendar is wanted: times of day, zone by name (None: times without a zone), alarm, moment."""

    times: StartTimes
    zone: str | None
    alarm_min: int | None
    now: dt.datetime


def own_plan(ctx: Context, *, giver: str = "") -> PlanFile:
    """Lay the rider's plan out to hand over, without keeping anything.

    Parameters
    ----------
    ctx
        Store, rider and today.
    giver
        The name to give with it; empty for none.

    Raises
    ------
    BadInput
        If there is no opening window, or the name cannot stand in a plan file.
    """
    with ctx.store.reading() as connection:
        return _revised(connection, ctx, _planned(ctx, giver))[0]


def share_plan(ctx: Context, *, giver: str = "") -> PlanFile:
    """Lay the plan out as `own_plan` and keep which revision was handed over; raises likewise."""
    planned = _planned(ctx, giver)
    with ctx.store.writing() as connection:
        plan, document = _revised(connection, ctx, planned)
        put_partner_document(connection, ctx.rider_id, PartnerKind.SENT, "plan", document)
    return plan


def plan_file_text(plan: PlanFile) -> str:
    """Write a plan file."""
    return plan_text(plan)


def fitted_for(ctx: Context, plan: PlanFile, recipient: Recipient) -> FittedPlan:
    """Work the rider's plan out for a recipient.

    Parameters
    ----------
    ctx
        Store, rider and today.
    plan
        From `own_plan` or `share_plan`.
    recipient
        For whom.
    """
    own_season, own_circuit = _shareable(ctx)
    if recipient.trains_alike:
        circuit = replace(own_circuit, rider=recipient.rider, avoid_joints=frozenset(recipient.avoid_joints))
        fitted = fit_plan(plan, Adopter(own_season, circuit, recipient.name))
        return replace(fitted, reasons=(because("share.givers_minutes"),))
    level = recipient.level or Level.BEGINNER
    season = SeasonRequest(
        plan.window,
        ctx.today,
        minutes_by_weekday=recipient.minutes_by_weekday or own_season.minutes_by_weekday,
        level=level,
        usual_min=recipient.usual_min,
    )
    circuit = CircuitRequest(
        ctx.today,
        rider=recipient.rider,
        level=level,
        equipment=frozenset(recipient.equipment or ()),
        avoid_joints=frozenset(recipient.avoid_joints),
    )
    return fit_plan(plan, Adopter(season, circuit, recipient.name))


def handout(ctx: Context, recipient: Recipient, *, giver: str = "") -> str:
    """Write a handout for a recipient and keep which revision was handed over."""
    return handout_html(fitted_for(ctx, share_plan(ctx, giver=giver), recipient))


def preview(ctx: Context, recipient: Recipient, *, giver: str = "") -> str:
    """Write a handout without keeping anything."""
    return handout_html(fitted_for(ctx, own_plan(ctx, giver=giver), recipient))


def calendar(ctx: Context, recipient: Recipient, wishes: CalendarWishes, *, giver: str = "") -> bytes:
    """Write a calendar for a recipient; entries sent before and not planned any more are taken back.

    Raises
    ------
    BadInput
        If there is no such zone, besides what `own_plan` raises.
    """
    fitted = fitted_for(ctx, share_plan(ctx, giver=giver), recipient)
    with ctx.store.writing() as connection:
        return calendar_bytes(
            connection,
            ctx,
            events_of(fitted, wishes.times, whose=recipient.name),
            wishes,
            plan_id=fitted.plan.plan_id,
            whose=recipient.name,
        )


def usual_zone(ctx: Context) -> str | None:
    """Name the zone of the newest recording that has one; None if none has."""
    with ctx.store.reading() as connection:
        zones = (row.zone for row in session_rows(connection, ctx.rider_id))
        return next((zone for zone in zones if zone is not None and "/" in zone), None)


def calendar_bytes(
    connection: Connection,
    ctx: Context,
    planned: Sequence[CalendarEvent],
    wishes: CalendarWishes,
    *,
    plan_id: str,
    whose: str,
) -> bytes:
    """Write a calendar and keep what it holds, within the caller's transaction.

    Parameters
    ----------
    connection
        Inside a writing transaction.
    ctx
        Store, rider and today.
    planned
        Its entries.
    wishes
        How it is wanted.
    plan_id, whose
        Keep plans and recipients apart.
    """
    zone = None if wishes.zone is None else zone_named(wishes.zone)
    name = f"calendar {uuid.uuid5(uuid.UUID(plan_id), whose)}"
    before = partner_document(connection, ctx.rider_id, PartnerKind.SENT, name)
    events = [*planned, *_taken_back(before, planned, ctx.today)]
    content = [[str(value) for value in _fields(event)] for event in events]
    digest = hashlib.sha256(json.dumps([content, wishes.zone, wishes.alarm_min]).encode()).hexdigest()
    sequence = 0 if before is None else before["sequence"] + (before["digest"] != digest)
    kept = {
        "sequence": sequence,
        "digest": digest,
        "entries": [[event.uid, event.day.isoformat()] for event in events],
    }
    put_partner_document(connection, ctx.rider_id, PartnerKind.SENT, name, kept)
    settings = CalendarSettings("Ready for opening day", wishes.now, sequence, zone, wishes.alarm_min)
    return write_calendar(events, settings)


def _taken_back(
    before: dict[str, Any] | None, events: Sequence[CalendarEvent], today: dt.date
) -> list[CalendarEvent]:
    entries = [] if before is None else before["entries"]
    return cancelled(((uid, dt.date.fromisoformat(day)) for uid, day in entries), events, today=today)


def _fields(event: CalendarEvent) -> tuple[object, ...]:
    return (
        event.uid, event.day, event.start, event.minutes,
        event.summary, event.description, event.is_cancelled,
    )  # fmt: skip


def _shareable(ctx: Context) -> tuple[SeasonRequest, CircuitRequest]:
    """Gather what the plan is made from, without anything about health and without the rider's pulse."""
    season = replace(
        season_request(ctx), illnesses=(), injuries=(), away=(), this_week=None, clearance=Clearance.CLEAR
    )
    circuit = replace(circuit_request(ctx), rider=Rider(), avoid_joints=frozenset(), complaints=frozenset())
    return season, circuit


def _planned(ctx: Context, giver: str) -> PlanFile:
    request, wishes = _shareable(ctx)
    season = plan_season(request)
    plan = PlanFile(
        plan_id=str(uuid.UUID(int=0)),
        revision=1,
        made=ctx.today,
        giver=giver,
        window=request.window,
        weeks=tuple(GivenWeek(week.start, week.phase, week.is_easier, week.targets) for week in season.weeks),
        circuits=_circuits(wishes, place_weeks(season, count=3)[:3]),
    )
    for error in schema_of("plan.schema.json").iter_errors(plan_document(plan)):
        raise BadInput(in_words(error), "plan file", "Give another name, or none")
    return plan


def _circuits(wishes: CircuitRequest, weeks: Sequence[Any]) -> tuple[GivenCircuit, ...]:
    """Write the circuits of the first circuit days, each as if those before it had been done."""
    given: list[GivenCircuit] = []
    log = list(wishes.log)
    for day, session in circuit_days(tuple(weeks))[:MOST_CIRCUITS]:
        request = replace(wishes, date=day, start=Start.FROM_CARDIO, log=tuple(log))
        circuit = _circuit_in(request, float(circuit_minutes(session)))
        if circuit is None:  # the equipment makes none
            continue
        rest = circuit.rest
        settle = rest.reserve if rest.reserve is not None else wishes.rest.reserve or Rider().settle_reserve
        given.append(
            GivenCircuit(circuit.names, circuit.top_count, wishes.rest.by, settle, wishes.rest.clock_s)
        )
        log.append(CircuitLog(day, circuit.names, circuit.top_count, circuit.top_count, rpe=_USUAL_RPE))
    return tuple(given)


def _circuit_in(request: CircuitRequest, minutes: float) -> Circuit | None:
    """Write a circuit for the time of a session; where none is that short, the shortest there is."""
    attempts: tuple[dict[str, Any], ...] = (
        {"minutes": minutes},
        {"minutes": minutes, "exercises": FEWEST_EXERCISES},
        {"minutes": minutes + MOST_OVER_MIN, "exercises": FEWEST_EXERCISES},
        {"top_count": LOWEST_TOP, "exercises": FEWEST_EXERCISES},
    )
    for wishes in attempts:
        try:
            return build_circuit(replace(request, **wishes))
        except Infeasible:
            continue
    return None


def _revised(connection: Connection, ctx: Context, plan: PlanFile) -> tuple[PlanFile, dict[str, Any]]:
    """Give a plan its number and revision: the last one's if nothing has changed, else the next."""
    sent = partner_document(connection, ctx.rider_id, PartnerKind.SENT, "plan")
    if sent is None:
        sent = {"id": str(uuid.uuid4()), "revision": 0, "digest": "", "made": ""}
    plan = replace(plan, plan_id=sent["id"])
    digest = content_digest(plan)
    if digest == sent["digest"]:
        made = dt.date.fromisoformat(sent["made"])
        return replace(plan, revision=sent["revision"], made=made), sent
    plan = replace(plan, revision=sent["revision"] + 1)
    return plan, {
        "id": plan.plan_id,
        "revision": plan.revision,
        "digest": digest,
        "made": plan.made.isoformat(),
    }
