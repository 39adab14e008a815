"""Field tests: how one is done, its metronome, what was counted, and what that says.

/tests                     every test, and the rider's own
/tests/ymca                one of them
/tests/queens-college/96   the same with a beat chosen, where it depends on a sex that is not known
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from dash import ALL, Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.components import fieldtest_form as form
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
from rideready.services.fieldtests import FieldTestView, instruction, list_tests, score_by_hand, score_session
from rideready.services.sessions import list_sessions

RESULT = "fieldtest-result"
HISTORY = "fieldtest-history"

#: What a press of a button shows: result, history, trouble.
Shown = tuple[list[Component], list[Component], Component | None]

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
                            form.entering(test, list_sessions(store)),
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
    shown = (RESULT, HISTORY, form.TROUBLE)

    @app.callback(
        [Output(place, "children") for place in shown],
        Input(form.SCORE, "n_clicks"),
        State({"type": form.COUNT, "n": ALL}, "value"),
        State({"type": form.SECONDS, "n": ALL}, "value"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    def score(clicks: int | None, counts: list[Any], seconds: list[Any], path: str | None) -> tuple[Any, ...]:
        return scored(store, _test_at(path, clicks), counts, seconds)

    @app.callback(
        [Output(place, "children", allow_duplicate=True) for place in shown],
        Input(form.READ, "n_clicks"),
        State(form.SESSION, "value"),
        State({"type": form.SECONDS, "n": ALL}, "value"),
        State(ADDRESS, "pathname"),
        prevent_initial_call=True,
    )
    def read(
        clicks: int | None, session: str | None, seconds: list[Any], path: str | None
    ) -> tuple[Any, ...]:
        return read_from(store, _test_at(path, clicks), session, seconds)


def scored(store: Context, test: FieldTest, counts: Sequence[Any], seconds: Sequence[Any]) -> Shown:
    """Score what was counted by hand and keep it.

    Parameters
    ----------
    store
        Store, rider and today.
    test
        Which test the page is of.
    counts, seconds
        Values of the form's fields: numbers, or nothing where a field was left empty.
    """
    if missing := form.missing(counts, seconds):
        return _shown(store, test, html.P(missing, className="missing"))
    beats = [float(one) for one in counts if form.is_said(one)]
    try:
        view = score_by_hand(store, test, beats, seconds=_stepped_s(seconds))
    except RidereadyError as error:
        return _shown(store, test, problem(error))
    return _shown(store, test, None, view)


def read_from(store: Context, test: FieldTest, session: str | None, seconds: Sequence[Any]) -> Shown:
    """Read a test from a recording and keep it.

    Parameters
    ----------
    store
        Store, rider and today.
    test
        Which test the page is of.
    session
        Number of the session chosen; None if none was.
    seconds
        How long was stepped, where the form asks for it and the rider says so.
    """
    if not session:
        return _shown(store, test, html.P(say("fieldtests.missing.session"), className="missing"))
    try:
        view = score_session(store, test, int(session), stepped_s=_stepped_s(seconds))
    except RidereadyError as error:
        return _shown(store, test, problem(error))
    return _shown(store, test, None, view)


def _shown(
    store: Context, test: FieldTest, trouble: Component | None, view: FieldTestView | None = None
) -> Shown:
    views = list_tests(store, test=test)
    return (parts.result(view) if view else _last(views)), parts.history(views), trouble


def _stepped_s(seconds: Sequence[Any]) -> float | None:
    return float(seconds[0]) if seconds and form.is_said(seconds[0]) else None


def _test_at(path: str | None, clicks: int | None) -> FieldTest:
    """Return the test of the page; do nothing where none is, or nothing was pressed."""
    test, _ = read_path(path)
    if not clicks or test is None:
        raise PreventUpdate
    return test


def _timer(test: FieldTest, protocol: Protocol, beat: int | None) -> Component:
    is_open = test is FieldTest.QUEENS_COLLEGE and not any(step.ticks_per_min for step in protocol.steps)
    if is_open and beat is None:
        return beat_choice(sorted(QUEENS_TICKS.values()), parts.test_address(test))
    if is_open:
        stepping = [replace(s, ticks_per_min=beat) if s.seconds == 180 else s for s in protocol.steps]
        protocol = replace(protocol, steps=tuple(stepping))
    return metronome(protocol, asks=form.SECONDS if test is FieldTest.HARVARD else None)


def _last(views: Sequence[Any]) -> list[Component]:
    return [html.H2(say("fieldtests.result.last")), *parts.result(views[-1])] if views else []
