"""Trying out another opening window: a slider or two dates, what would change, and keeping it."""

import datetime as dt

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE
from dashboards.components.what_changed import what_changed
from dashboards.words import say
from rideready.model.comparison import Comparison
from rideready.model.season import OpeningWindow

SLIDER = "window-slider"
EARLIEST, LIKELY = "window-earliest", "window-likely"
TRIAL = "window-trial"
#: The address of the page that tries a window; read by its callbacks.
HERE = "window-address"
#: The window that is kept, for the browser, which moves slider and dates after the address by itself:
#: an answer of the server could come after the reader has gone on.
KEPT = "window-kept"

#: How far the window may be moved by the slider, days.
FARTHEST = 28


def keep_id(page: str) -> str:
    """Id of the press that keeps the tried window on a page."""
    return f"window-keep-{page}"


def window_trial(
    kept: OpeningWindow, found: Comparison | None, *, today: dt.date, page: str, address: str
) -> Component:
    """Let the reader try another window.

    Parameters
    ----------
    kept
        The window the plan is made for.
    found
        The plan for the tried window beside today's; None if none is tried.
    today
        Today; the window cannot be moved before it.
    page
        Name of the page this stands on.
    address
        Path of that page.
    """
    tried = kept if found is None else found.after.request.window
    return html.Section(
        [
            dcc.Location(id=HERE, refresh=False, pathname=address),
            dcc.Store(id=KEPT, data=[kept.earliest.isoformat(), kept.likely.isoformat()]),
            html.H2(say("trial.title"), id="opening"),
            html.P(say("trial.lead"), className="quiet"),
            _slider(kept, tried, today=today),
            html.Details([html.Summary(say("trial.exact")), _dates(tried)]),
            html.Div(trial(kept, found, page=page), id=TRIAL, **LIVE),
        ],
        className="window-trial",
    )


def trial(kept: OpeningWindow, found: Comparison | None, *, page: str) -> list[Component]:
    """Show what a tried window changes, and offer to keep it; the kept one if none is tried."""
    keep = html.Button(
        say("trial.keep"),
        id=keep_id(page),
        n_clicks=0,
        type="button",
        className="press",
        hidden=found is None,
    )
    if found is None:
        return [html.P(_said("trial.kept", kept)), keep]
    return [
        html.P(_said("trial.tried", found.after.request.window)),
        html.P([keep, html.Span(say("trial.nothing_kept"), className="quiet")], className="keep"),
        *what_changed(found),
    ]


def days_moved(kept: OpeningWindow, tried: OpeningWindow | None) -> int:
    """Return by how many days the earliest day is moved: where the slider stands."""
    return 0 if tried is None else (tried.earliest - kept.earliest).days


def moved_by(kept: OpeningWindow, days: int) -> OpeningWindow:
    """Return the window with both days moved by as many days."""
    step = dt.timedelta(days=days)
    return OpeningWindow(kept.earliest + step, kept.likely + step)


def _slider(kept: OpeningWindow, tried: OpeningWindow, *, today: dt.date) -> Component:
    """Move both days of the window together by up to four weeks, but not into the past."""
    lowest = max(-FARTHEST, min(0, (today - kept.earliest).days + 1))
    marks = [{"value": days, "label": _mark(days)} for days in (-28, -14, 0, 14, 28) if days >= lowest]
    slider: Component = dmc.Slider(
        id=SLIDER,
        min=lowest,
        max=FARTHEST,
        step=1,
        value=days_moved(kept, tried),
        marks=marks,
        label=None,
        updatemode="mouseup",
        thumbLabel=say("trial.slider"),
        className="window-slider",
    )
    return slider


def _dates(window: OpeningWindow) -> Component:
    fields = ((EARLIEST, "replan.earliest", window.earliest), (LIKELY, "replan.likely", window.likely))
    return html.Div(
        [
            dmc.DatePickerInput(
                id=name, label=say(word), value=day.isoformat(), valueFormat="D MMM YYYY", className="date"
            )
            for name, word, day in fields
        ],
        className="dates",
    )


def _said(word: str, window: OpeningWindow) -> str:
    return say(
        word,
        earliest=formats.weekday_and_day(window.earliest),
        likely=formats.weekday_and_day(window.likely),
    )


def _mark(days: int) -> str:
    if days == 0:
        return say("trial.as_kept")
    return say("trial.earlier" if days < 0 else "trial.later", weeks=abs(days) // 7)
