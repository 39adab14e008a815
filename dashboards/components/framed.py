"""A figure on the page: drawn in the reader's theme, described in words, never alone."""

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboards.components.aria import labelled
from dashboards.theme import FIGURE_CONFIG

STORED = "figure-data"
DRAWN = "figure"


def stored_id(name: str) -> dict[str, str]:
    """Id of the figure as the server made it; callbacks write here."""
    return {"type": STORED, "name": name}


def drawn_id(name: str) -> dict[str, str]:
    """Id of the figure on screen; callbacks read clicks and zooms here."""
    return {"type": DRAWN, "name": name}


def label_id(name: str) -> str:
    """Id of the element that carries the figure's text alternative."""
    return f"label-{name}"


def framed(name: str, figure: Any, label: str, *, class_name: str = "") -> Component:
    """Put a figure in its frame.

    The server's figure waits in a store; the browser swaps its colours for the theme's and hands
    it to the graph (``assets/house.js``). A screen reader meets one image with one text.

    Parameters
    ----------
    name
        Unique on its page.
    figure
        A plotly figure in the light colours.
    label
        Text alternative: what a reader without the picture must know.
    class_name
        Sets the height, see ``house-figures.css``.
    """
    config: Any = dict(FIGURE_CONFIG)
    return html.Div(
        [
            dcc.Store(id=stored_id(name), data=figure),
            html.Div(
                dcc.Graph(id=drawn_id(name), config=config, responsive=True, className="graph"),
                id=label_id(name),
                role="img",
                className="picture",
                **labelled(label),
            ),
        ],
        className=f"framed {class_name}".strip(),
    )
