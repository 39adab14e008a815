"""What a rider trains with and when, the questions before hard training, how figures are written, whose they are."""

from collections.abc import Mapping, Sequence

import dash_mantine_components as dmc
from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE, labelled
from dashboards.components.notes import caution
from dashboards.words import say
from rideready.circuit.library import EXERCISES
from rideready.model.exercise import Equipment, Joint, Level
from rideready.services.cautions import NOTHING_SPEAKS_AGAINST, PRE_EXERCISE, SEE_A_DOCTOR_FIRST
from rideready.services.preferences import DateForm, Preferences, Units
from rideready.services.training import Training

EQUIPMENT, JOINTS, EXCLUDE, LEVEL = "rider-equipment", "rider-joints", "rider-exclude", "rider-level"
LONG_DAY, SAVE, SAVED = "rider-long-day", "rider-training-save", "rider-training-saved"
MINUTES = "rider-minutes"
TICKED, NONE_TICKED, ADVICE = "rider-questions", "rider-questions-none", "rider-advice"
UNITS, DATES, WRITTEN = "rider-units", "rider-dates", "rider-written"
NEW_NAME, ADD, ADDED = "rider-new-name", "rider-add", "rider-added"


def training_section(training: Training) -> Component:
    """Return the fields for equipment, joints, exercises, level and days."""
    names = sorted({exercise.name for exercise in EXERCISES})
    levels = [{"value": level.name, "label": say(f"rider.level.{level.name.lower()}")} for level in Level]
    days = [{"value": "", "label": say("rider.long_day.any")}]
    days += [{"value": str(day), "label": name} for day, name in enumerate(formats.WEEKDAYS)]
    minutes = [
        dmc.NumberInput(
            id={"type": MINUTES, "day": day},
            label=name,
            value=training.minutes_by_weekday[day],
            min=0,
            max=600,
        )
        for day, name in enumerate(formats.WEEKDAYS)
    ]
    return html.Section(
        [
            html.H2(say("rider.training")),
            _chips("rider.equipment", EQUIPMENT, Equipment, training.equipment),
            _chips("rider.joints", JOINTS, Joint, training.avoid_joints),
            html.P(say("rider.training.note"), className="quiet"),
            html.Div(
                [
                    dmc.MultiSelect(
                        id=EXCLUDE,
                        label=say("rider.exclude"),
                        data=names,
                        value=[name for name in training.exclude if name in names],
                        placeholder="" if training.exclude else say("rider.exclude.hint"),
                        searchable=True,
                        clearable=True,
                        className="wide",
                    ),
                    dmc.Select(
                        id=LEVEL,
                        label=say("rider.level"),
                        data=levels,
                        value=training.level.name,
                        allowDeselect=False,
                    ),
                    dmc.Select(
                        id=LONG_DAY,
                        label=say("rider.long_day"),
                        data=days,
                        value="" if training.long_day is None else str(training.long_day),
                        allowDeselect=False,
                    ),
                ],
                className="fields",
            ),
            html.Fieldset(
                [html.Legend(say("rider.minutes")), html.Div(minutes)], className="weekday-minutes"
            ),
            _save(SAVE, "rider.training.save", SAVED),
        ]
    )


def questions_section() -> Component:
    """Ask what should be known before hard training; the advice stands below, and nothing is kept."""
    boxes = [
        dmc.Checkbox(label=text, value=str(number), size="md") for number, text in enumerate(PRE_EXERCISE)
    ]
    return html.Section(
        [
            html.H2(say("rider.questions")),
            html.P(say("rider.questions.lead")),
            dmc.CheckboxGroup(
                html.Div(boxes, className="questions"),
                id=TICKED,
                value=[],
                **labelled(say("rider.questions.group")),
            ),
            html.Button(
                say("rider.questions.none"),
                id=NONE_TICKED,
                n_clicks=0,
                type="button",
                className="press lesser",
            ),
            html.Div(id=ADVICE, **LIVE),
        ]
    )


def advice(ticked: Sequence[str], *, is_asked: bool) -> list[Component]:
    """Say what follows from the ticks: a doctor first if there is any. Never what it might be."""
    if ticked:
        return [caution(SEE_A_DOCTOR_FIRST)]
    return [html.P(NOTHING_SPEAKS_AGAINST)] if is_asked else []


def writing_section(preferences: Preferences) -> Component:
    """Return the choices of units and of the order of dates."""
    units = [{"value": str(unit), "label": say(f"rider.units.{unit}")} for unit in Units]
    dates = [{"value": str(form), "label": say(f"rider.dates.{form}")} for form in DateForm]
    return html.Section(
        [
            html.H2(say("rider.writing")),
            html.Div(
                [
                    dmc.Select(
                        id=UNITS,
                        label=say("rider.units"),
                        data=units,
                        value=str(preferences.units),
                        allowDeselect=False,
                    ),
                    dmc.Select(
                        id=DATES,
                        label=say("rider.dates"),
                        data=dates,
                        value=str(preferences.dates),
                        allowDeselect=False,
                    ),
                ],
                className="fields",
            ),
            html.P(id=WRITTEN, className="quiet", role="status"),
        ]
    )


def riders_section(names: Mapping[int, str], shown: int) -> Component:
    """List the riders of the store, each with the way to show them in this browser (``assets/rider.js``).

    Parameters
    ----------
    names
        By number.
    shown
        Whose figures are on screen.
    """
    lines = [
        html.Li(
            [
                html.Span(name or say("rider.unnamed")),
                html.Span(say("rider.riders.shown"), className="quiet")
                if number == shown
                else html.Button(
                    say("rider.riders.show", name=name or number),
                    value=str(number),
                    type="button",
                    className="press lesser show-rider",
                ),
            ]
        )
        for number, name in names.items()
    ]
    return html.Section(
        [
            html.H2(say("rider.riders")),
            html.Ul(lines, className="written riders"),
            html.Div(
                [
                    dmc.TextInput(id=NEW_NAME, label=say("rider.riders.name")),
                    html.Button(
                        say("rider.riders.add"), id=ADD, n_clicks=0, type="button", className="press lesser"
                    ),
                ],
                className="add-rider",
            ),
            html.P(id=ADDED, role="status"),
            html.P(say("rider.riders.note"), className="quiet"),
        ]
    )


def _chips(
    legend: str, element: str, choices: type[Equipment] | type[Joint], chosen: Sequence[Equipment | Joint]
) -> Component:
    chips = [dmc.Chip(choice.value, value=choice.value, variant="outline") for choice in choices]
    group = dmc.ChipGroup(chips, id=element, multiple=True, value=[choice.value for choice in chosen])
    return html.Fieldset(
        [html.Legend(say(legend)), html.Div(group, className="chips")], className="chip-field"
    )


def _save(element: str, word: str, status: str) -> Component:
    press = html.Button(say(word), id=element, n_clicks=0, type="button", className="press")
    return html.Div([press, html.Span(id=status, role="status", **LIVE)], className="presses")
