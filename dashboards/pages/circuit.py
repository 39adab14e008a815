"""Today's circuit: made for what is at hand, one exercise swapped, printed on one sheet."""

from dataclasses import replace
from typing import Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats
from dashboards.components import circuit_options as controls
from dashboards.components import circuit_parts as parts
from dashboards.components.circuit_address import (
    CircuitChoice,
    circuit_address,
    follow_address,
    read_choice,
    write_choice,
)
from dashboards.components.circuit_made import at_hand, circuit_of
from dashboards.components.notes import caution, ignored_note, problem
from dashboards.components.shell import GO_TO
from dashboards.context import Look
from dashboards.urls import CIRCUIT
from dashboards.words import say
from rideready.errors import RidereadyError
from rideready.model.circuit import Circuit
from rideready.services.cautions import MEDICINE
from rideready.services.context import Context
from rideready.services.riders import get_rider

HERE = "circuit-address"
CONTENT = "circuit-content"

#: Alternatives that can be asked for.
_LAST_ALTERNATIVE = 5


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    return (layout(look), say("title.circuit")) if look.pathname == CIRCUIT else None


def layout(look: Look) -> Component:
    """Return the page for an address."""
    choice, kept = read_choice(look.search), at_hand(look.store)
    return html.Div(
        [
            dcc.Location(
                id=HERE, refresh=False, pathname=look.pathname, search=look.search, hash=look.fragment
            ),
            controls.options(choice, kept=kept.equipment, spared=kept.spared),
            html.Div(content(look.store, choice), id=CONTENT),
        ],
        className="circuit-page",
    )


def content(store: Context, choice: CircuitChoice) -> list[Component]:
    """Show the circuit of a choice, or say why there is none."""
    note = ignored_note(choice.ignored)
    notes = [note] if note else []
    try:
        circuit = circuit_of(store, choice)
    except RidereadyError as error:
        return [*notes, problem(error), *_swaps(choice)]
    takes_medicine = get_rider(store).takes_heart_rate_medicine
    return [
        *notes,
        *_head(circuit, choice),
        *([caution(MEDICINE)] if takes_medicine else []),
        html.Div(
            [
                html.Section(
                    [html.H2(say("circuit.exercises")), *_swaps(choice), parts.exercises(circuit, choice)],
                    className="exercise-side",
                ),
                html.Section(
                    [
                        html.H2(say("circuit.ladder")),
                        parts.ladder(circuit),
                        html.H2(say("circuit.rest")),
                        parts.rest(circuit.rest),
                        *parts.cautions(circuit),
                    ],
                    className="ladder-side",
                ),
            ],
            className="two-up even",
        ),
        html.Div(
            [
                parts.moves(say("circuit.warm_up"), circuit.warm_up),
                parts.moves(say("circuit.cool_down"), circuit.cool_down),
            ],
            className="two-up even",
        ),
        parts.why(circuit),
    ]


def register(app: Dash, store: Context) -> None:
    """Connect the page's controls and its address."""

    @app.callback(
        Output(CONTENT, "children"),
        Output(controls.SUMMARY, "children"),
        Input(HERE, "search"),
        State(HERE, "pathname"),
        prevent_initial_call=True,
    )
    def show_circuit(search: str | None, pathname: str | None) -> tuple[Any, ...]:
        _stop_if_left(pathname)
        choice, kept = read_choice(search), at_hand(store)
        summary = controls.summary_of(choice, kept=kept.equipment, spared=kept.spared)
        return content(store, choice), summary

    @app.callback(
        Output(GO_TO, "search", allow_duplicate=True),
        [Input(control, "value") for control in controls.CONTROLS],
        State(HERE, "search"),
        prevent_initial_call=True,
    )
    def put_choice_into_address(*told: Any) -> str:
        *values, search = told
        kept = at_hand(store).equipment
        moved = controls.choice_from_controls(tuple(values), kept)
        current = read_choice(search)
        chosen = controls.after_controls(current, moved)
        return (search or "") if chosen == current else write_choice(chosen)

    @app.callback(
        [Output(control, "value") for control in controls.CONTROLS],
        Input(HERE, "search"),
        State(HERE, "pathname"),
        prevent_initial_call=True,
    )
    def set_controls_from_address(search: str | None, pathname: str | None) -> tuple[Any, ...]:
        _stop_if_left(pathname)
        return controls.control_values(read_choice(search), at_hand(store).equipment)


def _stop_if_left(pathname: str | None) -> None:
    """Do nothing once the reader is on the way to another page: this one is about to go."""
    if pathname != CIRCUIT:
        raise PreventUpdate


def _head(circuit: Circuit, choice: CircuitChoice) -> list[Component]:
    ways = [
        dcc.Link(say("circuit.follow"), href=follow_address(choice, circuit.date), className="press"),
        parts.print_button(say("circuit.print")),
        *_other(choice),
    ]
    return [
        html.H1(say("circuit.title", day=formats.day(circuit.date))),
        html.P(say("circuit.lead", top=circuit.top_count), className="lead"),
        parts.figures(circuit),
        html.Div(ways, className="ways circuit-ways"),
    ]


def _other(choice: CircuitChoice) -> list[Component]:
    """Lead to the next best circuit, and back to the best."""
    number = choice.alternative
    ways = []
    if number < _LAST_ALTERNATIVE:
        ways.append((say("circuit.another"), replace(choice.unswapped, alternative=number + 1)))
    if number:
        ways.append((say("circuit.best"), replace(choice.unswapped, alternative=0)))
    return [dcc.Link(text, href=circuit_address(other), className="press lesser") for text, other in ways]


def _swaps(choice: CircuitChoice) -> list[Component]:
    if not choice.swapped:
        return []
    before = circuit_address(choice.unswapped)
    said = say("circuit.swapped", names=", ".join(choice.swapped))
    back = dcc.Link(say("circuit.swap.back"), href=before)
    return [html.P([said, " ", back], className="quiet swaps", role="status")]
