"""Circuits that were done."""

import datetime as dt
import json
from typing import Any

from sqlalchemy import Connection, insert, select

from rideready.model.circuit import CircuitLog, RestRecoveries
from rideready.store import schema


def add_circuit(connection: Connection, rider_id: int, log: CircuitLog) -> int:
    """Write down a circuit that was done and return its number."""
    recoveries = log.recoveries
    document = {
        "exercises": list(log.exercises),
        "top_count": log.top_count,
        "rounds_done": log.rounds_done,
        "rpe": log.rpe,
        "full_top_count": log.full_top_count,
        "weights_kg": [list(pair) for pair in log.weights_kg],
        "recoveries": recoveries and [recoveries.settled_share, recoveries.median_rest_s],
    }
    values = {
        "rider_id": rider_id,
        "day": log.date.isoformat(),
        "document": json.dumps(document, ensure_ascii=False),
    }
    added = connection.execute(insert(schema.circuit).values(values).returning(schema.circuit.c.id))
    return int(added.scalar_one())


def circuits_done(connection: Connection, rider_id: int) -> list[CircuitLog]:
    """Circuits that were done, oldest first."""
    table = schema.circuit.c
    query = select(schema.circuit).where(table.rider_id == rider_id).order_by(table.day, table.id)
    return [_to_log(row.day, json.loads(row.document)) for row in connection.execute(query)]


def _to_log(day: str, document: dict[str, Any]) -> CircuitLog:
    recoveries = document["recoveries"]
    return CircuitLog(
        date=dt.date.fromisoformat(day),
        exercises=tuple(document["exercises"]),
        top_count=document["top_count"],
        rounds_done=document["rounds_done"],
        rpe=document["rpe"],
        full_top_count=document["full_top_count"],
        weights_kg=tuple((name, weight) for name, weight in document["weights_kg"]),
        recoveries=RestRecoveries(*recoveries) if recoveries else None,
    )
