"""Is recovery getting faster, and what does each recovery look like."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from dash import Dash, Input, Output, Patch, State, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import crowd, formats, tables
from dashboards.components import filters as controls
from dashboards.components.aria import labelled
from dashboards.components.framed import framed, label_id, stored_id
from dashboards.components.marks import recoveries_key
from dashboards.components.notes import caution, empty_store, ignored_note, no_match, problem
from dashboards.components.opened import opened_recovery
from dashboards.components.recovery_table import season_table
from dashboards.components.shell import GO_TO
from dashboards.components.verdict import verdict
from dashboards.context import Look
from dashboards.figures.curve import curve_figure
from dashboards.figures.recoveries import RING, recoveries_figure, ring_around
from dashboards.urls import RECOVERY, RecoveryFilters, View, after_controls, filters_from_controls
from dashboards.words import say
from rideready.errors import RidereadyError
from rideready.model.trend import Trend
from rideready.services.cautions import MEDICINE, NOT_MEDICAL, cautions_for_trend
from rideready.services.context import Context
from rideready.services.recoveries import RecoveryRow, list_recoveries, recovery_view
from rideready.services.riders import get_rider
from rideready.services.sessions import SessionRow, list_sessions
from rideready.services.trends import season_start
from rideready.services.trends import trend as work_out_trend

HERE = "recovery-address"
VERDICT = "recovery-verdict"
CHART = "recovery-chart"
KEY = "recovery-key"
TABLE = "recovery-table"
OPENED = "recovery-opened"
FIGURE = "recoveries"


@dataclass(frozen=True, slots=True)
class Season:
    """What the filters choose; fields in the order of the outputs of `register`'s first callback."""

    verdict: list[Component]
    summary: str
    figure: Any
    label: str
    key: Component
    chart_is_hidden: bool
    table: list[Component]


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    return (layout(look), say("title.recovery")) if look.pathname == RECOVERY else None


def layout(look: Look) -> Component:
    """Return the page for an address."""
    sessions = list_sessions(look.store)
    if not sessions:
        return empty_store()
    rows = chosen(look)
    season = season_of(look, sessions, rows)
    medicine = get_rider(look.store).takes_heart_rate_medicine
    bar = controls.filter_bar(look.filters, summary=season.summary, devices=tables.devices(sessions))
    chart = html.Div(
        [
            html.Div(framed(FIGURE, season.figure, season.label, class_name="season"), **_KEYBOARD),
            html.Div(season.key, id=KEY),
        ],
        id=CHART,
        hidden=season.chart_is_hidden,
    )
    return html.Div(
        [
            dcc.Location(
                id=HERE, refresh=False, pathname=look.pathname, search=look.search, hash=look.fragment
            ),
            *([caution(MEDICINE)] if medicine else []),
            html.Section(season.verdict, id=VERDICT, className="verdict"),
            bar,
            html.Div(
                [
                    html.Section([chart, html.Div(season.table, id=TABLE)], className="season-side"),
                    html.Section(opened_of(look, rows), id=OPENED, **labelled(say("opened.label"))),
                    _how_to_read(),
                ],
                className="two-up of-season",
            ),
        ]
    )


#: The arrow keys step through the recoveries while the figure has the focus (``assets/house.js``).
_KEYBOARD: dict[str, Any] = {
    "tabIndex": 0,
    "role": "group",
    "aria-label": say("figure.keys"),
    "className": "arrow-keys",
}


def register(app: Dash, store: Context) -> None:
    """Connect the page's controls, figure and address."""

    @app.callback(
        Output(VERDICT, "children"),
        Output(controls.SUMMARY, "children"),
        Output(stored_id(FIGURE), "data"),
        Output(label_id(FIGURE), "aria-label"),
        Output(KEY, "children"),
        Output(CHART, "hidden"),
        Output(TABLE, "children"),
        Input(HERE, "search"),
        State(HERE, "hash"),
        State(HERE, "pathname"),
        prevent_initial_call=True,
    )
    def show_season(search: str | None, fragment: str | None, pathname: str | None) -> tuple[Any, ...]:
        _stop_if_left(pathname)
        look = Look(store, RECOVERY, search, fragment)
        season = season_of(look, list_sessions(store), chosen(look))
        return tuple(getattr(season, name) for name in Season.__slots__)

    @app.callback(
        Output(OPENED, "children"),
        Output(stored_id(FIGURE), "data", allow_duplicate=True),
        Input(HERE, "hash"),
        Input(HERE, "search"),
        State(HERE, "pathname"),
        prevent_initial_call=True,
    )
    def show_opened(fragment: str | None, search: str | None, pathname: str | None) -> tuple[Any, ...]:
        _stop_if_left(pathname)
        look = Look(store, RECOVERY, search, fragment)
        rows = chosen(look)
        return opened_of(look, rows), _moved_ring(look, rows)

    @app.callback(
        Output(GO_TO, "search"),
        [Input(control, "value") for control in controls.CONTROLS],
        State(HERE, "search"),
        prevent_initial_call=True,
    )
    def put_filters_into_address(*told: Any) -> str:
        *values, search = told
        return after_controls(search, filters_from_controls(*values))

    @app.callback(
        [Output(control, "value") for control in controls.CONTROLS],
        Input(HERE, "search"),
        State(HERE, "pathname"),
        prevent_initial_call=True,
    )
    def set_controls_from_address(search: str | None, pathname: str | None) -> tuple[Any, ...]:
        _stop_if_left(pathname)
        return controls.control_values(Look(store, search=search).filters)


