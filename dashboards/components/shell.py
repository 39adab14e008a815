"""What stands around every page: name, ways to the pages, theme, the simulated mark, the stop signs."""

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards.components.aria import SILENT, labelled
from dashboards.components.notes import caution
from dashboards.components.upload import upload_place, upload_way
from dashboards.theme import component_theme
from dashboards.urls import CIRCUIT, HOME, PARTNER, PLAN, RECOVERY, RIDER, SESSIONS, START, TESTS, WEEK
from dashboards.words import say
from rideready.services.cautions import SIMULATED, STOP_SIGNS

PAGE = "page"
ADDRESS = "address"
GO_TO = "go-to"
THEME = "theme"
TROUBLE = "trouble"
TITLE = "title"

#: The pages one can walk to, in their order, and where each lies.
WAYS = {
    "today": HOME,
    "week": WEEK,
    "recovery": RECOVERY,
    "sessions": SESSIONS,
    "circuit": CIRCUIT,
    "plan": PLAN,
    "tests": TESTS,
    "partner": PARTNER,
    "rider": RIDER,
}
#: Those always in the row; on a phone the others wait behind "More".
ALWAYS_IN_ROW = ("today", "week", "recovery", "sessions", "circuit")


def shell(*, is_simulated: bool, is_entered: bool, limit_bytes: int) -> Component:
    """Return the frame into which pages are put.

    ``ADDRESS`` is read, ``GO_TO`` is written: a callback that changed what it listens to would
    run in a circle.

    Parameters
    ----------
    is_simulated
        Whether the store that is shown holds simulated sessions.
    is_entered
        Whether it is the demo beside the rider's own store, which can be left.
    limit_bytes
        The largest file the server takes.
    """
    frame: Component = dmc.MantineProvider(
        [
            dcc.Location(id=ADDRESS, refresh=False),
            dcc.Location(id=GO_TO, refresh="callback-nav"),
            dcc.Store(id=TITLE),
            html.A(say("nav.skip"), href="#page", className="skip", id="skip"),
            html.Header(
                [
                    _bar(),
                    *([_mark(is_entered=is_entered)] if is_simulated else []),
                ]
            ),
            upload_place(limit_bytes=limit_bytes),
            html.Div(id=TROUBLE, role="alert"),
            html.Main(id=PAGE, tabIndex=-1),
            html.Footer(
                [caution(STOP_SIGNS), html.P(dcc.Link(say("first.again"), href=START, id="first-steps"))]
            ),
        ],
        theme=component_theme(),
        defaultColorScheme="auto",
    )
    return frame


def _mark(*, is_entered: bool) -> Component:
    """Say that everything is simulated, with the way back (``assets/demo.js``)."""
    leave = html.Button(say("demo.leave"), id="demo-leave", type="button", className="plain")
    way: list[Component | str] = [" ", leave] if is_entered else []
    return html.P([SIMULATED, *way], className="simulated", role="note")


def _bar() -> Component:
    return html.Div(
        [
            dcc.Link(say("app.name"), href=HOME, className="wordmark"),
            html.Nav(_ways(), **labelled(say("nav.label"))),
            upload_way(),
            dmc.ColorSchemeToggle(
                id=THEME,
                lightIcon=html.Span("\N{CIRCLE WITH RIGHT HALF BLACK}", **SILENT),
                darkIcon=html.Span("\N{CIRCLE WITH LEFT HALF BLACK}", **SILENT),
                variant="subtle",
                className="theme-switch",
                **labelled(say("theme.switch")),
            ),
        ],
        className="top",
    )


def _ways() -> list[Component]:
    """Lead to every page: in one row where there is room, the lesser ones folded where there is not.

    The folded ones stand there twice; the style sheet shows one of the two.
    """
    later = [name for name in WAYS if name not in ALWAYS_IN_ROW]
    row = [_way(name, f"nav-{name}", "later" if name in later else "") for name in WAYS]
    folded = [_way(name, f"nav-more-{name}", "") for name in later]
    return [*row, html.Details([html.Summary(say("nav.more")), html.Div(folded)], className="more")]


def _way(name: str, element: str, class_name: str) -> Component:
    return dcc.Link(say(f"nav.{name}"), href=WAYS[name], id=element, className=class_name)
