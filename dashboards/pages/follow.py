"""A circuit followed along: large, step by step, in the browser alone until it is written down."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.components.circuit_address import FOLLOW, circuit_address, read_choice
from dashboards.components.circuit_made import circuit_of
from dashboards.components.follow_plan import stage
from dashboards.components.notes import problem
from dashboards.context import Look
from dashboards.words import say
from rideready.errors import BadInput, RidereadyError
from rideready.model.circuit import CircuitLog
from rideready.services.context import Context
from rideready.services.following import Followed, log_followed

FINISHED = "follow-finished"
ANSWER = "follow-answer"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    return (layout(look), say("title.follow")) if look.pathname == FOLLOW else None


def layout(look: Look) -> Component:
    """Return the page for an address; a workout that was begun goes on even if it could not be made again."""
    choice = read_choice(look.search)
    choice = choice if choice.day else replace(choice, day=look.store.today)
    trouble: list[Component] = []
    try:
        circuit = circuit_of(look.store, choice)
    except RidereadyError as error:
        circuit, trouble = None, [html.Div(problem(error), className="follow-trouble")]
    return html.Div(
        [
            dcc.Store(id=FINISHED),
            dcc.Store(id=ANSWER),
            dcc.Link(say("follow.leave"), href=circuit_address(choice), className="follow-leave"),
            stage(circuit, look.search or str(choice.day)),
            *trouble,
        ],
        className="follow-page",
    )


def register(app: Dash, store: Context) -> None:
    """Connect the one word from the browser: the circuit is over."""

    @app.callback(Output(ANSWER, "data"), Input(FINISHED, "data"), prevent_initial_call=True)
    def write_down(told: Mapping[str, Any] | None) -> dict[str, str]:
        if not told:
            raise PreventUpdate
        try:
            return {"logged": _said(log_followed(store, followed_from(told))), "trouble": ""}
        except RidereadyError as error:
            return {"logged": "", "trouble": str(error)}

    app.clientside_callback(  # type: ignore[no-untyped-call]
        ClientsideFunction("ridereadyFollow", "answered"),
        Output(ANSWER, "modified_timestamp"),
        Input(ANSWER, "data"),
        prevent_initial_call=True,
    )


def followed_from(told: Mapping[str, Any]) -> Followed:
    """Read what the browser tells; raises ``BadInput`` if it is not what ``assets/follow.js`` tells."""
    try:
        return Followed(
            day=dt.date.fromisoformat(told["day"]),
            names=tuple(map(str, told["names"])),
            top_count=int(told["top"]),
            full_top_count=int(told["full_top"]),
            rounds_done=int(told["rounds"]),
            minutes=float(told["minutes"]),
            rpe=None if told["rpe"] is None else float(told["rpe"]),
            weights_kg=tuple(None if kg is None else float(kg) for kg in told["weights_kg"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise BadInput("the circuit that was followed could not be read", "circuit") from error


def _said(log: CircuitLog) -> str:
    rated = "" if log.rpe is None else say("follow.logged_rated", rpe=f"{log.rpe:g}")
    return say("follow.logged_now", done=log.rounds_done, rounds=log.top_count, rated=rated)
