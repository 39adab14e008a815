"""The dashboard as one Dash application, made anew for each store."""

import datetime as dt
import logging
from collections.abc import Callable
from string import Template
from typing import Any, Protocol

from dash import ClientsideFunction, Dash, Input, Output, State, html, set_props
from dash.dependencies import MATCH
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.components import window_trial
from dashboards.components.framed import DRAWN, STORED, drawn_id
from dashboards.components.notes import problem, unforeseen
from dashboards.components.shell import ADDRESS, GO_TO, PAGE, THEME, TITLE, TROUBLE, shell
from dashboards.context import Look
from dashboards.demo_room import serve_demo
from dashboards.pages import (
    circuit,
    fieldtests,
    first_run,
    follow,
    partner,
    plan,
    recovery,
    rider,
    session,
    sessions,
    today,
    week,
)
from dashboards.reader import is_in_demo, serve_reader
from dashboards.theme import css_variables, dark_partners
from dashboards.uploads import LIMIT_BYTES, receive_uploads
from dashboards.urls import RECOVERY
from dashboards.words import say
from rideready.errors import RidereadyError
from rideready.services.context import Context

_log = logging.getLogger(__name__)


class Page(Protocol):
    """What a module of ``dashboards.pages`` offers."""

    def page_at(self, look: Look, /) -> tuple[Component, str] | None:
        """Return the page and its title if the address is its own, else None."""

    def register(self, app: Dash, context: Context, /) -> None:
        """Connect the page's callbacks."""


PAGES: tuple[Page, ...] = (
    today,
    first_run,
    week,
    recovery,
    sessions,
    session,
    plan,
    circuit,
    follow,
    fieldtests,
    rider,
    partner,
)

#: Dash's own page, with a language, our colours before the first paint, and an icon that needs no file.
#: The library keeps the reader's choice of theme under the name read here.
_INDEX = Template(
    """<!DOCTYPE html>
<html lang="en">
<head>
{%metas%}
<title>{%title%}</title>
<link rel="icon" href="data:image/svg+xml,$icon">
<style>$variables</style>
<script>
(function () {
  var chosen = null;
  try { chosen = localStorage.getItem("mantine-color-scheme-value"); } catch (error) { /* private window */ }
  var dark = chosen === "dark" || (chosen !== "light" && matchMedia("(prefers-color-scheme: dark)").matches);
  document.documentElement.setAttribute("data-mantine-color-scheme", dark ? "dark" : "light");
})();
</script>
<script type="application/json" id="dark-partners">$partners</script>
{%css%}
</head>
<body>
{%app_entry%}
{%config%}
{%scripts%}
{%renderer%}
</body>
</html>"""
)

#: A pulse that falls: ours, drawn for this tab.
_ICON = (
    "%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 32 32'%3E%3Crect width='32' height='32' rx='5' "
    "fill='%230F5F73'/%3E%3Cpath d='M5 10h6c4 0 5 13 16 13' fill='none' stroke='%23FBFAF6' stroke-width='3' "
    "stroke-linecap='round'/%3E%3C/svg%3E"
)


def create_app(context: Context, *, clock: Callable[[], dt.date] | None = None) -> Dash:
    """Make the dashboard of one store.

    Serve ``create_app(context).server`` with any WSGI server, on 127.0.0.1 only. ``/health``
    answers ``OK``.

    Parameters
    ----------
    context
        The open store, whose sessions are meant, and the day taken as today.
    clock
        Tells the day it is now, so that a dashboard that is left open knows of midnight; without it today
        stays the context's.
    """
    app = Dash(
        __name__,
        title=say("app.name"),
        update_title="",
        index_string=_INDEX.substitute(icon=_ICON, variables=css_variables(), partners=dark_partners()),
        meta_tags=[{"name": "viewport", "content": "width=device-width, initial-scale=1"}],
        suppress_callback_exceptions=True,
        serve_locally=True,
        health_endpoint="health",
        enable_mcp=False,
        on_error=_tell,
    )
    demo = serve_demo(app)
    context = serve_reader(app, context, clock=clock, demo=demo)
    app.layout = lambda: shell(
        is_simulated=context.is_simulated, is_entered=is_in_demo(), limit_bytes=LIMIT_BYTES
    )
    receive_uploads(app, context)
    _register_routes(app, context)
    _register_browser_functions(app)
    for page in PAGES:
        page.register(app, context)
    return app


def warm_up(context: Context) -> None:
    """Make the dearest page once, for what is loaded and remembered on the way; it writes nothing.

    Parameters
    ----------
    context
        As for `create_app`, which must have been called.
    """
    page_of(Look(context, RECOVERY))


def page_of(look: Look) -> tuple[Component, str]:
    """Return the page at an address and the title of its tab."""
    try:
        for page in PAGES:
            if (found := page.page_at(look)) is not None:
                return found
    except RidereadyError as error:
        return problem(error), say("app.name")
    unknown = [html.H1(say("page.none", pathname=look.pathname)), html.P(say("page.none.help"))]
    return html.Div(unknown), say("app.name")


def _tell(error: Exception) -> None:
    """Show what a callback ran into, above the page; the last place where an error can be caught."""
    if isinstance(error, RidereadyError):
        set_props(TROUBLE, {"children": problem(error)})
        return
    _log.error("a page could not be shown", exc_info=error)
    set_props(TROUBLE, {"children": unforeseen()})


def _register_routes(app: Dash, context: Context) -> None:
    @app.callback(
        Output(PAGE, "children"),
        Output(TITLE, "data"),
        Output(TROUBLE, "children"),
        Input(ADDRESS, "pathname"),
        State(ADDRESS, "search"),
        State(ADDRESS, "hash"),
    )
    def show_page(pathname: str | None, search: str | None, fragment: str | None) -> tuple[Any, ...]:
        if pathname is None:
            raise PreventUpdate
        return *page_of(Look(context, pathname, search, fragment)), None


def _register_browser_functions(app: Dash) -> None:
    """Connect what the browser does alone; see ``assets/house.js``."""
    _in_browser(
        app,
        "inTheme",
        Output({"type": DRAWN, "name": MATCH}, "figure"),
        Input({"type": STORED, "name": MATCH}, "data"),
        Input(THEME, "computedColorScheme"),  # only to be told that it changed
    )
    _in_browser(
        app,
        "arrive",
        Output(TITLE, "modified_timestamp"),
        Input(TITLE, "data"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    _in_browser(
        app,
        "followWindow",
        *(
            Output(name, "value")
            for name in (window_trial.SLIDER, window_trial.EARLIEST, window_trial.LIKELY)
        ),
        Input(window_trial.HERE, "search"),
        State(window_trial.KEPT, "data"),
        prevent_initial_call=True,
    )
    for name in (recovery.FIGURE, session.FIGURE):
        _in_browser(
            app,
            "openClicked",
            Output(GO_TO, "href", allow_duplicate=True),
            Output(drawn_id(name), "clickData"),
            Input(drawn_id(name), "clickData"),
            prevent_initial_call=True,
        )


def _in_browser(app: Dash, name: str, *ends: Output | Input | State, **options: Any) -> None:
    function = ClientsideFunction("rideready", name)
    app.clientside_callback(function, *ends, **options)  # type: ignore[no-untyped-call]
