"""What the marks of a figure mean, drawn the way the figure draws them."""

from dash import html
from dash.development.base_component import Component

from dashboards.components.aria import SILENT
from dashboards.formats import percent
from dashboards.words import say


def recoveries_key(standard_reserve: float | None, *, n_courses: int, crowd: str = "") -> Component:
    """Key of the season's figure: grade by fill, first minute by shape, sessions, trend, and what is not drawn."""
    grades = [_entry(f"dot {grade}", say(f"legend.{grade}")) for grade in ("good", "fair", "rough")]
    modes = [_entry(f"dot shape {mode}", say(f"legend.{mode}")) for mode in ("still", "moving", "unknown")]
    standard = (
        say("legend.session", reserve=percent(standard_reserve))
        if standard_reserve is not None
        else say("legend.session.plain")
    )
    trend = say("legend.trends") if n_courses > 1 else say("legend.trend")
    lines = [_entry("bar", standard), *([_entry("run", trend)] if n_courses else [])]
    return html.Div(
        [
            html.P([html.Span(say("legend.grade"), className="key-title"), *grades]),
            html.P([html.Span(say("legend.mode"), className="key-title"), *modes]),
            html.P(lines),
            *([html.P(crowd)] if crowd else []),
        ],
        className="key",
    )


def trace_key(*, has_left_out: bool, has_recoveries: bool) -> Component:
    """Key of a session's figure."""
    entries = [_entry("run ink", say("session.key.trace"))]
    if has_recoveries:
        entries += [
            _entry("run", say("session.key.fall")),
            _entry("pointer", say("session.key.end")),
        ]
    if has_left_out:
        entries.append(_entry("strip", say("session.key.left_out")))
    return html.Div(html.P(entries), className="key")


def curve_key(*, has_fit: bool, has_left_out: bool) -> Component:
    """Key of one recovery's figure."""
    entries = [_entry("sample", say("opened.key.recorded"))]
    if has_fit:
        entries.append(_entry("run banded", say("opened.key.fit")))
    if has_left_out:
        entries.append(_entry("cross", say("session.key.left_out")))
    entries.append(_entry("upright", say("session.key.end")))
    return html.Div(html.P(entries), className="key")


def _entry(mark: str, text: str) -> Component:
    return html.Span([html.Span(className=f"mark {mark}", **SILENT), text], className="entry")
