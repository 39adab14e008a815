"""A circuit on paper: its exercises, the ladder round by round, the rest, what comes before and after."""

from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.circuit_address import CircuitChoice, circuit_address
from dashboards.components.measures import Measure, large
from dashboards.components.notes import caution, folded, sentences
from dashboards.words import say
from rideready.model.circuit import Circuit, CircuitStation, Rest, TimedMove
from rideready.model.exercise import Sides
from rideready.model.reason import Reason

#: Reasons that warn; they stand beside the exercises and not among the explanations.
CAUTIONS = frozenset(
    f"circuit.{code}"
    for code in (
        "stop",
        "weight_choice",
        "landing",
        "sore_low_back",
        "sore_joint",
        "blood_pressure",
        "asthma",
    )
)

_PRINTS: dict[str, Any] = {"data-print": "yes"}


def figures(circuit: Circuit) -> Component:
    """Say how long and how hard it is."""
    most = formats.whole(circuit.minutes_at_most)
    is_open = most != formats.whole(circuit.minutes)
    return large(
        [
            Measure(
                say("circuit.minutes"),
                formats.whole(circuit.minutes),
                "min",
                say("circuit.minutes.spread", most=most) if is_open else "",
                say("circuit.minutes.note") if is_open else "",
            ),
            Measure(say("circuit.rounds", n=len(circuit.stations)), str(len(circuit.rounds))),
            Measure(say("circuit.reps"), str(circuit.total_reps), note=_sides_note(circuit)),
            Measure(
                say("circuit.load"),
                formats.whole(circuit.load),
                note=say("circuit.load.note", rpe=f"{circuit.expected_rpe:g}"),
            ),
        ]
    )


def exercises(circuit: Circuit, choice: CircuitChoice) -> Component:
    """List the exercises in order, each with how it is done, why it is there and the way to swap it."""
    return html.Ol([_exercise(station, choice) for station in circuit.stations], className="stations")


def ladder(circuit: Circuit) -> Component:
    """Lay out the reps, rounds down and exercises across, with a box to tick on paper."""
    sides = say("circuit.ladder.sides") if _has_sides(circuit) else ""
    numbers = enumerate(circuit.stations, start=1)
    head = [
        html.Th(say("circuit.ladder.round"), scope="col"),
        *(
            html.Th(
                [html.Abbr(str(n), title=station.exercise.name), _read(f" {station.exercise.name}")],
                scope="col",
            )
            for n, station in numbers
        ),
        html.Th(say("circuit.ladder.time"), scope="col", className="minor"),
        html.Th(say("circuit.ladder.done"), scope="col", className="on-paper"),
    ]
    rows = [
        html.Tr(
            [
                html.Th(str(place + 1), scope="row"),
                *(html.Td(_reps(station, reps)) for station in circuit.stations),
                html.Td(formats.clock(circuit.round_s[place]), className="minor"),
                html.Td(html.Span(className="tick-box"), className="on-paper"),
            ]
        )
        for place, reps in enumerate(circuit.rounds)
    ]
    caption = html.Caption(say("circuit.ladder.caption") + sides)
    return html.Table([caption, html.Thead(html.Tr(head)), html.Tbody(rows)], className="ladder")


def rest(found: Rest) -> Component:
    """Say when the next round begins, the pulse number large."""
    said: list[Component | str]
    if found.level_bpm is None or found.reserve is None:
        said = [
            say("circuit.rest.clock"),
            " ",
            _number(found.expected_s, "s"),
            " ",
            say("circuit.rest.clock.then"),
        ]
    else:
        cap = say(
            "circuit.rest.pulse.cap",
            cap=formats.whole(found.at_most_s),
            reserve=formats.percent(found.reserve),
        )
        said = [say("circuit.rest.pulse"), " ", _number(found.level_bpm, "bpm"), ", ", cap]
    return html.P(said, className="rest-rule")


def moves(title: str, timed: Sequence[TimedMove]) -> Component:
    """List the moves before or after."""
    items = [
        html.Li(
            [
                html.Span(move.exercise.name, className="move"),
                html.Span(_length(move.seconds), className="move-time"),
                html.Span(move.exercise.instruction, className="quiet move-how"),
            ]
        )
        for move in timed
    ]
    return html.Section([html.H2(title), html.Ul(items, className="moves")])


def print_button(text: str) -> Component:
    """Return the button that prints the page (``assets/follow.js``)."""
    return html.Button(text, type="button", className="press lesser", **_PRINTS)


def cautions(circuit: Circuit) -> list[Component]:
    """Return what to beware of."""
    return [caution(reason.sentence) for reason in circuit.reasons if reason.code in CAUTIONS]


def why(circuit: Circuit) -> Component:
    """Say what decided it."""
    return html.Section(
        [html.H2(say("circuit.why")), sentences(_sentences(circuit.reasons))], className="why"
    )


def _exercise(station: CircuitStation, choice: CircuitChoice) -> Component:
    exercise = station.exercise
    side = [html.Span(say("circuit.each_side"), className="side")] if exercise.sides is Sides.EACH else []
    how = [exercise.instruction]
    if exercise.rep:
        how.append(say("circuit.rep", rep=exercise.rep))
    if exercise.equipment:
        how.append(say("circuit.needs", pieces=", ".join(exercise.equipment)))
    if station.weight_kg is not None:
        how.append(say("circuit.weight", kg=f"{station.weight_kg:g}"))
    swap = dcc.Link(
        [say("circuit.swap"), _read(say("circuit.swap.for", name=exercise.name))],
        href=circuit_address(choice.without(exercise.name)),
        className="swap",
    )
    reasons = folded(
        say("circuit.why_exercise"), [sentences([reason.sentence for reason in station.reasons])]
    )
    return html.Li(
        [
            html.H3([exercise.name, *side]),
            html.P(" ".join(how)),
            html.Div([reasons, swap], className="station-ways"),
        ]
    )


def _reps(station: CircuitStation, reps: int) -> str:
    return f"{reps} + {reps}" if station.exercise.sides is Sides.EACH else str(reps)


def _has_sides(circuit: Circuit) -> bool:
    return any(station.exercise.sides is Sides.EACH for station in circuit.stations)


def _sides_note(circuit: Circuit) -> str:
    return say("circuit.reps.note") if _has_sides(circuit) else ""


def _read(text: str) -> Component:
    """Return text for screen readers alone."""
    return html.Span(text, className="for-readers")


def _number(value: float, unit: str) -> Component:
    return html.Strong(f"{formats.whole(value)}\N{NO-BREAK SPACE}{unit}")


def _sentences(reasons: Sequence[Reason]) -> list[str]:
    return list(dict.fromkeys(reason.sentence for reason in reasons if reason.code not in CAUTIONS))


def _length(seconds: float) -> str:
    """Write how long a move is: whole minutes as such."""
    minutes, rest = divmod(round(seconds), 60)
    if minutes and not rest:
        return say("circuit.move.minutes", minutes=minutes)
    return say("circuit.move.both", seconds=formats.whole(seconds))
