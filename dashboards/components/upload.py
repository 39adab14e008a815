"""Bringing files in from any page: a way in the bar, and the place where it is told what became of them."""

import json
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboards.components.aria import LIVE, labelled
from dashboards.words import WORDS, say

OPEN = "import-open"
PLACE = "import-place"

#: Most files taken in one go; a folder of some years fits, and as an archive any number does.
MOST_FILES = 2000

#: What the browser says by itself while it sends (``assets/upload.js``).
_SAID_IN_BROWSER = (
    "sending",
    "waiting",
    "busy",
    "settled",
    "unsent",
    "changed",
    "changed.show",
    "too_many",
    "too_large",
    "empty",
    "unreadable",
)


def upload_way() -> Component:
    """Open the browser's file chooser (``assets/upload.js``)."""
    return html.Button(
        say("upload.open"),
        id=OPEN,
        type="button",
        className="press lesser import-open",
        **labelled(say("upload.open.label")),
    )


def upload_place(*, limit_bytes: int) -> Component:
    """Return the place where dropped files are received and their fate is told; empty until then.

    Parameters
    ----------
    limit_bytes
        The largest file the server takes.
    """
    # With their blanks: the browser fills them.
    words = {name: WORDS[f"upload.{name}"] for name in _SAID_IN_BROWSER}
    told = {"words": words, "limit_mb": limit_bytes >> 20, "most": MOST_FILES}
    held: dict[str, Any] = {"data-told": json.dumps(told)}
    return html.Div(
        [
            html.Div(
                [html.P(say("upload.drop"), className="drop-title"), html.P(say("upload.drop.note"))],
                className="drop-sheet",
            ),
            html.Section(
                [
                    html.Div(
                        [
                            html.H2(say("upload.title")),
                            html.Button(say("upload.close"), type="button", className="plain imports-close"),
                        ],
                        className="imports-head",
                    ),
                    html.P(className="imports-sum", role="status", **LIVE),
                    html.Ul(className="imports-lines"),
                ],
                className="imports closed",
                **labelled(say("upload.title")),
            ),
        ],
        id=PLACE,
        **held,
    )
