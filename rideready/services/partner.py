"""A partner's plan adopted, and two riders' progress side by side."""

import datetime as dt
from dataclasses import dataclass, replace
from enum import StrEnum

from rideready.errors import BadInput
from rideready.model.reason import Reason, because
from rideready.services.circuits import circuit_request
from rideready.services.context import Context
from rideready.services.done import done_sessions, monday_of, weeks_done
from rideready.services.planning import season, season_request
from rideready.services.remembered import remembered
from rideready.services.riders import get_rider
from rideready.services.training import get_training, update_training
from rideready.services.trends import season_start, trend
from rideready.share.fit_plan import Adopter, FittedPlan, fit_plan
from rideready.share.plan_changes import plan_changes
from rideready.share.plan_file import PlanFile, content_digest, plan_document, plan_from_document
from rideready.share.progress_file import (
    ProgressFile,
    ProgressWeek,
    progress_document,
    progress_from_document,
    progress_text,
)
from rideready.share.reading import in_words, schema_of
from rideready.share.words import day_in_words
from rideready.store.partner import (
    PartnerKind,
    drop_partner_documents,
    partner_document,
    partner_documents,
    put_partner_document,
)

#: The most complete weeks told of in a progress file.
MOST_WEEKS = 16


class Adoption(StrEnum):
    """What adopting a plan did."""

    ADOPTED = "adopted"
    UPDATED = "updated"
    REPLACED = "replaced"
    UNCHANGED = "unchanged"


@dataclass(frozen=True, slots=True)
class AdoptionReport:
    """What came of adopting a plan.

    Parameters
    ----------
    adoption
        What it did.
    fitted
        The plan, worked out for this rider.
    changes
        What a newer version changed, or which plan gave way.
    """

    adoption: Adoption
    fitted: FittedPlan
    changes: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """One week of both riders; None where one of them has none."""

    start: dt.date
    own: ProgressWeek | None
    partner: ProgressWeek | None


def adopt(ctx: Context, plan: PlanFile) -> AdoptionReport:
    """Adopt a plan for the rider: its opening window becomes the rider's, everything else is worked out anew.

    Adopting the same plan again changes nothing; a newer version takes the place of the older.

    Parameters
    ----------
    ctx
        Store, rider and today.
    plan
        From a plan file.

    Raises
    ------
    BadInput
        If it is the rider's own plan, older than the one adopted, or its window is past. Nothing is changed then.
    Infeasible
        If no day of the rider has 20 minutes.
    """
    _refuse_own(ctx, plan)
    fitted = fitted_to_rider(ctx, plan)  # before anything is kept: what cannot be followed is not adopted
    before = _kept_plan(ctx)
    adoption, changes = _compare(before, plan, ctx.today)
    if adoption is not Adoption.UNCHANGED:
        with ctx.store.writing() as connection:
            drop_partner_documents(connection, ctx.rider_id, PartnerKind.ADOPTED)
            document = plan_document(plan)
            put_partner_document(connection, ctx.rider_id, PartnerKind.ADOPTED, "plan", document)
        update_training(ctx, earliest=plan.window.earliest, likely=plan.window.likely)
    return AdoptionReport(adoption, fitted, changes)


def fitted_to_rider(ctx: Context, plan: PlanFile) -> FittedPlan:
    """Work a plan out for the rider without keeping it; raises as `fit_plan`."""
    monday = monday_of(ctx.today)
    done = tuple(one for one in done_sessions(ctx) if monday - dt.timedelta(days=1) <= one.day <= ctx.today)
    request = season_request(ctx, window=plan.window)
    return fit_plan(plan, Adopter(request, circuit_request(ctx), get_rider(ctx).name, done))


def adopted(ctx: Context) -> FittedPlan | None:
    """Return the plan adopted, worked out from what was done since; None if there is none."""
    plan = _kept_plan(ctx)
    return None if plan is None else fitted_to_rider(ctx, plan)


