"""Every word the dashboard says of its own, a module for each page, ready to be translated.

Sentences about recoveries, trends and signals come with the values (``Reason.sentence``), cautions
from ``services.cautions``; neither is repeated here.
"""

from importlib import import_module

_PAGES = (
    "frame",
    "upload",
    "today",
    "first_run",
    "week",
    "plan",
    "recovery",
    "sessions",
    "rider",
    "circuit",
    "fieldtests",
    "partner",
)

WORDS: dict[str, str] = {}
for _page in _PAGES:
    _words: dict[str, str] = import_module(f"dashboards.words.{_page}").WORDS
    if _twice := WORDS.keys() & _words.keys():
        raise KeyError(f"said on two pages: {sorted(_twice)}")
    WORDS |= _words


def say(key: str, **values: object) -> str:
    """Return a text with its values filled in; a missing text or value is a ``KeyError``."""
    return WORDS[key].format(**values)
