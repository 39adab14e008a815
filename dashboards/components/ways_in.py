"""Ways to get recordings: from the rider's own files, or the simulated ones to look around."""

from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboards.components.aria import LIVE
from dashboards.words import say


def way_to_files(*, class_name: str) -> list[Component]:
    """Open the browser's chooser (``assets/house.js``), or say that files can be dropped."""
    choose = html.Button(
        say("first.files.choose"), type="button", className=f"press {class_name} opens-import".strip()
    )
    return [html.P(choose), html.P(say("first.files.drop"), className="quiet")]


def way_to_demo() -> list[Component]:
    """Lead into the demo (``assets/demo.js``)."""
    unsent: dict[str, Any] = {"data-unsent": say("upload.unsent")}
    press = html.Button(say("first.files.demo.open"), id="demo-open", type="button", className="press lesser")
    return [
        html.P(say("first.files.demo"), className="quiet beside"),
        html.P([press, " ", html.Span(id="demo-said", role="status", **LIVE, **unsent)]),
    ]
