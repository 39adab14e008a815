"""The season up to the opening window: at a glance, week by week, and planned anew."""

import pandas as pd
from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.framed import framed
from dashboards.components.notes import folded, no_window, sentences
from dashboards.components.season_weeks import floor_table, past_weeks, season_key, season_weeks
from dashboards.components.what_changed import what_changed
from dashboards.components.window_trial import window_trial
from dashboards.context import Look
from dashboards.figures.season import season_figure
from dashboards.pages import week as week_page
from dashboards.season_table import season_table
from dashboards.urls import HOME, PLAN
from dashboards.words import say
from rideready.model.season import Season
from rideready.services.context import Context
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
            folded(say("season.past"), [past_weeks(weeks)]),
            folded(say("plan.floor"), [floor_table(season.floor)]),
            folded(say("plan.rules"), [sentences([reason.sentence for reason in season.reasons])]),
            html.Div([trial, _ill()], className="two-up even replan"),
        ],
        className="plan",
    )


def register(app: Dash, store: Context) -> None:
    """Connect this page's press that keeps a tried window; the rest is connected by the week's page."""
    week_page.keeping(app, store, page=NAME, pathname=PLAN, layout=layout)


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


def _ill() -> Component:
    way = dcc.Link(say("replan.ill.way"), href=HOME)
    return html.Section([html.H2(say("replan.illness")), html.P(say("replan.ill.help")), html.P(way)])
