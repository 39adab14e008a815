"""Every session in a list, to sort and to narrow; the address holds what was chosen."""

from dataclasses import replace
from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import tables
from dashboards.components import session_list as controls
from dashboards.components.notes import empty_store, ignored_note
from dashboards.components.session_edit import DELETED, RESTORE_LISTED, deleted_list
from dashboards.components.sessions_address import (
    SessionFilters,
    chosen_sessions,
    filters_from_session_controls,
    read_session_filters,
    write_session_filters,
)
from dashboards.components.shell import GO_TO
from dashboards.context import Look
from dashboards.urls import read_sessions_page
from dashboards.words import say
from rideready.model.session import Kind
from rideready.services.context import Context
from rideready.services.deletion import list_deleted, restore_session
from rideready.services.sessions import list_sessions

HERE = "sessions-address"
BODY = "sessions-body"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the list and its title; None at any other address."""
    return (layout(look), say("title.sessions")) if look.sessions_page is not None else None


def layout(look: Look) -> Component:
    """Return the page for an address."""
    rows = list_sessions(look.store)
    if not rows:
        # The list that a restored session comes back to, and the address it reads.
        here = dcc.Location(id=HERE, refresh=False, pathname=look.pathname, search=look.search)
        deleted = html.Div(deleted_list(list_deleted(look.store)), id=DELETED)
        return html.Div([here, html.Div(empty_store(), id=BODY), deleted])
    filters = _filters(look)
    shown = chosen_sessions(rows, filters)
    occurring = {row.kind for row in rows}
    bar = controls.session_filter_bar(
        filters,
        kinds=[kind for kind in Kind if kind in occurring],
        devices=tables.devices(rows),
        summary=controls.summary_of_sessions(filters, shown=len(shown), total=len(rows)),
    )
    note = ignored_note(filters.ignored)
    return html.Div(
        [
            dcc.Location(id=HERE, refresh=False, pathname=look.pathname, search=look.search),
            html.H1(say("sessions.title")),
            *([note] if note else []),
            bar,
            html.Div(controls.session_list(shown, filters), id=BODY),
            html.P(say("sessions.note"), className="quiet"),
            html.Div(deleted_list(list_deleted(look.store)), id=DELETED),
        ]
    )


def register(app: Dash, store: Context) -> None:
    """Connect address, controls and list."""

    @app.callback(
        Output(BODY, "children"),
        Output(controls.SUMMARY, "children"),
        *[Output(control, "value") for control in controls.CONTROLS],
        Input(HERE, "search"),
        State(HERE, "pathname"),
        prevent_initial_call=True,
    )
    def show_list(search: str | None, pathname: str | None) -> tuple[Any, ...]:
        if read_sessions_page(pathname) is None:
            raise PreventUpdate  # on the way to another page
        rows, filters = list_sessions(store), read_session_filters(search)
        shown = chosen_sessions(rows, filters)
        said = controls.summary_of_sessions(filters, shown=len(shown), total=len(rows))
        return controls.session_list(shown, filters), said, *controls.session_control_values(filters)

    @app.callback(
        Output(BODY, "children", allow_duplicate=True),
        Output(DELETED, "children"),
        Input({"type": RESTORE_LISTED, "session": ALL}, "n_clicks"),
        State(HERE, "search"),
        prevent_initial_call=True,
    )
    def restore(_presses: list[int], search: str | None) -> tuple[Component, list[Component]]:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            raise PreventUpdate  # the press has only just been drawn
        restore_session(store, ctx.triggered_id["session"])
        filters = read_session_filters(search)
        shown = chosen_sessions(list_sessions(store), filters)
        return controls.session_list(shown, filters), deleted_list(list_deleted(store))

    @app.callback(
        Output(GO_TO, "search", allow_duplicate=True),
        [Input(control, "value") for control in controls.CONTROLS],
        State(HERE, "search"),
        prevent_initial_call=True,
    )
    def put_filters_into_address(*told: Any) -> str:
        *values, search = told
        moved = filters_from_session_controls(search, *values)
        if moved == read_session_filters(search):
            raise PreventUpdate
        return write_session_filters(moved)


def _filters(look: Look) -> SessionFilters:
    filters = read_session_filters(look.search)
    # An address of earlier days, /sessions/page/2, still leads to its page.
    return replace(filters, page=max(filters.page, look.sessions_page or 1))
