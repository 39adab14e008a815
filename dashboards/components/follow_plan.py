"""A circuit as the browser follows it: everything it needs until the end, handed over at once."""

import json
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboards.words.circuit import FOLLOW_WORDS
from rideready.model.circuit import Circuit, CircuitStation, TimedMove
from rideready.model.exercise import Sides
from rideready.services.cautions import STOP_SIGNS


def stage(circuit: Circuit | None, key: str) -> Component:
    """Return the frame that ``assets/follow.js`` fills.

    Parameters
    ----------
    circuit
        What is followed; None if there is none, when only a workout that was begun can go on.
    key
        Under which the browser keeps where the rider is.
    """
    handed: dict[str, Any] = {
        "data-key": key,
        "data-plan": json.dumps(None if circuit is None else plan_document(circuit), ensure_ascii=False),
        "data-words": json.dumps({**FOLLOW_WORDS, "stop_signs": STOP_SIGNS}, ensure_ascii=False),
        "data-state": "loading",
    }
    return html.Div(html.Div(className="follow-stage"), id="follow", className="follow", **handed)


def plan_document(circuit: Circuit) -> dict[str, Any]:
    """Lay out a circuit for the browser: numbers as they are shown, seconds as they are counted."""
    rest = circuit.rest
    return {
        "day": circuit.date.isoformat(),
        "top": circuit.top_count,
        "full_top": circuit.full_top_count,
        "total_reps": circuit.total_reps,
        "minutes": round(circuit.minutes),
        "stations": [_station(station) for station in circuit.stations],
        "warm_up": [_move(move) for move in circuit.warm_up],
        "cool_down": [_move(move) for move in circuit.cool_down],
        "rest": {
            "level_bpm": None if rest.level_bpm is None else round(rest.level_bpm),
            "at_most_s": round(rest.at_most_s),
        },
    }


def _station(station: CircuitStation) -> dict[str, Any]:
    exercise = station.exercise
    return {
        "name": exercise.name,
        "how": exercise.instruction,
        "rep": exercise.rep,
        "is_each_side": exercise.sides is Sides.EACH,
        "weight_kg": station.weight_kg,
    }


def _move(move: TimedMove) -> dict[str, Any]:
    return {"name": move.exercise.name, "how": move.exercise.instruction, "seconds": round(move.seconds)}
