"""Short texts with a frame of their own: cautions, problems, empty states, explanations."""

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from dashboards.components.ways_in import way_to_demo, way_to_files
from dashboards.urls import START
from dashboards.words import say
from rideready.errors import RidereadyError


def caution(text: str) -> Component:
    """Warn where the reader acts on a figure."""
    return html.P(text, className="caution", role="note")


def cautions(texts: Sequence[str]) -> Component:
    """Warn of several things in one frame."""
    return html.Div([html.P(text) for text in texts], className="caution several", role="note")


def problem(error: RidereadyError) -> Component:
    """Say what went wrong and what to do, as the error words it."""
    text = str(error)
    return _trouble(f"{text[:1].upper()}{text[1:]}")


def unforeseen() -> Component:
    """Say that something went wrong that nobody foresaw."""
    return _trouble(say("problem.unforeseen"))


def _trouble(text: str) -> Component:
    return html.Div([html.H1(say("problem.title")), html.P(text)], className="problem", role="alert")


def ignored_note(parts: Sequence[str]) -> Component | None:
    """Say which parts of the address were left out; None if none were."""
    if not parts:
        return None
    return html.P(say("address.ignored", parts=", ".join(parts)), className="quiet", role="status")


def sentences(texts: Sequence[str]) -> Component:
    """List reasons plainly."""
    return html.Ul([html.Li(text) for text in texts], className="sentences")


def folded(title: str, children: Sequence[Component]) -> Component:
    """Text that opens on demand."""
    return html.Details([html.Summary(title), html.Div(list(children), className="folded")])


def empty_store() -> Component:
    """Say what to do while there is no session at all."""
    return html.Section(
        [
            html.H1(say("empty.title")),
            html.P(say("empty.lead"), className="lead"),
            *way_to_files(class_name=""),
            *way_to_demo(),
            folded(say("empty.terminal"), _in_a_terminal()),
        ],
        className="empty",
    )


def _in_a_terminal() -> list[Component]:
    return [
        html.P([say(f"empty.terminal.{what}"), html.Pre(say(f"empty.command.{what}"))])
        for what in ("import", "demo")
    ]


def no_window() -> Component:
    """Say that an opening window is wanted, with the way to where it is asked for."""
    way = dcc.Link(say("window.none.way"), href=f"{START}/window", className="press")
    return html.Section(
        [html.H1(say("window.none.title")), html.P(say("window.none.lead"), className="lead"), html.P(way)],
        className="empty",
    )


def no_match(address: str) -> Component:
    """Say that filters leave nothing, with the way back."""
    return html.P([say("none.match"), " ", dcc.Link(say("none.match.all"), href=address)], className="lead")
