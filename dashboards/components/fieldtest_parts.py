"""A field test on paper: how it is done, what one says, and the rider's own."""

from collections.abc import Sequence
from itertools import chain

from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.measures import Measure, large
from dashboards.components.notes import caution, sentences
from dashboards.urls import TESTS, session_address
from dashboards.words import say
from rideready.model.fieldtest import BandReading, FieldTest, Figure
from rideready.model.fieldtest_history import Direction
from rideready.model.protocol import Protocol, ProtocolStep
from rideready.services.fieldtests import FieldTestView, Instruction

#: Units whose figures deserve a decimal.
_FINE_UNITS = frozenset({"", "bpm a burst"})


def test_address(test: FieldTest) -> str:
    """Return the address of one test's page."""
    return f"{TESTS}/{test.value}"


def care(found: Instruction) -> Component:
    """Say who should leave it alone and when to stop, before anything else."""
    protocol = found.protocol
    return html.Section(
        [
            html.H2(say("fieldtests.not_for")),
            *(caution(text) for text in found.not_today),
            sentences(protocol.not_for),
            caution(protocol.stop_signs),
        ]
    )


def steps(protocol: Protocol) -> Component:
    """Lay out the protocol to print and put up beside the box."""
    first = len(protocol.steps) + 1
    rounds = [
        html.P(say("fieldtests.rounds", n=protocol.rounds)),
        _numbered(protocol.round_steps, first),
        html.P(say("fieldtests.then")),
    ]
    return html.Section(
        [
            html.H2(say("fieldtests.steps")),
            html.P(say("fieldtests.needs", pieces=", ".join(protocol.equipment))),
            sentences(protocol.beforehand),
            _numbered(protocol.steps, 1),
            *(rounds if protocol.rounds else []),
            *([_numbered(protocol.closing, first + len(protocol.round_steps))] if protocol.closing else []),
        ],
        className="protocol",
    )


def good_to_know(protocol: Protocol) -> Component:
    """Say what changes the result, and where the test comes from."""
    source = say("fieldtests.source", source=protocol.source.rstrip("."))
    return html.Section(
        [
            html.H2(say("fieldtests.good_to_know")),
            sentences(protocol.good_to_know),
            html.P(source, className="quiet"),
        ]
    )


def result(view: FieldTestView) -> list[Component]:
    """Show what one test says: its figures, the published bands, what to beware of."""
    found = view.result
    title = say("fieldtests.result", test=found.test.label, day=formats.day(view.kept.dated.day))
    reasons = chain(
        found.reasons, (note for band in found.bands for note in band.notes), view.comparison.reasons
    )
    kept = [] if view.is_kept else [html.P(say("fieldtests.not_kept"))]
    return [
        html.H3(title),
        large([_measure(figure) for figure in found.figures]),
        *(html.P(_band(band), className="band") for band in found.bands),
        *kept,
        sentences(list(dict.fromkeys(reason.sentence for reason in reasons))),
    ]


def history(views: Sequence[FieldTestView]) -> list[Component]:
    """List the rider's tests, newest first."""
    shown = [view for view in reversed(views) if view.result.main is not None]
    if not shown:
        return [html.P(say("fieldtests.history.none"), className="quiet")]
    columns = (("day", ""), ("test", ""), ("figure", "minor"), ("value", ""), ("band", ""))
    later = (("change", ""), ("counted", "minor"))
    head = [
        html.Th(say(f"fieldtests.history.{name}"), scope="col", className=kind)
        for name, kind in (*columns, *later)
    ]
    return [html.Table([html.Thead(html.Tr(head)), html.Tbody([_row(view) for view in shown])])]


def figure_text(figure: Figure) -> str:
    """Write a figure with its unit and, where it is known, its interval."""
    write = formats.tenths if figure.measure.unit in _FINE_UNITS else formats.whole
    text = f"{write(figure.value)} {figure.measure.unit}".strip()
    if figure.low is None or figure.high is None:
        return text
    return f"{text} ({say('span', low=write(figure.low), high=write(figure.high))})"


def _measure(figure: Figure) -> Measure:
    write = formats.tenths if figure.measure.unit in _FINE_UNITS else formats.whole
    is_known = figure.low is not None and figure.high is not None
    return Measure(
        figure.measure.capitalize(),
        write(figure.value),
        figure.measure.unit,
        say("span", low=write(figure.low), high=write(figure.high)) if is_known else "",
        say("interval") if is_known else say("no_uncertainty"),
    )


def _band(band: BandReading) -> str:
    said = say(
        "fieldtests.by" if band.is_chosen else "fieldtests.by.other", source=band.source, label=band.label
    )
    if len(band.could_be) < 2:
        return f"{said}."
    return f"{said} ({say('fieldtests.could_be', bands=', '.join(band.could_be))})."


def _row(view: FieldTestView) -> Component:
    figure, bands = view.result.main, view.result.bands
    test = view.result.test
    return html.Tr(
        [
            html.Th(formats.day(view.kept.dated.day), scope="row"),
            html.Td(dcc.Link(test.label, href=test_address(test))),
            html.Td(figure.measure.value if figure else "", className="minor"),
            html.Td(figure_text(figure) if figure else ""),
            html.Td(bands[0].label if bands else ""),
            html.Td(_change(view)),
            html.Td(_counted(view), className="minor"),
        ]
    )


def _change(view: FieldTestView) -> str:
    usual = view.comparison.from_usual
    if usual is None:
        return say("fieldtests.history.first")
    if usual.direction is Direction.NOT_YET:
        return usual.direction.value
    return say(
        "fieldtests.history.change.said", change=formats.signed(usual.change), direction=usual.direction.value
    )


def _counted(view: FieldTestView) -> Component | str:
    session = view.kept.session_id
    how = view.result.counting.value if session is None else say("fieldtests.history.session", n=session)
    said = how if view.result.was_by_protocol else say("fieldtests.history.off", how=how)
    return said if session is None else dcc.Link(said, href=session_address(session))


def _numbered(listed: Sequence[ProtocolStep], first: int) -> Component:
    return html.Ol([html.Li(_told(step)) for step in listed], start=str(first), className="protocol-steps")


def _told(step: ProtocolStep) -> list[Component | str]:
    told = []
    if step.seconds is not None and f"{step.seconds} s" not in step.what:
        told.append(formats.duration(step.seconds) if step.seconds % 60 == 0 else f"{step.seconds} s")
    if step.ticks_per_min is not None:
        told.append(say("fieldtests.step.beat", ticks=step.ticks_per_min))
    if step.low_bpm is not None and step.high_bpm is not None:
        low, high = formats.whole(step.low_bpm), formats.whole(step.high_bpm)
        told.append(say("fieldtests.step.bpm", low=low, high=high))
    return [step.what, " ", html.Span(", ".join(told), className="told")]
