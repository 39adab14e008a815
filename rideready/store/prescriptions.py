"""Circuits as they were prescribed, one a day, and what recordings of them showed."""

import datetime as dt
import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from rideready.circuit.library import BY_NAME
from rideready.model.circuit import Circuit, CircuitStation, Rest, RestBy
from rideready.model.circuit_match import CircuitMatch, RoundMatch
from rideready.model.reason import Reason
from rideready.store import schema


def keep_circuit(connection: Connection, rider_id: int, circuit: Circuit) -> None:
    """Keep a circuit as the one prescribed for its day, in the place of an earlier one."""
    table = schema.written_circuit
    day = circuit.date.isoformat()
    connection.execute(delete(table).where(table.c.rider_id == rider_id, table.c.day == day))
    values = {"rider_id": rider_id, "day": day, "document": json.dumps(_circuit_document(circuit))}
    connection.execute(insert(table).values(values))


def circuits_written(connection: Connection, rider_id: int) -> dict[dt.date, Circuit]:
    """Return the circuit prescribed for each day that has one, oldest first.

    A circuit with an exercise that the library no longer has is left out. Warm-up, cool-down and
    reasons are not kept.
    """
    table = schema.written_circuit.c
    query = select(table.day, table.document).where(table.rider_id == rider_id).order_by(table.day)
    found = {dt.date.fromisoformat(day): json.loads(text) for day, text in connection.execute(query)}
    return {day: _circuit(day, kept) for day, kept in found.items() if _is_known(kept)}


def keep_match(connection: Connection, session_id: int, match: CircuitMatch, *, made_for: str) -> None:
    """Keep what a recording of a circuit showed, in the place of an earlier match."""
    table = schema.circuit_match
    connection.execute(delete(table).where(table.c.session_id == session_id))
    values = {
        "session_id": session_id,
        "made_for": made_for,
        "document": json.dumps(_match_document(match)),
    }
    connection.execute(insert(table).values(values))


def kept_match(connection: Connection, session_id: int, *, made_for: str) -> CircuitMatch | None:
    """Return the match of a session; None if there is none, or only one made for something else."""
    table = schema.circuit_match.c
    query = select(table.document).where(table.session_id == session_id, table.made_for == made_for)
    text = connection.execute(query).scalar_one_or_none()
    return None if text is None else _match(json.loads(text))


def _circuit_document(circuit: Circuit) -> dict[str, Any]:
    rest = circuit.rest
    return {
        "top_count": circuit.top_count,
        "full_top_count": circuit.full_top_count,
        "stations": [[station.exercise.name, station.weight_kg] for station in circuit.stations],
        "rest": [rest.by.value, rest.expected_s, rest.at_most_s, rest.reserve, rest.level_bpm],
        "change_s": circuit.change_s,
        "minutes": circuit.minutes,
        "minutes_at_most": circuit.minutes_at_most,
        "expected_rpe": circuit.expected_rpe,
        "load": circuit.load,
    }


def _is_known(document: Mapping[str, Any]) -> bool:
    return all(name in BY_NAME for name, _ in document["stations"])


def _circuit(day: dt.date, document: Mapping[str, Any]) -> Circuit:
    top: int = document["top_count"]
    by, *figures = document["rest"]
    reps = tuple(range(top, 0, -1))
    return Circuit(
        date=day,
        top_count=top,
        full_top_count=document["full_top_count"],
        stations=tuple(
            CircuitStation(BY_NAME[name], reps, sum(reps) * BY_NAME[name].seconds_of_a_count, weight_kg, ())
            for name, weight_kg in document["stations"]
        ),
        warm_up=(),
        cool_down=(),
        rest=Rest(RestBy(by), *figures),
        change_s=document["change_s"],
        minutes=document["minutes"],
        minutes_at_most=document["minutes_at_most"],
        expected_rpe=document["expected_rpe"],
        load=document["load"],
        reasons=(),
    )


def _match_document(match: CircuitMatch) -> dict[str, Any]:
    return {
        "start_s": match.start_s,
        "end_s": match.end_s,
        "planned_minutes": match.planned_minutes,
        "minutes": match.minutes,
        "rounds": [
            [
                each.reps,
                each.start_s,
                each.end_s,
                each.planned_s,
                each.peak_bpm,
                each.rest_s,
                each.drop_bpm,
                each.settle_s,
            ]
            for each in match.rounds
        ],
        "level_bpm": match.level_bpm,
        "floor_bpm": match.floor_bpm,
        "share_above_floor": match.share_above_floor,
        "clean_share": match.clean_share,
        "reasons": [[reason.code, [list(pair) for pair in reason.values]] for reason in match.reasons],
    }


def _match(document: Mapping[str, Any]) -> CircuitMatch:
    rounds = tuple(RoundMatch(*figures) for figures in document["rounds"])
    reasons = tuple(
        Reason(code, tuple((name, value) for name, value in values)) for code, values in document["reasons"]
    )
    return CircuitMatch(**{**document, "rounds": rounds, "reasons": reasons})
