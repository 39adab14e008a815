"""The week: targets against done, the days, and what another opening date would do."""

import datetime as dt
from typing import Any

from dash import Dash, Input, Output, State, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats
from dashboards.components import window_trial
from dashboards.components.countdown import countdown
from dashboards.components.notes import folded, no_window, sentences
from dashboards.components.shell import GO_TO, PAGE
from dashboards.components.week_bars import bars_key, week_bars
from dashboards.components.week_days import week_days
from dashboards.components.week_loads import load_table
from dashboards.context import Look
from dashboards.urls import PLAN, WEEK, read_window, write_window
from dashboards.words import say
from rideready.model.comparison import Comparison
from rideready.model.season import OpeningWindow
from rideready.model.week import WeekPlan
from rideready.services.context import Context
from rideready.services.planning import moved_window, set_window, this_week
from rideready.services.progress import progress_of
from rideready.services.training import get_training
from rideready.services.week_load import week_loads

NAME = "week"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    return (layout(look), say("title.week")) if look.pathname == WEEK else None


def layout(look: Look) -> Component:
    """Return the page for an address."""
    store = look.store
    if get_training(store).earliest is None:
        return no_window()
    plan, window = this_week(store), get_training(store).window
    tried = tried_out(look)
    main = [
        html.H1(say("week.title")),
        html.P(_lead(plan, window, store.today), className="lead"),
        html.Section([html.H2(say("week.targets")), week_bars(progress_of(plan).targets), bars_key()]),
        *_fit(plan),
        html.Section([html.H2(say("week.days")), week_days(plan, today=store.today)]),
        folded(say("week.load"), load_table(week_loads(store))),
        folded(say("week.rules"), [sentences([one.sentence for one in (*plan.moved, *plan.reasons)])]),
    ]
    trial = window_trial.window_trial(window, tried, today=store.today, page=NAME, address=WEEK)
    aside = html.Div([countdown(window, store.today), trial], className="aside")
    return html.Div(html.Div([html.Div(main), aside], className="two-up"), className="week")


def tried_out(look: Look) -> Comparison | None:
    """Return the plan for the window that the address tries, beside today's; None if none is tried."""
    tried = look.tried_window
    if tried is None or tried == get_training(look.store).window:
        return None
    return moved_window(look.store, earliest=tried.earliest, likely=tried.likely)


def register(app: Dash, store: Context) -> None:
    """Connect slider and dates of both pages that try a window, and this page's press that keeps one."""

    @app.callback(
        Output(GO_TO, "search", allow_duplicate=True),
        Input(window_trial.SLIDER, "value"),
        State(window_trial.HERE, "search"),
        prevent_initial_call=True,
    )
    def slide(days: int | None, search: str | None) -> str:
        kept = get_training(store).window
        if window_trial.days_moved(kept, read_window(search)) == (days or 0):
            raise PreventUpdate  # the slider only followed the address
        return _search(window_trial.moved_by(kept, days or 0), kept)

    @app.callback(
        Output(GO_TO, "search", allow_duplicate=True),
        Input(window_trial.EARLIEST, "value"),
        Input(window_trial.LIKELY, "value"),
        State(window_trial.HERE, "search"),
        prevent_initial_call=True,
    )
    def set_dates(earliest: str | None, likely: str | None, search: str | None) -> str:
        kept = get_training(store).window
        wanted = _window(earliest, likely)
        if wanted is None or wanted == (read_window(search) or kept):
            raise PreventUpdate
        return _search(wanted, kept)

    @app.callback(
        Output(window_trial.TRIAL, "children"),
        Input(window_trial.HERE, "search"),
        State(window_trial.HERE, "pathname"),
        prevent_initial_call=True,
    )
    def show_trial(search: str | None, pathname: str | None) -> list[Component]:
        if pathname not in {WEEK, PLAN}:
            raise PreventUpdate
        return _trial(Look(store, pathname, search))

    keeping(app, store, page=NAME, pathname=WEEK, layout=layout)


def keeping(app: Dash, store: Context, *, page: str, pathname: str, layout: Any) -> None:
    """Connect the press that keeps a tried window on one page."""

    @app.callback(
        Output(PAGE, "children", allow_duplicate=True),
        Output(GO_TO, "search", allow_duplicate=True),
        Input(window_trial.keep_id(page), "n_clicks"),
        State(window_trial.HERE, "search"),
        prevent_initial_call=True,
    )
    def keep(presses: int, search: str | None) -> tuple[Component, str]:
        if not presses or (tried := read_window(search)) is None:
            raise PreventUpdate
        set_window(store, earliest=tried.earliest, likely=tried.likely)
        return layout(Look(store, pathname)), ""


def _trial(look: Look) -> list[Component]:
    kept, found = get_training(look.store).window, tried_out(look)
    return window_trial.trial(kept, found, page=NAME if look.pathname == WEEK else "plan")


def _search(wanted: OpeningWindow, kept: OpeningWindow) -> str:
    return "" if wanted == kept else write_window(wanted)


def _window(earliest: str | None, likely: str | None) -> OpeningWindow | None:
    """Read two dates as the fields give them; None while one is empty."""
    if not earliest or not likely:
        return None
    return OpeningWindow(dt.date.fromisoformat(earliest[:10]), dt.date.fromisoformat(likely[:10]))


def _lead(plan: WeekPlan, window: OpeningWindow, today: dt.date) -> str:
    week, left = plan.week, (window.earliest - today).days
    lead = say(
        "week.lead.easier" if week.is_easier else "week.lead",
        first=formats.short_day(week.start),
        last=formats.short_day(week.last_day),
        phase=say(f"phase.{week.phase}"),
    )
    days = formats.counted(left, "day", "days")
    return f"{lead} {say('week.lead.left', days=days)}" if left > 0 else lead


def _fit(plan: WeekPlan) -> list[Component]:
    said = [one.reason.sentence for one in plan.dropped]
    return [html.Section([html.H2(say("week.fit")), sentences(said)])] if said else []
