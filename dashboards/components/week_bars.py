"""The week's targets as bars: done, placed on the days left, and a mark at what is asked for."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import SILENT
from dashboards.words import say
from rideready.services.progress import TargetProgress


def week_bars(lines: Sequence[TargetProgress]) -> Component:
    """Return a table with a bar in each line; its numbers say the same as the bars."""
    names = ("what", "bar", "done", "asked", "left")
    head = html.Tr(
        [html.Th(say(f"week.target.{name}"), scope="col", className=f"of-{name}") for name in names]
    )
    body = html.Tbody([_row(line) for line in lines])
    caption = html.Caption(say("week.caption"), className="unseen")
    return html.Div(html.Table([caption, html.Thead(head), body], className="week-bars"), className="table")


def bars_key() -> Component:
    """Say what the parts of a bar are."""
    entries = [
        ("done-part", "week.key.done"),
        ("placed-part", "week.key.placed"),
        ("asked", "week.key.asked"),
    ]
    return html.Div(
        html.P(
            [
                html.Span([html.Span(className=f"mark {mark}", **SILENT), say(word)], className="entry")
                for mark, word in entries
            ]
        ),
        className="key",
    )


def _row(line: TargetProgress) -> Component:
    return html.Tr(
        [
            html.Th(say(f"week.line.{line.what}"), scope="row"),
            html.Td(_bar(line), className="of-bar"),
            html.Td(formats.whole(line.done), className="of-done"),
            html.Td(formats.whole(line.target), className="of-asked"),
            html.Td(formats.whole(line.left), className="of-left"),
        ]
    )


def _bar(line: TargetProgress) -> Component:
    full = max(line.target, _reached(line)) * 1.04 or 1.0
    done, reached, asked = (100 * value / full for value in (line.done, _reached(line), line.target))
    return html.Div(
        [
            html.Span(className="placed-part", style={"width": f"{reached:.1f}%"}),
            html.Span(className="done-part", style={"width": f"{done:.1f}%"}),
            html.Span(className="asked-mark", style={"left": f"{asked:.1f}%"}),
        ],
        className="target-bar",
        **SILENT,
    )


def _reached(line: TargetProgress) -> float:
    """Return where done and placed end together; the longest piece is not a sum."""
    return max(line.done, line.placed) if line.what == "long piece" else line.done + line.placed
