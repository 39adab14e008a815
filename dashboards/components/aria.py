"""What a screen reader is told about an element, in the form Dash wants its wildcards."""

from typing import Any

#: For decoration: a screen reader passes over it.
SILENT: dict[str, Any] = {"aria-hidden": "true"}

#: For a text that changes by itself: a screen reader reads the new one when it is done.
LIVE: dict[str, Any] = {"aria-live": "polite"}


def labelled(text: str) -> dict[str, Any]:
    """Give an element a name."""
    return {"aria-label": text}
