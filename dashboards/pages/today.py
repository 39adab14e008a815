"""What to do today, how hard, and writing down that it is done."""

import datetime as dt
from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats
from dashboards.components import today_log
from dashboards.components.countdown import movable_countdown
from dashboards.components.day_parts import day_parts, pulse_basis, short_parts
from dashboards.components.notes import caution, cautions, folded, sentences
from dashboards.components.today_circuit import todays_circuit
from dashboards.context import Look
from dashboards.urls import HOME
from dashboards.words import say
from rideready.model.reason import Reason
from rideready.model.season import OpeningWindow
from rideready.model.today import TodayAnswer
from rideready.services.cautions import MEDICINE
from rideready.services.context import Context
from rideready.services.diary import write_entry, write_resting_pulse
from rideready.services.riders import get_rider
from rideready.services.today import Today, today_with_circuit
from rideready.services.today_log import log_as_planned, take_back, written_today
from rideready.services.training import get_training
from rideready.services.twice import twice_on

BODY = "today-body"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address, and while no opening window is known."""
    if look.pathname != HOME or get_training(look.store).earliest is None:
        return None
    return layout(look.store), say("title.today")


def layout(store: Context) -> Component:
    """Return the page."""
    return html.Div(body(store), id=BODY, className="today")


def body(store: Context) -> list[Component]:
    """Return what the page says of the day as it stands now."""
    found = today_with_circuit(store)
    answer, lines = found.answer, written_today(store)
    medicine, window = get_rider(store).takes_heart_rate_medicine, get_training(store).window
    main = [
        html.P(_date_line(answer.day, window), className="quiet eyebrow"),
        html.H1(_headline(answer, is_done=bool(lines))),
        *([caution(MEDICINE)] if medicine else []),
        *([day_parts(answer.parts)] if answer.parts else [sentences(_said(answer.why))]),
        *([cautions(_said(answer.cautions))] if answer.sessions else []),
        *([today_log.done_as_planned()] if answer.sessions else []),
        today_log.written(lines, twice_on(store, store.today)),
        *todays_circuit(found),
        *_folds(found),
    ]
    course = html.Section([html.H2(say("today.course")), sentences(_said(answer.on_course))])
    aside = [movable_countdown(window, store.today), course, today_log.other_entries()]
    return [html.Div([html.Div(main), html.Div(aside, className="aside")], className="two-up")]


def register(app: Dash, store: Context) -> None:
    """Connect the presses that write something down, and those that take it back."""

    @app.callback(
        Output(BODY, "children"),
        Input({"type": today_log.RATE, "rpe": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def log_done(_presses: list[int]) -> list[Component]:
        _stop_unless_pressed()
        log_as_planned(store, rpe=ctx.triggered_id["rpe"])
        return body(store)

    @app.callback(
        Output(BODY, "children", allow_duplicate=True),
        Input({"type": today_log.UNDO, "book": ALL, "number": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def undo(_presses: list[int]) -> list[Component]:
        _stop_unless_pressed()
        take_back(store, book=ctx.triggered_id["book"], number=ctx.triggered_id["number"])
        return body(store)

    @app.callback(
        Output(BODY, "children", allow_duplicate=True),
        Input(today_log.SAVE, "n_clicks"),
        State(today_log.KIND, "value"),
        State(today_log.MINUTES, "value"),
        State(today_log.RPE, "value"),
        prevent_initial_call=True,
    )
    def log_other(_presses: int, kind: str, minutes: Any, rpe: Any) -> list[Component]:
        _stop_unless_pressed()
        write_entry(store, kind, minutes=_number(minutes), rpe=_number(rpe))
        return body(store)

    @app.callback(
        Output(BODY, "children", allow_duplicate=True),
        Input(today_log.RESTING_SAVE, "n_clicks"),
        State(today_log.RESTING, "value"),
        prevent_initial_call=True,
    )
    def keep_resting_pulse(_presses: int, bpm: Any) -> list[Component]:
        _stop_unless_pressed()
        write_resting_pulse(store, _number(bpm) or 0.0)
        return body(store)

    @app.callback(
        Output(BODY, "children", allow_duplicate=True),
        Input({"type": today_log.FEEL, "word": ALL}, "n_clicks"),
        State(today_log.JOINTS, "value"),
        prevent_initial_call=True,
    )
    def log_feeling(_presses: list[int], joints: list[str] | None) -> list[Component]:
        _stop_unless_pressed()
        word = ctx.triggered_id["word"]
        kind, tags = today_log.FEELINGS.get(word, (word, tuple(joints or ())))
        write_entry(store, kind, tags=tags)
        return body(store)


def _stop_unless_pressed() -> None:
    """Do nothing when a press has only just appeared on the page: Dash tells of that as of a click."""
    if not ctx.triggered or not ctx.triggered[0]["value"]:
        raise PreventUpdate


def _date_line(day: dt.date, window: OpeningWindow) -> str:
    date = f"{formats.weekday(day)}, {formats.day(day)}"
    left = (window.earliest - day).days
    if left <= 0:
        return date
    return say("today.date", date=date, days=formats.counted(left, "day", "days"))


def _headline(answer: TodayAnswer, *, is_done: bool) -> str:
    if not answer.sessions:
        return say("today.done") if is_done else say("today.rest")
    said = ", then ".join(session.kind.label for session in answer.sessions)
    return f"{said[:1].upper()}{said[1:]}, {say('today.minutes', minutes=answer.minutes)}"


def _folds(found: Today) -> list[Component]:
    answer = found.answer
    basis = pulse_basis(answer.parts)
    return [
        *(
            [folded(say("today.short"), [short_parts(answer.if_only_20_min)])]
            if answer.if_only_20_min
            else []
        ),
        *([folded(say("today.why"), [sentences([*_said(answer.why), *basis])])] if answer.parts else []),
    ]


def _said(reasons: tuple[Reason, ...]) -> list[str]:
    return [reason.sentence for reason in reasons]


def _number(value: Any) -> float | None:
    """Return what stands in a field for a number; an empty one holds ""."""
    return None if value in {None, ""} else float(value)