def _stop_if_left(pathname: str | None) -> None:
    """Do nothing once the reader is on the way to another page: this one is about to go."""
    if pathname != RECOVERY:
        raise PreventUpdate


def season_of(look: Look, sessions: Sequence[SessionRow], rows: Sequence[RecoveryRow]) -> Season:
    """Put together what the chosen recoveries and the trend of the same time say."""
    filters = asked(look)
    span = {"since": filters.since, "until": filters.until}
    total = sum(session.n_recoveries for session in sessions)
    trend = work_out_trend(look.store, device=filters.device, **span)
    opened = look.opened or tables.default_opened(rows)
    drawn = crowd.drawn(rows, opened=opened)
    marked = crowd.evenly(trend.points, crowd.MOST_SESSIONS)
    dots, points = tables.dots(drawn), tables.trend_points(replace(trend, points=tuple(marked)), sessions)
    figure = recoveries_figure(dots, points, opened=str(opened))
    return Season(
        verdict=_verdict(look, trend),
        summary=controls.summary_of(filters, shown=len(rows), total=total),
        figure=figure,
        label=_described(rows, trend),
        key=recoveries_key(
            trend.standard_reserve,
            n_courses=points.loc[points["fitted_bpm"].notna(), "recorder"].nunique(),
            crowd=_crowd_said(len(drawn), rows, trend),
        ),
        chart_is_hidden=filters.view is View.TABLE or not rows,
        table=_below_chart(rows, filters, has_any=bool(total)),
    )


def opened_of(look: Look, rows: Sequence[RecoveryRow]) -> list[Component]:
    """Show the recovery that the address opens, else the newest of the best grade on screen."""
    opened = look.opened or tables.default_opened(rows)
    if opened is None:
        return []
    try:
        view = recovery_view(look.store, opened.session_id, opened.order)
    except RidereadyError as error:
        return [problem(error)]
    samples, fit = tables.samples(view), tables.fitted(view)
    recovery = view.row.recovery
    figure = curve_figure(
        samples, fit, peak_bpm=recovery.peak_bpm, hrr60_bpm=recovery.hrr60_bpm, settle_bpm=view.settle_bpm
    )
    earlier, later = tables.neighbours(rows, opened)
    return opened_recovery(view, figure=figure, samples=samples, fit=fit, earlier=earlier, later=later)


def asked(look: Look) -> RecoveryFilters:
    """Return what the address asks for; without any days, this season."""
    filters = look.filters
    if filters.since is not None or filters.until is not None:
        return filters
    return replace(filters, since=season_start(look.store))


def chosen(look: Look) -> list[RecoveryRow]:
    """Return the recoveries that the filters choose."""
    filters = asked(look)
    rows = list_recoveries(
        look.store,
        since=filters.since,
        until=filters.until,
        grades=filters.grades or None,
        modes=filters.modes or None,
    )
    return tables.of_device(rows, filters.device)


def _moved_ring(look: Look, rows: Sequence[RecoveryRow]) -> Patch:
    """Move the ring in the figure on screen, without drawing the rest anew."""
    opened = look.opened or tables.default_opened(rows)
    x, y = ring_around(tables.dots([row for row in rows if tables.key_of(row) == opened]), str(opened))
    patch = Patch()
    patch["data"][RING]["x"], patch["data"][RING]["y"] = x.tolist(), y.tolist()
    return patch


def _verdict(look: Look, trend: Trend) -> list[Component]:
    note = ignored_note(look.filters.ignored)
    beware = [caution(text) for text in cautions_for_trend(trend) if text != NOT_MEDICAL]
    return [*verdict(trend), *beware, *([note] if note else [])]


def _below_chart(rows: Sequence[RecoveryRow], filters: RecoveryFilters, *, has_any: bool) -> list[Component]:
    if not has_any:
        return [html.P(say("none.recoveries"), className="lead")]
    if not rows:
        return [no_match(RECOVERY)]
    return [season_table(rows, filters)] if filters.view is View.TABLE else []


def _crowd_said(n_drawn: int, rows: Sequence[RecoveryRow], trend: Trend) -> str:
    """Say what the figure leaves out; nothing if it draws all."""
    if len(rows) <= crowd.MOST_DOTS:
        return ""
    return say(
        "legend.crowd", drawn=n_drawn, n=len(rows), marked=crowd.MOST_SESSIONS, sessions=trend.n_sessions
    )


def _described(rows: Sequence[RecoveryRow], trend: Trend) -> str:
    charted = crowd.charted(rows)
    if not charted:
        return say("figure.recoveries.none")
    drops = np.array([row.recovery.hrr60_bpm for row in charted], dtype=float)
    return say(
        "figure.recoveries",
        n=len(charted),
        first=formats.day(charted[0].end_local),
        last=formats.day(charted[-1].end_local),
        low=formats.whole(drops.min()),
        high=formats.whole(drops.max()),
        median=formats.whole(float(np.median(drops))),
        verdict=say(f"verdict.{trend.direction}"),
    )


def _how_to_read() -> Component:
    texts = ("read.drop", "read.session", "read.trend", "read.device", "read.clinic")
    paragraphs = [html.P(say(text)) for text in texts]
    return html.Section([html.H2(say("read.title")), *paragraphs, caution(NOT_MEDICAL)], id="how-to-read")
