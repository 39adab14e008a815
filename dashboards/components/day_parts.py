"""A day's session part by part, with what the pulse should be set large."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboards.words import say
from rideready.model.today import EffortAim, SessionPart


def day_parts(parts: Sequence[SessionPart]) -> Component:
    """List the parts in order: minutes, what, how hard."""
    return html.Ol([_part(part) for part in parts], className="day-parts")


def short_parts(parts: Sequence[SessionPart]) -> Component:
    """List the parts of the short version in a line each."""
    return html.Ul(
        [html.Li([html.Strong(f"{part.minutes} min {part.what}. "), part.how.sentence]) for part in parts],
        className="sentences",
    )


def pulse_basis(parts: Sequence[SessionPart]) -> list[str]:
    """Say once each what the pulse numbers of these parts rest on."""
    return list(dict.fromkeys(part.effort.basis.sentence for part in parts if part.effort is not None))


def _part(part: SessionPart) -> Component:
    return html.Li(
        [
            html.Span(
                [html.Span(str(part.minutes), className="count"), html.Span("\N{NO-BREAK SPACE}min")],
                className="part-minutes",
            ),
            html.Div(
                [
                    html.H2(part.what[:1].upper() + part.what[1:]),
                    *([_effort(part.effort)] if part.effort is not None else []),
                    html.P(part.how.sentence, className="how"),
                ]
            ),
        ]
    )


def _effort(aim: EffortAim) -> Component:
    feel = say("today.part.rpe", low=aim.rpe_low, high=aim.rpe_high)
    said = f"{aim.label[:1].upper()}{aim.label[1:]}, {feel}. {aim.talk.sentence}"
    if aim.low_bpm is None or aim.high_bpm is None:
        return html.P(said, className="feel")
    return html.Div(
        [
            html.P(
                [
                    say("today.part.bpm", low=aim.low_bpm, high=aim.high_bpm),
                    html.Span("\N{NO-BREAK SPACE}bpm"),
                ],
                className="pulse",
            ),
            html.P(said, className="feel"),
        ]
    )
