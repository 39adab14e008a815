"""What the circuit is made for: said in one sentence, changed by the controls behind it."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards.components.circuit_address import CircuitChoice
from dashboards.urls import CIRCUIT
from dashboards.words import say
from rideready.model.circuit import RestBy, Start
from rideready.model.exercise import Equipment, Joint

TOP = "circuit-top"
NUMBER = "circuit-number"
TIME = "circuit-time"
START = "circuit-start"
REST = "circuit-rest-by"
EQUIPMENT = "circuit-equipment"
SPARE = "circuit-spare"
SUMMARY = "circuit-options"

#: The controls in the order `control_values` and `choice_from_controls` use.
CONTROLS = (TOP, NUMBER, TIME, START, REST, EQUIPMENT, SPARE)

_MINUTES = (10, 15, 20, 25, 30, 35, 40, 45, 60)


def options(choice: CircuitChoice, *, kept: Sequence[Equipment], spared: Sequence[Joint]) -> Component:
    """Return the sentence and, folded away behind it, the controls.

    Parameters
    ----------
    choice
        What the address says.
    kept
        Equipment the rider keeps.
    spared
        Joints that are always spared.
    """
    top, number, time, start, rest, equipment, spare = control_values(choice, kept)
    minutes = sorted({*_MINUTES, *([round(choice.minutes)] if choice.minutes else [])})
    tops = {"": say("circuit.top.by_log")} | {str(n): say("circuit.top.reps", n=n) for n in range(2, 21)}
    times = {"": say("circuit.time.any")} | {str(n): say("circuit.time.minutes", n=n) for n in minutes}
    free = [joint for joint in Joint if joint not in spared]
    return html.Details(
        [
            html.Summary(
                [
                    html.Span(summary_of(choice, kept=kept, spared=spared), id=SUMMARY),
                    html.Span(say("circuit.options.change"), className="change"),
                ]
            ),
            html.Div(
                [
                    html.Div(
                        [_select(TOP, "circuit.top", tops, top), _select(TIME, "circuit.time", times, time)]
                    ),
                    html.Div(
                        [
                            _switch(NUMBER, "circuit.number", {str(n): str(n) for n in range(4, 9)}, number),
                            _switch(START, "circuit.start", _named(Start, "circuit.start"), start),
                            _switch(REST, "circuit.rest_by", _named(RestBy, "circuit.rest_by"), rest),
                        ]
                    ),
                    _chips(EQUIPMENT, "circuit.equipment", list(Equipment), equipment),
                    _chips(SPARE, "circuit.spare", free, spare),
                    *([_kept_spared(spared)] if spared else []),
                    dcc.Link(say("circuit.reset"), href=CIRCUIT, className="reset"),
                ],
                className="controls",
            ),
        ],
        className="filters circuit-options",
    )


def control_values(
    choice: CircuitChoice, kept: Sequence[Equipment]
) -> tuple[str, str, str, str, str, list[str], list[str]]:
    """Return what each of `CONTROLS` shows for a choice."""
    equipment = kept if choice.equipment is None else choice.equipment
    return (
        str(choice.top or ""),
        str(choice.exercises),
        f"{choice.minutes:g}" if choice.minutes else "",
        choice.start.value,
        choice.rest.value,
        [piece.value for piece in Equipment if piece in equipment],
        [joint.value for joint in choice.spare],
    )


def choice_from_controls(
    values: tuple[str, str, str, str, str, Iterable[str], Iterable[str]], kept: Sequence[Equipment]
) -> CircuitChoice:
    """Make a choice from the values of the controls, which are text or nothing."""
    top, number, time, start, rest, equipment, spare = values
    at_hand = {Equipment(word) for word in equipment or ()}
    return CircuitChoice(
        top=int(top) if top else None,
        exercises=int(number or 5),
        minutes=float(time) if time else None,
        equipment=None if at_hand == set(kept) else tuple(p for p in Equipment if p in at_hand),
        spare=tuple(joint for joint in Joint if joint.value in set(spare or ())),
        start=Start(start or Start.COLD),
        rest=RestBy(rest or RestBy.PULSE),
    )


def after_controls(current: CircuitChoice, moved: CircuitChoice) -> CircuitChoice:
    """Return the choice after the controls were moved: swaps and the next best go with the old one.

    Controls know neither of those: while they say the same as the address, it stays as it is.
    """
    bare = replace(current, alternative=0, swapped=(), day=None, ignored=())
    return current if bare == moved else moved


def summary_of(choice: CircuitChoice, *, kept: Sequence[Equipment], spared: Sequence[Joint]) -> str:
    """Say in one sentence what the circuit is made for."""
    equipment = kept if choice.equipment is None else choice.equipment
    joints = [joint for joint in Joint if joint in spared or joint in choice.spare]
    parts = [
        say("circuit.options.exercises", n=choice.exercises),
        say("circuit.options.top", top=choice.top) if choice.top else say("circuit.options.top_by_log"),
        say("circuit.options.minutes", minutes=f"{choice.minutes:g}")
        if choice.minutes
        else say("circuit.options.no_limit"),
        ", ".join(equipment) if equipment else say("circuit.options.nothing"),
        say("circuit.options.spared", joints=" and ".join(joints)) if joints else "",
        say("circuit.options.from_cardio") if choice.start is Start.FROM_CARDIO else "",
        say("circuit.options.clock") if choice.rest is RestBy.CLOCK else "",
    ]
    return say("circuit.options", said="; ".join(part for part in parts if part))


def _named(kind: type[Start] | type[RestBy], room: str) -> dict[str, str]:
    return {value.value: say(f"{room}.{value.value}") for value in kind}


def _kept_spared(spared: Sequence[Joint]) -> Component:
    return html.P(say("circuit.spare.kept", joints=", ".join(spared)), className="quiet")


def _select(name: str, key: str, choices: dict[str, str], value: str) -> Component:
    select: Component = dmc.Select(
        id=name,
        label=say(key),
        data=[{"value": word, "label": label} for word, label in choices.items()],
        value=value,
        allowDeselect=False,
        size="md",
        className="circuit-select",
    )
    return select


def _switch(name: str, key: str, choices: dict[str, str], value: str) -> Component:
    return html.Div(
        [
            html.Span(say(key), className="control-label", id=f"{name}-label"),
            dmc.SegmentedControl(
                id=name,
                value=value,
                data=[{"value": word, "label": label} for word, label in choices.items()],
                size="md",
                className="view-switch",
                **{"aria-labelledby": f"{name}-label"},
            ),
        ]
    )


def _chips(
    name: str, key: str, choices: Sequence[Equipment] | Sequence[Joint], value: Sequence[str]
) -> Component:
    return html.Fieldset(
        [
            html.Legend(say(key)),
            dmc.ChipGroup(
                [
                    dmc.Chip(choice.value, value=choice.value, size="md", variant="outline")
                    for choice in choices
                ],
                id=name,
                multiple=True,
                value=list(value),
            ),
        ]
    )
