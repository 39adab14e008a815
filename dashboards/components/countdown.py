"""How many days are left to the opening window."""

import datetime as dt

from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.measures import Measure, large
from dashboards.urls import WEEK
from dashboards.words import say
from rideready.model.season import OpeningWindow


def countdown(window: OpeningWindow, today: dt.date) -> Component:
    """Set the days to the earliest and to the likely opening day side by side."""
    return html.Section(_days_left(window, today), className="countdown")


def movable_countdown(window: OpeningWindow, today: dt.date) -> Component:
    """Do the same, with the way to where the dates can be moved."""
    way = dcc.Link(say("today.opening.change"), href=f"{WEEK}#opening", className="onward")
    return html.Section([_days_left(window, today), html.P(way)], className="countdown")


def _days_left(window: OpeningWindow, today: dt.date) -> Component:
    measures = [
        Measure(say("today.opening.earliest"), *_days_to(window.earliest, today)),
        Measure(say("today.opening.likely"), *_days_to(window.likely, today)),
    ]
    return large(measures)


def _days_to(day: dt.date, today: dt.date) -> tuple[str, str, str, str]:
    left = (day - today).days
    written = formats.weekday_and_day(day)
    if left < 0:
        return say("today.opening.past"), "", "", written
    return str(left), "day" if left == 1 else "days", "", written
