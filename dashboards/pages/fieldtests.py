"""Field tests: how one is done, its metronome, what was counted, and what that says.

/tests                     every test, and the rider's own
/tests/ymca                one of them
/tests/queens-college/96   the same with a beat chosen, where it depends on a sex that is not known
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import dash_mantine_components as dmc
from dash import ALL, Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.components import fieldtest_parts as parts
from dashboards.components.circuit_parts import print_button
from dashboards.components.metronome import beat_choice, metronome
from dashboards.components.notes import caution, problem
from dashboards.components.shell import ADDRESS
from dashboards.context import Look
from dashboards.formats import whole
from dashboards.urls import TESTS
from dashboards.words import say
from rideready.errors import RidereadyError
from rideready.model.fieldtest import FieldTest
from rideready.model.protocol import Protocol
from rideready.recovery.protocols import QUEENS_TICKS
from rideready.services.cautions import NOT_MEDICAL
from rideready.services.context import Context
from rideready.services.fieldtests import BY_HAND, instruction, list_tests, score_by_hand

RESULT = "fieldtest-result"
HISTORY = "fieldtest-history"
SCORE = "fieldtest-score"
TROUBLE = "fieldtest-trouble"
COUNT = "fieldtest-count"
SECONDS = "fieldtest-seconds"

#: How many counts each test takes by hand.
_COUNTS = {FieldTest.YMCA: 1, FieldTest.QUEENS_COLLEGE: 1, FieldTest.HARVARD: 3}
_PATH = re.compile(rf"^{TESTS}/(?P<test>[a-z-]+)(?:/(?P<beat>\d{{2,3}}))?/?$")


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    if look.pathname == TESTS:
        return overview(look.store), say("title.fieldtests")
    test, beat = read_path(look.pathname)
    return None if test is None else (layout(look.store, test, beat), say("title.fieldtest", test=test.label))


def read_path(pathname: str | None) -> tuple[FieldTest | None, int | None]:
    """Read which test a path names, and which beat; None for what it does not name."""
    found = _PATH.match(pathname or "")
    if found is None or found["test"] not in set(FieldTest):
        return None, None
    beat = int(found["beat"]) if found["beat"] else None
    return FieldTest(found["test"]), beat if beat in QUEENS_TICKS.values() else None


def overview(store: Context) -> Component:
    """List every test and the rider's own."""
    items = []
    for test in FieldTest:
        protocol = instruction(store, test).protocol
        about = say("fieldtests.about", minutes=whole(protocol.minutes))
        link = dcc.Link(test.label, href=parts.test_address(test))
        items.append(html.Li([html.H2(link), html.P(f"{protocol.purpose} {about[0].upper()}{about[1:]}.")]))
    return html.Div(
        [
            html.H1(say("fieldtests.title")),
            html.P(say("fieldtests.lead"), className="lead"),
            html.Ul(items, className="tests"),
            html.H2(say("fieldtests.history")),
            html.Div(parts.history(list_tests(store)), className="table"),
            caution(NOT_MEDICAL),
        ],
        className="fieldtests",
    )


def layout(store: Context, test: FieldTest, beat: int | None) -> Component:
    """Return the page of one test."""
    found = instruction(store, test)
    protocol = found.protocol
    views = list_tests(store, test=test)
    printing = print_button(say("fieldtests.print"))
    return html.Div(
        [
            html.P(dcc.Link(say("fieldtests.all"), href=TESTS), className="back"),
            html.H1(test.label),
            html.P(protocol.purpose, className="lead"),
            html.Div(
                [
                    html.Div(
                        [parts.care(found), parts.steps(protocol), html.Div(printing, className="ways")]
                    ),
                    html.Div(
                        [
                            _timer(test, protocol, beat),
                            _entering(test),
                            html.Section(_last(views), id=RESULT, className="result", role="status"),
                        ]
                    ),
                ],
                className="two-up even",
            ),
            parts.good_to_know(protocol),
            html.Section(
                [
                    html.H2(say("fieldtests.history")),
                    html.Div(parts.history(views), id=HISTORY, className="table"),
                ],
                className="own",
            ),
            caution(NOT_MEDICAL),
        ],
        className="fieldtests",
    )


