"""Today's circuit in short, with the way to its own page."""

from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.notes import caution
from dashboards.urls import CIRCUIT
from dashboards.words import say
from rideready.services.today import Today


def todays_circuit(found: Today) -> list[Component]:
    """Name the exercises; say why there is none although one is due; nothing if none is due."""
    if found.circuit is None:
        return [] if found.no_circuit is None else [caution(found.no_circuit)]
    circuit = found.circuit
    facts = say("today.circuit.facts", top=circuit.top_count, minutes=formats.whole(circuit.minutes))
    names = html.Ol([html.Li(name) for name in circuit.names], className="exercises")
    way = dcc.Link(say("today.circuit.open"), href=CIRCUIT, className="press lesser", id="open-circuit")
    return [html.Section([html.H2(say("today.circuit.title")), names, html.P(facts, className="quiet"), way])]