def own_progress(ctx: Context, *, name: str = "") -> ProgressFile:
    """Gather what a progress file tells: complete weeks done against planned, and the verdict.

    What was planned for a past week is planned again as of its Monday, from what had been done until then. The
    verdict is that of the season on the screens: half a year, and not all there is.

    Parameters
    ----------
    ctx
        Store, rider and today.
    name
        The name to give with it; empty for none.

    Raises
    ------
    BadInput
        If there is no opening window yet, or the name cannot stand in the file.
    """
    get_training(ctx).window  # noqa: B018 - says what is missing before any week is planned
    weeks = weeks_done(done_sessions(ctx), before=ctx.today)
    done = {week.start: week.moderate_equivalent_min for week in weeks}
    this_monday = monday_of(ctx.today)
    first = max(min(done, default=this_monday), this_monday - dt.timedelta(weeks=MOST_WEEKS))
    mondays = [first + dt.timedelta(weeks=n) for n in range((this_monday - first).days // 7)]
    planned = remembered(ctx, ("planned", *mondays), lambda: [_planned_min(ctx, day) for day in mondays])
    told = tuple(
        ProgressWeek(day, minutes, round(done.get(day, 0.0)))
        for day, minutes in zip(mondays, planned, strict=True)
    )
    verdict = trend(ctx, since=season_start(ctx), until=ctx.today).direction
    progress = ProgressFile(ctx.today, told, verdict, name)
    for error in schema_of("progress.schema.json").iter_errors(progress_document(progress)):
        raise BadInput(in_words(error), "progress file", "Give another name, or none")
    return progress


def progress_file_text(progress: ProgressFile) -> str:
    """Write a progress file: the very text that is to be shown first."""
    return progress_text(progress)


def keep_progress(ctx: Context, progress: ProgressFile) -> None:
    """Keep a partner's progress beside the rider's own, in the place of what that partner sent before."""
    with ctx.store.writing() as connection:
        document = progress_document(progress)
        put_partner_document(connection, ctx.rider_id, PartnerKind.PROGRESS, progress.name, document)


def partners_progress(ctx: Context) -> list[ProgressFile]:
    """List what partners sent, by name."""
    with ctx.store.reading() as connection:
        found = partner_documents(connection, ctx.rider_id, PartnerKind.PROGRESS)
    return [progress_from_document(document) for document in found.values()]


def side_by_side(own: ProgressFile, partner: ProgressFile) -> list[Compared]:
    """Put two riders' weeks beside each other, oldest first."""
    mine = {week.start: week for week in own.weeks}
    theirs = {week.start: week for week in partner.weeks}
    return [Compared(day, mine.get(day), theirs.get(day)) for day in sorted(mine.keys() | theirs.keys())]


def _planned_min(ctx: Context, monday: dt.date) -> int:
    return season(replace(ctx, today=monday)).weeks[0].targets.moderate_equivalent_min


def _kept_plan(ctx: Context) -> PlanFile | None:
    with ctx.store.reading() as connection:
        document = partner_document(connection, ctx.rider_id, PartnerKind.ADOPTED, "plan")
    return None if document is None else plan_from_document(document)


def _refuse_own(ctx: Context, plan: PlanFile) -> None:
    with ctx.store.reading() as connection:
        sent = partner_document(connection, ctx.rider_id, PartnerKind.SENT, "plan")
    if sent is not None and sent["id"] == plan.plan_id:
        raise BadInput("this is your own plan", "plan file", "Adopt it for another rider with: --rider NAME")


def _compare(before: PlanFile | None, plan: PlanFile, today: dt.date) -> tuple[Adoption, tuple[Reason, ...]]:
    """Say what adopting a plan after another one does; raises `BadInput` for an older version."""
    if before is None:
        return Adoption.ADOPTED, ()
    if before.plan_id != plan.plan_id:
        then = before.giver or day_in_words(before.made)
        return Adoption.REPLACED, (because("share.changed_plan", then=then),)
    if plan.revision < before.revision:
        raise BadInput(
            f"it is older than the plan adopted: revision {plan.revision} and not {before.revision}",
            "plan file",
            "Ask for the newest one",
        )
    if content_digest(plan) == content_digest(before):
        return Adoption.UNCHANGED, ()
    return Adoption.UPDATED, plan_changes(before, plan, today=today)