def register(app: Dash, store: Context) -> None:
    """Connect the form in which counts are entered."""

    @app.callback(
        Output(RESULT, "children"),
        Output(HISTORY, "children"),
        Output(TROUBLE, "children"),
        Input(SCORE, "n_clicks"),
        State({"type": COUNT, "n": ALL}, "value"),
        State({"type": SECONDS, "n": ALL}, "value"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    def score(
        n_clicks: int | None, counts: list[Any], seconds: list[Any], path: str | None
    ) -> tuple[Any, ...]:
        test, _ = read_path(path)
        if not n_clicks or test is None:
            raise PreventUpdate
        return scored(store, test, counts, seconds)


def scored(
    store: Context, test: FieldTest, counts: Sequence[Any], seconds: Sequence[Any]
) -> tuple[list[Component], list[Component], Component | None]:
    """Score what was entered and keep it; return result, history and trouble.

    Parameters
    ----------
    store
        Store, rider and today.
    test
        Which test the page is of.
    counts, seconds
        Values of the form's fields: numbers, or nothing where a field was left empty.
    """
    trouble: Component | None = None
    view = None
    if missing := _missing(counts, seconds):
        trouble = html.P(missing, className="missing")
    else:
        beats = [float(one) for one in counts if _is_said(one)]
        try:
            view = score_by_hand(store, test, beats, seconds=float(seconds[0]) if seconds else None)
        except RidereadyError as error:
            trouble = problem(error)
    views = list_tests(store, test=test)
    return (parts.result(view) if view else _last(views)), parts.history(views), trouble


def _timer(test: FieldTest, protocol: Protocol, beat: int | None) -> Component:
    is_open = test is FieldTest.QUEENS_COLLEGE and not any(step.ticks_per_min for step in protocol.steps)
    if is_open and beat is None:
        return beat_choice(sorted(QUEENS_TICKS.values()), parts.test_address(test))
    if is_open:
        stepping = [replace(s, ticks_per_min=beat) if s.seconds == 180 else s for s in protocol.steps]
        protocol = replace(protocol, steps=tuple(stepping))
    return metronome(protocol, asks=SECONDS if test is FieldTest.HARVARD else None)


def _entering(test: FieldTest) -> Component:
    if test not in BY_HAND:
        command = html.Pre(say("fieldtests.enter.command", test=test.value))
        return html.Section([html.P(say("fieldtests.enter.recording")), command])
    fields = [
        _number({"type": COUNT, "n": n}, say(f"fieldtests.count.{test.value}.{n}"))
        for n in range(1, _COUNTS[test] + 1)
    ]
    if test is FieldTest.HARVARD:
        fields.insert(0, _number({"type": SECONDS, "n": 1}, say("fieldtests.seconds")))
    return html.Section(
        [
            html.H2(say("fieldtests.enter")),
            html.Div(fields, className="counts"),
            html.Div(
                html.Button(say("fieldtests.score"), id=SCORE, type="button", className="press"),
                className="ways",
            ),
            html.Div(id=TROUBLE, role="alert"),
            html.P(say("fieldtests.enter.once"), className="quiet"),
        ],
        className="entering",
    )


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


def _last(views: Sequence[Any]) -> list[Component]:
    return [html.H2(say("fieldtests.result.last")), *parts.result(views[-1])] if views else []


def _is_said(value: object) -> bool:
    return value not in {None, ""}


def _missing(counts: Sequence[Any], seconds: Sequence[Any]) -> str:
    """Say what has to be entered first; empty if nothing has. Three counts are entered in order."""
    said = [_is_said(beats) for beats in counts]
    if not said[0] or (len(said) == 3 and said[1] != said[2]):
        return say("fieldtests.missing")
    return say("fieldtests.missing.seconds") if seconds and not _is_said(seconds[0]) else ""
