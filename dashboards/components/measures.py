"""Figures set large, each with its unit, its uncertainty and what it is."""

from collections.abc import Sequence
from dataclasses import dataclass

from dash import html
from dash.development.base_component import Component


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure.

    Parameters
    ----------
    name
        What it is.
    value
        As text, already rounded; a sentence if it could not be measured.
    unit
        Unit; may be empty.
    spread
        Uncertainty, set beside the value; may be empty.
    note
        What kind of uncertainty, or what the figure rests on; may be empty.
    """

    name: str
    value: str
    unit: str = ""
    spread: str = ""
    note: str = ""


def large(measures: Sequence[Measure], *, n_first: int = 0) -> Component:
    """Set figures side by side; the first ``n_first`` of them larger still.

    The name stands before the figure for a screen reader and below it for the eye.
    """
    return html.Dl(
        [_one(measure, is_first=place < n_first) for place, measure in enumerate(measures)],
        className="measures",
    )


def listed(measures: Sequence[Measure]) -> Component:
    """Set lesser figures one below the other."""
    return html.Dl(
        [
            html.Div([html.Dt(m.name), html.Dd([_value(m), html.Span(m.note, className="note")])])
            for m in measures
        ],
        className="listed",
    )


def _one(measure: Measure, *, is_first: bool) -> Component:
    return html.Div(
        [
            html.Dt(measure.name),
            html.Dd([_value(measure), html.Span(measure.note, className="note")]),
        ],
        className="measure first" if is_first else "measure",
    )


def _value(measure: Measure) -> Component:
    parts: list[Component | str] = [measure.value]
    if measure.unit:
        parts.append(html.Span(f"\N{NO-BREAK SPACE}{measure.unit}", className="unit"))
    if measure.spread:
        parts.append(html.Span(f" {measure.spread}", className="spread"))
    return html.Span(parts, className="value")
