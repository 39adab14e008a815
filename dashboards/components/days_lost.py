"""Telling of days away or ill, and the stretches that were told, each with the way to take it back."""

from collections.abc import Sequence

import dash_mantine_components as dmc
from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE, labelled
from dashboards.words import say
from rideready.services.stretches import CAUSES, LostDays

CAUSE, FIRST, LAST, WRITE = "lost-cause", "lost-first", "lost-last", "lost-write"
BACK, TOLD = "lost-back", "lost-told"


def days_lost(told: Sequence[LostDays]) -> Component:
    """Ask for a stretch without training, and list those that still matter."""
    causes = [{"value": cause, "label": say(f"lost.{cause}")} for cause in CAUSES]
    fields = html.Div(
        [
            dmc.Select(id=CAUSE, label=say("lost.cause"), data=causes, value=CAUSES[0], allowDeselect=False),
            html.Div([_date(FIRST, "lost.first"), _date(LAST, "lost.last")], className="dates"),
        ]
    )
    press = html.Button(say("lost.write"), id=WRITE, n_clicks=0, type="button", className="press")
    return html.Section(
        [
            html.H2(say("lost.title")),
            html.P(say("lost.lead"), className="quiet"),
            fields,
            html.P(press),
            html.P(say("today.ill.note"), className="caution"),
            html.Div(_listed(told), id=TOLD, **LIVE),
        ],
        className="days-lost",
    )


def said_of(one: LostDays) -> str:
    """Say a stretch in a line."""
    cause, first = say(f"lost.{one.cause}"), formats.weekday_and_day(one.first)
    if one.last is None:
        return say("lost.line.open", cause=cause, first=first)
    return say("lost.line", cause=cause, first=first, last=formats.weekday_and_day(one.last))


def _listed(told: Sequence[LostDays]) -> list[Component]:
    if not told:
        return []
    return [html.H3(say("lost.told")), html.Ul([_line(one) for one in told], className="written")]


def _line(one: LostDays) -> Component:
    said = said_of(one)
    back = html.Button(
        say("today.log.undo"),
        id={"type": BACK, "line": one.numbers[0]},
        n_clicks=0,
        type="button",
        className="plain",
        **labelled(say("today.log.undo.of", what=said)),
    )
    return html.Li([html.Span(said), back])


def _date(name: str, word: str) -> Component:
    field: Component = dmc.DatePickerInput(
        id=name, label=say(word), valueFormat="D MMM YYYY", placeholder="\N{EN DASH}", clearable=True
    )
    return field
