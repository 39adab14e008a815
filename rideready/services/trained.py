"""Which muscles rest today, from what was done yesterday and today."""

import datetime as dt
from collections.abc import Collection

from rideready.circuit.constraints import HARD_RPE, REST_DAYS
from rideready.model.exercise import Muscle
from rideready.model.week import DoneSession, MuscleGroup, SessionKind
from rideready.plan.rooms import resting_groups
from rideready.services.context import Context
from rideready.services.done import done_sessions, soreness
from rideready.store.diary import log_entries

_LEGS = frozenset(
    {
        Muscle.QUADS,
        Muscle.HAMSTRINGS,
        Muscle.GLUTES,
        Muscle.CALVES,
        Muscle.ADDUCTORS,
        Muscle.ABDUCTORS,
        Muscle.HIP_FLEXORS,
    }
)
_UPPER_BODY = frozenset(
    {
        Muscle.CHEST,
        Muscle.SHOULDERS,
        Muscle.TRICEPS,
        Muscle.UPPER_BACK,
        Muscle.LATS,
        Muscle.BICEPS,
        Muscle.FOREARMS,
    }
)
#: The plan's three groups in the circuit's words.
MUSCLES_OF = {
    MuscleGroup.LOWER: _LEGS,
    MuscleGroup.UPPER: _UPPER_BODY,
    MuscleGroup.TRUNK: frozenset(Muscle) - _LEGS - _UPPER_BODY,
}


def muscles_of(groups: Collection[MuscleGroup]) -> frozenset[Muscle]:
    """Return the muscles of the plan's groups."""
    return frozenset().union(*(MUSCLES_OF[group] for group in groups))


def trained_hard(ctx: Context, *, besides: Collection[dt.date] = ()) -> frozenset[Muscle]:
    """Say which muscles were trained hard within 48 h, circuits in the log aside.

    A strength session leaves the muscles it trained to rest, the whole body if the diary does not say,
    unless it was rated below `HARD_RPE`. A hard steady session of yesterday leaves the legs to rest; one
    of today does not, since a circuit may follow straight on it. Muscles said to be sore rest as if they
    had been trained hard on that day.

    Parameters
    ----------
    ctx
        Store, rider and today.
    besides
        Days whose circuits the log tells of.

    References
    ----------
    48 h: American College of Sports Medicine (Garber et al. 2011, Med Sci Sports Exerc 43:1334-59, from
    memory). What counts as hard and for which muscles is ours.
    """
    first = ctx.today - dt.timedelta(days=REST_DAYS - 1)
    lately = [session for session in done_sessions(ctx) if first <= session.day <= ctx.today]
    mild = _mild_strength_days(ctx, first)
    return muscles_of(resting_groups(soreness(ctx), ctx.today)).union(
        *(_of(session, ctx.today, mild) for session in lately if _tells(session, besides))
    )


def _tells(session: DoneSession, logged: Collection[dt.date]) -> bool:
    return session.kind is not SessionKind.CIRCUIT or session.day not in logged


def _of(session: DoneSession, today: dt.date, mild: Collection[dt.date]) -> frozenset[Muscle]:
    if session.kind is SessionKind.STRENGTH:
        return frozenset() if session.day in mild else muscles_of(session.groups)
    if session.groups:
        return muscles_of(session.groups) if session.is_hard else frozenset()
    return _LEGS if session.is_hard and session.day < today else frozenset()


def _mild_strength_days(ctx: Context, first: dt.date) -> frozenset[dt.date]:
    """Days on which every strength session of the diary was rated below hard."""
    with ctx.store.reading() as connection:
        entries = log_entries(connection, ctx.rider_id, since=first, until=ctx.today)
    strength = [entry for entry in entries if entry.kind == "strength"]
    hard = {entry.day for entry in strength if entry.rpe is None or entry.rpe >= HARD_RPE}
    return frozenset(entry.day for entry in strength) - hard
