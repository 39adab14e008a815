"""How the load of the last weeks was spread: session RPE load, monotony, strain."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.notes import sentences
from dashboards.words import say
from rideready.services.week_load import WeekLoad


def load_table(loads: Sequence[WeekLoad]) -> list[Component]:
    """List the weeks, newest first, and say what is missing in them."""
    words = ("week.load.week", "week.load.load", "week.load.monotony", "week.load.strain")
    head = html.Tr([html.Th(say(word), scope="col") for word in words])
    body = [_row(week) for week in reversed(loads)]
    table = html.Table([html.Caption(say("week.load.caption")), html.Thead(head), html.Tbody(body)])
    missing = list(dict.fromkeys(reason.sentence for week in reversed(loads) for reason in week.reasons))
    return [
        html.Div(table, className="table"),
        html.P(say("week.load.note"), className="quiet"),
        *([sentences(missing)] if missing else []),
    ]


def _row(week: WeekLoad) -> Component:
    return html.Tr(
        [
            html.Th(formats.short_day(week.start), scope="row"),
            html.Td(formats.whole(week.load)),
            html.Td(formats.tenths(week.monotony)),
            html.Td(formats.whole(week.strain)),
        ]
    )
