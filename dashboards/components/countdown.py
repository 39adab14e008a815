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
    measures = [
        Measure(say("today.opening.earliest"), *_days_to(window.earliest, today)),
        Measure(say("today.opening.likely"), *_days_to(window.likely, today)),
    ]
    way = dcc.Link(say("today.opening.change"), href=f"{WEEK}#opening", className="onward")
    return html.Section([large(measures), html.P(way)], className="countdown")


def _days_to(day: dt.date, today: dt.date) -> tuple[str, str, str, str]:
    left = (day - today).days
    written = f"{formats.WEEKDAYS[day.weekday()]} {formats.day(day)}"
    if left < 0:
        return say("today.opening.past"), "", "", written
    return str(left), "day" if left == 1 else "days", "", written
