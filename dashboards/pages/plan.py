"""The season up to the opening window: at a glance, week by week, and planned anew."""

import datetime as dt

import pandas as pd
from dash import ALL, Dash, Input, Output, State, ctx, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats
from dashboards.components import days_lost
from dashboards.components.csv_way import csv_way
from dashboards.components.framed import framed
from dashboards.components.notes import folded, no_window, sentences
from dashboards.components.season_weeks import figure_table, floor_table, season_key, season_weeks
from dashboards.components.shell import PAGE
from dashboards.components.what_changed import what_changed
from dashboards.components.window_trial import window_trial
from dashboards.context import Look
from dashboards.figures.season import season_figure
from dashboards.pages import week as week_page
from dashboards.season_table import season_csv, season_table
from dashboards.urls import PLAN
from dashboards.words import say
from rideready.errors import BadInput
from rideready.model.season import Season
from rideready.services.context import Context
from rideready.services.lost_days import lost_days, take_back_lost_days, write_lost_days
from rideready.services.planning import SeasonSeen, season_seen
from rideready.services.training import get_training

FIGURE = "season"
NAME = "plan"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    return (layout(look), say("title.plan")) if look.pathname == PLAN else None


def layout(look: Look) -> Component:
    """Return the page for an address."""
    store = look.store
    if get_training(store).earliest is None:
        return no_window()
    seen = season_seen(store)
    season = seen.season
    window, weeks = season.request.window, season_table(season)
    dates = say(
        "plan.window",
        earliest=formats.weekday_and_day(window.earliest),
        likely=formats.weekday_and_day(window.likely),
    )
    trial = window_trial(window, week_page.tried_out(look), today=store.today, page=NAME, address=PLAN)
    return html.Div(
        [
            html.H1(say("plan.title")),
            html.P(dates, className="lead"),
            sentences([reason.sentence for reason in season.statements]),
            *_last_change(seen),
            framed(FIGURE, _figure(season, weeks), _described(season, weeks), class_name="season"),
            season_key(),
            html.Section([season_weeks(season), html.P(say("season.unit"), className="quiet")]),
            folded(say("season.table"), [figure_table(weeks), csv_way(season_csv(weeks), name="season")]),
            folded(say("plan.floor"), [floor_table(season.floor)]),
            folded(say("plan.rules"), [sentences([reason.sentence for reason in season.reasons])]),
            html.Div([trial, days_lost.days_lost(lost_days(store))], className="two-up even replan"),
        ],
        className="plan",
    )


def register(app: Dash, store: Context) -> None:
    """Connect this page's press that keeps a tried window, and telling of days without training.

    The rest is connected by the week's page.
    """
    week_page.keeping(app, store, page=NAME, pathname=PLAN, layout=layout)

    @app.callback(
        Output(PAGE, "children", allow_duplicate=True),
        Input(days_lost.WRITE, "n_clicks"),
        [State(name, "value") for name in (days_lost.CAUSE, days_lost.FIRST, days_lost.LAST)],
        prevent_initial_call=True,
    )
    def write(presses: int, *told: str | None) -> Component:
        if not presses:
            raise PreventUpdate
        tell_lost_days(store, *told)
        return layout(Look(store, PLAN))

    @app.callback(
        Output(PAGE, "children", allow_duplicate=True),
        Input({"type": days_lost.BACK, "line": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def take_back(_presses: list[int]) -> Component:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            raise PreventUpdate  # the press has only just been drawn
        take_back_lost_days(store, ctx.triggered_id["line"])
        return layout(Look(store, PLAN))


def tell_lost_days(store: Context, cause: str | None, first: str | None, last: str | None) -> None:
    """Write down what the fields hold; raises `BadInput` if a day is missing or cannot be."""
    if not first:
        raise BadInput("a stretch without training begins some day", what_to_do=say("lost.first.missing"))
    write_lost_days(
        store,
        cause or "",
        dt.date.fromisoformat(first[:10]),
        dt.date.fromisoformat(last[:10]) if last else None,
    )


def _figure(season: Season, weeks: pd.DataFrame) -> object:
    window = season.request.window
    return season_figure(
        weeks,
        window=(formats.day_number(window.earliest), formats.day_number(window.likely)),
        today=formats.day_number(season.request.today),
        name=say("season.window"),
    )


def _described(season: Season, weeks: pd.DataFrame) -> str:
    past = weeks[weeks["target_min"].isna()]["done_min"]
    window = season.request.window
    values = {
        "last": formats.day(season.weeks[-1].last_day),
        "planned": ", ".join(str(week.targets.moderate_equivalent_min) for week in season.weeks),
        "earliest": formats.day(window.earliest),
        "likely": formats.day(window.likely),
    }
    if past.empty:
        return say("season.label.none", **values)
    return say(
        "season.label",
        first=formats.day(formats.date_of(weeks["start"].min())),
        n_done=len(past),
        low=formats.whole(past.min()),
        high=formats.whole(past.max()),
        **values,
    )


def _last_change(seen: SeasonSeen) -> list[Component]:
    """Show what the plan changed when it last changed, and why; nothing while it has not."""
    if seen.change is None or seen.changed_on is None:
        return []
    title = say("plan.changed", day=formats.weekday_and_day(seen.changed_on))
    return [html.Details([html.Summary(title), html.Div(what_changed(seen.change))], open=True)]
