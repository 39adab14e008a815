"""Entering a field test: counted by hand, or read from a recording."""

from collections.abc import Sequence
from typing import Any

import dash_mantine_components as dmc
from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.words import say
from rideready.model.fieldtest import FieldTest
from rideready.services.fieldtests import BY_HAND
from rideready.services.sessions import SessionRow

SCORE = "fieldtest-score"
READ = "fieldtest-read"
SESSION = "fieldtest-session"
TROUBLE = "fieldtest-trouble"
COUNT = "fieldtest-count"
SECONDS = "fieldtest-seconds"

#: How many counts each test takes by hand.
_COUNTS = {FieldTest.YMCA: 1, FieldTest.QUEENS_COLLEGE: 1, FieldTest.HARVARD: 3}
#: So many sessions are offered, newest first.
_OFFERED = 30


def entering(test: FieldTest, sessions: Sequence[SessionRow]) -> Component:
    """Return the form of a test.

    Parameters
    ----------
    test
        Which.
    sessions
        The rider's sessions, newest first.
    """
    return html.Section(
        [
            *(_by_hand(test) if test in BY_HAND else []),
            *_from_recording(sessions),
            html.Div(id=TROUBLE, role="alert"),
            html.P(say("fieldtests.enter.once"), className="quiet"),
        ],
        className="entering",
    )


def missing(counts: Sequence[Any], seconds: Sequence[Any]) -> str:
    """Say what has to be entered first; empty if nothing has. Three counts are entered in order."""
    said = [is_said(beats) for beats in counts]
    if not said[0] or (len(said) == 3 and said[1] != said[2]):
        return say("fieldtests.missing")
    return say("fieldtests.missing.seconds") if seconds and not is_said(seconds[0]) else ""


def is_said(value: object) -> bool:
    """Whether something stands in a field."""
    return value not in {None, ""}


def _by_hand(test: FieldTest) -> list[Component]:
    fields = [
        _number({"type": COUNT, "n": n}, say(f"fieldtests.count.{test.value}.{n}"))
        for n in range(1, _COUNTS[test] + 1)
    ]
    if test is FieldTest.HARVARD:
        fields.insert(0, _number({"type": SECONDS, "n": 1}, say("fieldtests.seconds")))
    button = html.Button(say("fieldtests.score"), id=SCORE, type="button", className="press")
    return [
        html.H2(say("fieldtests.enter")),
        html.Div(fields, className="counts"),
        html.Div(button, className="ways"),
    ]


def _from_recording(sessions: Sequence[SessionRow]) -> list[Component]:
    heading = html.H2(say("fieldtests.recording"))
    if not sessions:
        return [heading, html.P(say("fieldtests.recording.none"), className="quiet")]
    offered = [
        {
            "value": str(row.session_id),
            "label": f"{formats.day_and_time(row.start_local)}, {say(f'kind.{row.kind}')}",
        }
        for row in sessions[:_OFFERED]
    ]
    select = dmc.Select(id=SESSION, label=say("fieldtests.recording.session"), data=offered, size="md")
    button = html.Button(say("fieldtests.recording.read"), id=READ, type="button", className="press lesser")
    return [heading, html.Div(select, className="counts wide"), html.Div(button, className="ways")]


def _number(name: dict[str, Any], label: str) -> Component:
    field: Component = dmc.NumberInput(
        id=name,
        label=label,
        min=0,
        max=999,
        allowDecimal=False,
        allowNegative=False,
        size="md",
        hideControls=True,
    )
    return field
