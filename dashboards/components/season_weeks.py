"""The season's weeks as a table with the reasons, and the weeks before them."""

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import SILENT
from dashboards.words import say
from rideready.model.season import FloorStatus, Season, Week

_NUMBERS = {
    "season.minutes": "moderate_equivalent_min",
    "season.vigorous": "vigorous_min",
    "season.circuits": "circuits",
    "season.bursts": "burst_practices",
    "season.strength": "strength",
    "season.mobility": "mobility",
    "season.long": "long_piece_min",
}


def season_weeks(season: Season) -> Component:
    """List every week of the plan, its targets, and below it why they are what they are."""
    first = [html.Th(say(word), scope="col") for word in ("season.week", "season.phase")]
    numbers = [html.Th(say(word), scope="col", className=_class_of(word)) for word in _NUMBERS]
    head = html.Tr([*first, *numbers])
    body = [row for week in season.weeks for row in _week(week)]
    table = [html.Caption(say("season.caption")), html.Thead(head), html.Tbody(body)]
    return html.Div(html.Table(table, className="season-weeks"), className="table")


def figure_table(weeks: pd.DataFrame) -> Component:
    """List every week of the season's figure, newest first."""
    words = ("week", "table.done", "table.planned", "table.limit")
    head = html.Tr([html.Th(say(f"season.{word}"), scope="col") for word in words])
    columns = (weeks[name][::-1] for name in ("start", "done_min", "target_min", "limit_min"))
    body = [
        html.Tr(
            [
                html.Th(formats.day(formats.date_of(start)), scope="row", className="figure-cell"),
                *[html.Td(formats.whole(minutes), className="figure-cell") for minutes in figures],
            ]
        )
        for start, *figures in zip(*columns, strict=True)
    ]
    table = [html.Caption(say("season.table.caption")), html.Thead(head), html.Tbody(body)]
    return html.Div(html.Table(table), className="table")


def floor_table(floor: FloorStatus) -> Component:
    """List what the floor asks for, and what the plan gives."""
    words = ("plan.floor.what", "plan.floor.needed", "plan.floor.given")
    head = html.Tr([html.Th(say(word), scope="col") for word in words])
    body = [
        html.Tr(
            [
                html.Th(line.what, scope="row"),
                html.Td(formats.whole(line.needed)),
                html.Td(formats.whole(line.given)),
            ]
        )
        for line in floor.lines
    ]
    table = [html.Caption(say("plan.floor.caption")), html.Thead(head), html.Tbody(body)]
    return html.Div(html.Table(table), className="table")


def season_key() -> Component:
    """Say what the marks of the season's figure mean."""
    entries = [
        ("done-part", "season.key.done"),
        ("placed-part", "season.key.planned"),
        ("limit", "season.key.limit"),
        ("upright", "season.key.today"),
    ]
    marks = [
        html.Span([html.Span(className=f"mark {mark}", **SILENT), say(word)], className="entry")
        for mark, word in entries
    ]
    return html.Div(html.P(marks), className="key")


def _week(week: Week) -> list[Component]:
    phase = say(f"phase.{week.phase}")
    phase = say("season.easier", phase=phase) if week.is_easier else phase
    numbers = [
        html.Td(str(getattr(week.targets, field)), className=_class_of(word))
        for word, field in _NUMBERS.items()
    ]
    why = " ".join(reason.sentence for reason in week.reasons)
    row = html.Tr(
        [
            html.Th(formats.short_day(week.start), scope="row", className="figure-cell"),
            html.Td(phase),
            *numbers,
        ]
    )
    narrow = html.Span(_in_words(week), className="for-narrow")
    return [row, html.Tr(html.Td([narrow, why], colSpan=2 + len(_NUMBERS)), className="why")]


def _class_of(word: str) -> str:
    """Say which columns have no room on a phone; there their numbers stand in words."""
    return "" if word in {"season.minutes", "season.vigorous"} else "minor"


def _in_words(week: Week) -> str:
    targets = week.targets
    counts = (
        (targets.circuits, "circuit", "circuits"),
        (targets.burst_practices, "burst practice", "burst practices"),
        (targets.strength, "strength session", "strength sessions"),
        (targets.mobility, "mobility session", "mobility sessions"),
    )
    return ", ".join(formats.counted(number, one, many) for number, one, many in counts if number) + ". "
