"""Recoveries in and out of their table, one row each."""

import datetime as dt
import json
import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict, fields
from typing import Any

from sqlalchemy import Connection, RowMapping, delete, insert, select

from rideready.model.reason import SENTENCES, Reason
from rideready.model.recovery import CutBy, Evidence, Grade, Mode, Recovery, RecoveryFit
from rideready.model.session import Kind
from rideready.store import schema
from rideready.store.days import moment, within_days
from rideready.store.values import MeasuredRecovery, RecoveryRow

#: Fields of `Recovery` kept as plain numbers; a missing one comes back as None.
OPTIONAL_FIGURES = (
    "peak_reserve",
    "hrr30_bpm",
    "hrr30_se_bpm",
    "hrr60_bpm",
    "hrr60_se_bpm",
    "hrr120_bpm",
    "hrr120_se_bpm",
    "t30_s",
    "settle_s",
    "tau_s",
    "tau_low_s",
    "tau_high_s",
)
#: Likewise, but a missing one comes back as NaN.
PLAIN_FIGURES = ("end_of_effort_s", "peak_bpm", "window_s", "clean_share", "spacing_s")


def replace_recoveries(
    connection: Connection, session_id: int, recoveries: Iterable[MeasuredRecovery]
) -> None:
    """Put a session's recoveries in the place of those it had."""
    connection.execute(delete(schema.recovery).where(schema.recovery.c.session_id == session_id))
    rows = [{"session_id": session_id, **recovery_columns(measured)} for measured in recoveries]
    if rows:
        connection.execute(insert(schema.recovery), rows)


def recovery_rows(
    connection: Connection,
    rider_id: int,
    *,
    session_id: int | None = None,
    since: dt.date | None = None,
    until: dt.date | None = None,
    grades: Collection[Grade] | None = None,
    modes: Collection[Mode] | None = None,
) -> list[RecoveryRow]:
    """Read a rider's recoveries by time, oldest first; None takes all."""
    session, recovery = schema.session.c, schema.recovery.c
    query = (
        select(
            schema.recovery,
            session.start_utc,
            session.zone,
            session.device,
            session.kind,
            session.posture,
        )
        .join(schema.session, session.id == recovery.session_id)
        .where(session.rider_id == rider_id, session.deleted_utc.is_(None))
        .where(*within_days(session.local_day, since, until))
        .order_by(session.start_utc.is_(None), session.start_utc, session.id, recovery.position)
    )
    if session_id is not None:
        query = query.where(recovery.session_id == session_id)
    if grades is not None:
        query = query.where(recovery.grade.in_([str(grade) for grade in grades]))
    if modes is not None:
        query = query.where(recovery.mode.in_([str(mode) for mode in modes]))
    return [_to_row(row) for row in connection.execute(query).mappings()]


def recovery_columns(measured: MeasuredRecovery) -> dict[str, Any]:
    """Lay out what is kept of a recovery."""
    recovery = measured.recovery
    figures = {name: _known(getattr(recovery, name)) for name in (*PLAIN_FIGURES, *OPTIONAL_FIGURES)}
    return {
        **figures,
        "position": recovery.order,
        "settle_is_extrapolated": recovery.settle_is_extrapolated,
        "settle_is_censored": recovery.settle_is_censored,
        "fit": None if recovery.fit is None else json.dumps(_fit_to_json(recovery.fit)),
        "mode": str(recovery.mode),
        "evidence": str(recovery.evidence),
        "cut_by": str(recovery.cut_by),
        "grade": str(recovery.grade),
        "reasons": json.dumps([_reason_to_json(reason) for reason in recovery.reasons], default=float),
        "altitude_m": _known(measured.altitude_m),
        "temperature_c": _known(measured.temperature_c),
    }


def _to_row(row: RowMapping) -> RecoveryRow:
    return RecoveryRow(
        session_id=row["session_id"],
        session_start_utc=moment(row["start_utc"]),
        session_zone=row["zone"],
        device=row["device"],
        kind=Kind(row["kind"]),
        posture=row["posture"],
        recovery=_to_recovery(row),
        altitude_m=row["altitude_m"],
        temperature_c=row["temperature_c"],
    )


def _to_recovery(row: RowMapping) -> Recovery:
    plain = {name: math.nan if row[name] is None else float(row[name]) for name in PLAIN_FIGURES}
    return Recovery(
        **plain,
        **{name: row[name] for name in OPTIONAL_FIGURES},
        settle_is_extrapolated=bool(row["settle_is_extrapolated"]),
        settle_is_censored=bool(row["settle_is_censored"]),
        fit=None if row["fit"] is None else _fit_from_json(json.loads(row["fit"])),
        mode=Mode(row["mode"]),
        evidence=Evidence(row["evidence"]),
        cut_by=CutBy(row["cut_by"]),
        order=row["position"],
        grade=Grade(row["grade"]),
        reasons=tuple(
            reason for found in json.loads(row["reasons"]) if (reason := _reason_from_json(found)) is not None
        ),
    )


def _known(value: float | None) -> float | None:
    """Keep a figure that cannot be had as NULL, whichever way it was written."""
    return None if value is None or math.isnan(value) else float(value)


def _fit_to_json(fit: RecoveryFit) -> dict[str, Any]:
    misfit = None if fit.misfit is None else _reason_to_json(fit.misfit)
    return {
        **{name: float(value) for name, value in asdict(fit).items() if name != "misfit"},
        "misfit": misfit,
    }


def _fit_from_json(found: Mapping[str, Any]) -> RecoveryFit:
    figures = {field.name: found[field.name] for field in fields(RecoveryFit) if field.name != "misfit"}
    misfit = None if found["misfit"] is None else _reason_from_json(found["misfit"])
    return RecoveryFit(**{**figures, "n_samples": int(figures["n_samples"])}, misfit=misfit)


def _reason_to_json(reason: Reason) -> list[Any]:
    return [reason.code, dict(reason.values)]


def _reason_from_json(found: list[Any]) -> Reason | None:
    """Make a reason again; None if its code is of another version, whose analysis is about to be redone."""
    code, values = found
    return Reason(code, tuple(sorted(values.items()))) if code in SENTENCES else None
