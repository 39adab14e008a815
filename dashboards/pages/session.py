"""One session in full: its trace, its recoveries, what was left out, and what the rider says of it."""

from collections.abc import Sequence
from typing import Any

from dash import ALL, Dash, Input, Output, Patch, State, ctx, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats, tables
from dashboards.components import session_edit as edit
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
from rideready.model.session import Kind
from rideready.services.cautions import MEDICINE
from rideready.services.context import Context
from rideready.services.deletion import delete_session, restore_session
from rideready.services.editing import clear_rpe, edit_session
from rideready.services.riders import get_rider
from rideready.services.sessions import (
    SessionRow,
    SessionView,
    get_session_row,
    neighbours_of,
    session_view,
    usual_posture,
)
from rideready.services.twice import count_both, count_once

FIGURE = "trace"
BODY = "session-body"
FACTS = "session-facts"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return one session's page and its title; None at any other address."""
    if look.session_id is None:
        return None
    return layout(look, look.session_id), say("title.session")


def layout(look: Look, session_id: int) -> Component:
    """Return one session's page; raises `NotInStore` if there is none of this number."""
    return html.Div(parts_of_page(look.store, session_id), id=BODY, className="session")


def parts_of_page(store: Context, session_id: int) -> list[Component]:
    """Return what stands on one session's page; raises as `layout`."""
    view = session_view(store, session_id)
    medicine = get_rider(store).takes_heart_rate_medicine
    return [
        _heading(view, *neighbours_of(store, session_id)),
        *edit.written_too(view),
        large(session_measures(view)),
        *([caution(MEDICINE)] if medicine else []),
        *(_with_heart_rate(view) if view.session.has_heart_rate else _without_heart_rate()),
        *_warnings(view.row),
        edit.session_edit(view),
    ]


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

    @app.callback(
        Output(edit.SAVED, "children"),
        Output(FACTS, "children"),
        Input(edit.SAVE, "n_clicks"),
        State(edit.KIND, "value"),
        State(edit.POSTURE, "value"),
        State(edit.RPE, "value"),
        State(edit.NOTES, "value"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    def save(presses: int, *told: Any) -> tuple[str, str]:
        *values, pathname = told
        session_id = _pressed(presses, pathname)
        _write_down(store, session_id, values)
        return say("session.edit.saved"), _facts(session_view(store, session_id))

    @app.callback(
        Output(BODY, "children", allow_duplicate=True),
        Input({"type": edit.APART, "line": ALL}, "n_clicks"),
        Input({"type": edit.ONCE, "line": ALL}, "n_clicks"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    def count(_apart: list[int], _once: list[int], pathname: str | None) -> list[Component]:
        session_id = _pressed(ctx.triggered[0]["value"] if ctx.triggered else 0, pathname)
        asked = ctx.triggered_id
        (count_both if asked["type"] == edit.APART else count_once)(store, asked["line"])
        return parts_of_page(store, session_id)

    @app.callback(
        Output(BODY, "children"),
        Input(edit.DELETE, "n_clicks"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    def delete(presses: int, pathname: str | None) -> list[Component]:
        session_id = _pressed(presses, pathname)
        name = session_name(get_session_row(store, session_id))
        delete_session(store, session_id)
        return edit.just_deleted(session_id, name)

    @app.callback(
        Output(BODY, "children", allow_duplicate=True),
        Input({"type": edit.RESTORE, "session": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def restore(_presses: list[int]) -> list[Component]:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            raise PreventUpdate  # the press has only just been drawn
        row = restore_session(store, ctx.triggered_id["session"])
        return parts_of_page(store, row.session_id)


def _pressed(presses: int, pathname: str | None) -> int:
    """Return the session whose page was pressed on; raises `PreventUpdate` if nothing was."""
    session_id = read_session(pathname)
    if not presses or session_id is None:
        raise PreventUpdate
    return session_id


def _write_down(store: Context, session_id: int, told: Sequence[Any]) -> None:
    """Keep what the rider says; the posture only if it is another than is assumed anyway."""
    kind, posture, rpe, notes = told
    before = get_session_row(store, session_id)
    is_usual = before.posture is None and posture == usual_posture(Kind(kind))
    is_unrated = rpe in {None, ""}
    if is_unrated:
        clear_rpe(store, session_id)
    edit_session(
        store,
        session_id,
        kind=Kind(kind),
        posture=None if is_usual else posture,
        rpe=None if is_unrated else float(rpe),
        notes=notes or "",
    )


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


def _heading(view: SessionView, earlier: int | None, later: int | None) -> Component:
    row = view.row
    ways = [dcc.Link(say("session.back"), href=SESSIONS)]
    if earlier is not None:
        ways.append(dcc.Link(say("session.earlier"), href=session_address(earlier), id="session-earlier"))
    if later is not None:
        ways.append(dcc.Link(say("session.later"), href=session_address(later), id="session-later"))
    return html.Div(
        [
            html.Div(ways, className="ways"),
            html.H1(session_name(row)),
            html.P(_facts(view), className="lead", id=FACTS),
        ]
    )


def _facts(view: SessionView) -> str:
    row = view.row
    return say(
        "session.facts",
        kind=say(f"kind.{row.kind}"),
        recorder=formats.recorder(row.device) or say("session.recorder.none"),
        posture=view.posture,
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
