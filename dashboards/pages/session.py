"""One session in full: its trace, its recoveries, what was left out, and what the rider says of it."""

from collections.abc import Sequence
from typing import Any

from dash import Dash, Input, Output, Patch, State, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats, tables
from dashboards.components.framed import drawn_id, framed, stored_id
from dashboards.components.marks import trace_key
from dashboards.components.measures import large
from dashboards.components.notes import caution, folded, sentences
from dashboards.components.recovery_table import session_table
from dashboards.components.session_parts import (
    class_minutes,
    flag_summary,
    session_measures,
    session_name,
    trace_table,
)
from dashboards.components.shell import ADDRESS
from dashboards.context import Look
from dashboards.figures.trace import ENDS, FALLS, HEART_RATE, lines, pointer_numbers, trace_figure
from dashboards.urls import SESSIONS, read_session, session_address
from dashboards.words import say
from rideready.services.cautions import MEDICINE
from rideready.services.context import Context
from rideready.services.riders import get_rider
from rideready.services.sessions import SessionRow, SessionView, list_sessions, session_view

FIGURE = "trace"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return one session's page and its title; None at any other address."""
    if look.session_id is None:
        return None
    return layout(look, look.session_id), say("title.session")


def layout(look: Look, session_id: int) -> Component:
    """Return one session's page; raises `NotInStore` if there is none of this number."""
    view = session_view(look.store, session_id)
    medicine = get_rider(look.store).takes_heart_rate_medicine
    return html.Div(
        [
            _heading(view, list_sessions(look.store)),
            large(session_measures(view)),
            *([caution(MEDICINE)] if medicine else []),
            *(_with_heart_rate(view) if view.session.has_heart_rate else _without_heart_rate()),
            *_warnings(view.row),
            *_notes(view.row),
        ],
        className="session",
    )


def register(app: Dash, store: Context) -> None:
    """Draw the trace anew, more finely, when the reader looks closer."""

    @app.callback(
        Output(stored_id(FIGURE), "data"),
        Input(drawn_id(FIGURE), "relayoutData"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    def look_closer(moved: dict[str, Any] | None, pathname: str | None) -> Patch:
        session_id, span_min = read_session(pathname), shown_span(moved)
        if session_id is None or span_min is None:
            raise PreventUpdate
        return closer(session_view(store, session_id), span_min)


def shown_span(moved: dict[str, Any] | None) -> tuple[float, float] | None:
    """Return the ends of the time axis after the reader changed it, minutes; None if it is something else."""
    moved = moved or {}
    # The library names the ends one by one after a drag, and together after a double click.
    ends = moved.get("xaxis.range") or [moved.get(f"xaxis.range[{end}]") for end in (0, 1)]
    low, high = ends
    return None if low is None or high is None else (float(low), float(high))


def closer(view: SessionView, span_min: tuple[float, float]) -> Patch:
    """Return what changes in the figure when only this stretch is looked at."""
    pulse, falls = lines(tables.trace(view), tables.falls(view), span_min=span_min)
    patch = Patch()
    for place, (x, y) in ((HEART_RATE, pulse), (FALLS, falls)):
        patch["data"][place]["x"], patch["data"][place]["y"] = x, y
    patch["data"][ENDS]["text"] = pointer_numbers(tables.falls(view), span_min)
    patch["layout"]["xaxis"]["range"] = list(span_min)
    return patch


def _heading(view: SessionView, all_rows: Sequence[SessionRow]) -> Component:
    row = view.row
    place = [other.session_id for other in all_rows].index(row.session_id)
    ways = [dcc.Link(say("session.back"), href=SESSIONS)]
    if place + 1 < len(all_rows):
        earlier = session_address(all_rows[place + 1].session_id)
        ways.append(dcc.Link(say("session.earlier"), href=earlier, id="session-earlier"))
    if place:
        later = session_address(all_rows[place - 1].session_id)
        ways.append(dcc.Link(say("session.later"), href=later, id="session-later"))
    facts = say(
        "session.facts",
        kind=say(f"kind.{row.kind}"),
        recorder=row.device or say("session.recorder.none"),
        posture=view.posture,
    )
    return html.Div(
        [
            html.Div(ways, className="ways"),
            html.H1(session_name(row)),
            html.P(facts, className="lead"),
        ]
    )


def _with_heart_rate(view: SessionView) -> list[Component]:
    bands, falls, left_out = tables.bands(view), tables.falls(view), tables.left_out(view)
    figure = trace_figure(tables.trace(view), bands, left_out, falls)
    recoveries = session_table(view.recoveries) if view.recoveries else html.P(say("session.recoveries.none"))
    return [
        html.Section(
            [
                html.H2(say("session.trace")),
                framed(FIGURE, figure, _described(view), class_name="trace"),
                trace_key(has_left_out=bool(len(left_out)), has_recoveries=bool(len(falls))),
                html.P(say("session.trace.hint"), className="quiet for-mouse"),
                folded(say("session.trace.table"), [trace_table(*tables.stretches(view))]),
            ]
        ),
        html.Section([html.H2(say("session.recoveries.title")), recoveries]),
        html.Div(
            [html.Section(class_minutes(view, bands)), html.Section(flag_summary(view))],
            className="two-up even",
        ),
    ]


def _without_heart_rate() -> list[Component]:
    return [html.P(say("session.trace.none"), className="lead")]


def _described(view: SessionView) -> str:
    row = view.row
    trusted = view.signal.hr_bpm[view.signal.hr_bpm > 0]
    return say(
        "session.trace.label",
        minutes=formats.duration(row.duration_s),
        low=formats.whole(trusted.min() if trusted.size else None),
        high=formats.whole(trusted.max() if trusted.size else None),
        n=formats.counted(len(view.recoveries), "recovery", "recoveries"),
        used=formats.percent(row.clean_share),
    )


def _warnings(row: SessionRow) -> list[Component]:
    if not row.warnings:
        return []
    return [html.Section([html.H2(say("session.warnings")), sentences(row.warnings)])]


def _notes(row: SessionRow) -> list[Component]:
    return [html.Section([html.H2(say("session.notes")), html.P(row.notes)])] if row.notes else []
