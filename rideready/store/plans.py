"""Plans as the rider saw them: the day of the first, the season seen last, weeks as they were placed."""

import datetime as dt
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from rideready.model.condition import Away, Clearance, Illness, IllnessKind, Injury
from rideready.model.exercise import Joint, Level
from rideready.model.season import OpeningWindow, SeasonRequest, WeekDone
from rideready.model.week import DayPlan, Form, MuscleGroup, PlannedSession, SessionKind
from rideready.store import schema

_BEGAN, _SEEN, _WEEK = "began", "seen", "week"


@dataclass(frozen=True, slots=True)
class SeenPlan:
    """The season the rider saw last, told by what it was planned from.

    Parameters
    ----------
    seen
        What the season was planned from.
    before, changed_on
        What the one before its last change was planned from, and the day of that change; None while
        nothing has changed.
    """

    seen: SeasonRequest
    before: SeasonRequest | None = None
    changed_on: dt.date | None = None


def plan_began(connection: Connection, rider_id: int, *, until: dt.date) -> dt.date | None:
    """Return the day of the season's first plan, as known on a day; None before it."""
    return max((day for day in _documents(connection, rider_id, _BEGAN) if day <= until), default=None)


def keep_plan_began(connection: Connection, rider_id: int, day: dt.date) -> None:
    """Keep the day of the first plan of a season."""
    _keep(connection, rider_id, _BEGAN, day, None)


def seen_plan(connection: Connection, rider_id: int) -> SeenPlan | None:
    """Return the season the rider saw last; None before the first."""
    found = _documents(connection, rider_id, _SEEN)
    if not found:
        return None
    document = found[max(found)]
    before, changed_on = document["before"], document["changed_on"]
    return SeenPlan(
        _request(document["seen"]),
        None if before is None else _request(before),
        _day(changed_on),
    )


def keep_seen_plan(connection: Connection, rider_id: int, plan: SeenPlan) -> None:
    """Keep the season the rider saw last, in the place of all before."""
    table = schema.kept_plan
    connection.execute(delete(table).where(table.c.rider_id == rider_id, table.c.kind == _SEEN))
    document = {
        "seen": asdict(plan.seen),
        "before": None if plan.before is None else asdict(plan.before),
        "changed_on": plan.changed_on,
    }
    _keep(connection, rider_id, _SEEN, plan.seen.today, document)


def placed_days(
    connection: Connection, rider_id: int, *, since: dt.date
) -> dict[dt.date, tuple[DayPlan, ...]]:
    """Return the days as they were placed, by the day on which they were asked for, from a day on."""
    found = _documents(connection, rider_id, _WEEK)
    return {day: _days(document) for day, document in found.items() if day >= since}


def keep_placed_days(connection: Connection, rider_id: int, day: dt.date, days: Iterable[DayPlan]) -> None:
    """Keep the days as they were placed on a day, in the place of what was kept for it."""
    document = [[one.day, one.available_min, [asdict(session) for session in one.sessions]] for one in days]
    _keep(connection, rider_id, _WEEK, day, document)


def _keep(connection: Connection, rider_id: int, kind: str, day: dt.date, document: Any) -> None:
    table = schema.kept_plan
    same = (table.c.rider_id == rider_id, table.c.kind == kind, table.c.day == day.isoformat())
    connection.execute(delete(table).where(*same))
    text = json.dumps(document, default=_plain)
    values = {"rider_id": rider_id, "kind": kind, "day": day.isoformat(), "document": text}
    connection.execute(insert(table).values(values))


def _documents(connection: Connection, rider_id: int, kind: str) -> dict[dt.date, Any]:
    table = schema.kept_plan.c
    query = (
        select(table.day, table.document)
        .where(table.rider_id == rider_id, table.kind == kind)
        .order_by(table.day)
    )
    return {dt.date.fromisoformat(day): json.loads(text) for day, text in connection.execute(query)}


def _plain(value: Any) -> Any:
    """Bring days and sets down to what JSON knows."""
    return value.isoformat() if isinstance(value, dt.date) else sorted(value)


def _day(text: str | None) -> dt.date | None:
    return None if text is None else dt.date.fromisoformat(text)


def _some_day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def _request(document: Mapping[str, Any]) -> SeasonRequest:
    return SeasonRequest(
        window=OpeningWindow(*(_some_day(document["window"][name]) for name in ("earliest", "likely"))),
        today=_some_day(document["today"]),
        history=tuple(_week_done(week) for week in document["history"]),
        this_week=None if document["this_week"] is None else _week_done(document["this_week"]),
        minutes_by_weekday=tuple(document["minutes_by_weekday"]),
        level=Level(document["level"]),
        usual_min=document["usual_min"],
        long_day=document["long_day"],
        injuries=tuple(Injury(Joint(one["joint"]), _some_day(one["since"])) for one in document["injuries"]),
        illnesses=tuple(
            Illness(IllnessKind(one["kind"]), _some_day(one["first_day"]), _day(one["last_day"]))
            for one in document["illnesses"]
        ),
        away=tuple(Away(_some_day(one["first"]), _some_day(one["last"])) for one in document["away"]),
        began=_day(document["began"]),
        clearance=Clearance(document["clearance"]),
    )


def _week_done(document: Mapping[str, Any]) -> WeekDone:
    return WeekDone(**{**document, "start": _some_day(document["start"])})


def _days(document: Iterable[Any]) -> tuple[DayPlan, ...]:
    return tuple(
        DayPlan(_some_day(day), available_min, tuple(_session(session) for session in sessions))
        for day, available_min, sessions in document
    )


def _session(document: Mapping[str, Any]) -> PlannedSession:
    return PlannedSession(
        **{
            **document,
            "kind": SessionKind(document["kind"]),
            "form": Form(document["form"]),
            "groups": frozenset(MuscleGroup(group) for group in document["groups"]),
        }
    )
