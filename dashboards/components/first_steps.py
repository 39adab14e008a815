"""The three first steps: each asks for little, the open one in full, the others in a line."""

from collections.abc import Sequence

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards.components.notes import caution
from dashboards.components.ways_in import way_to_demo, way_to_files
from dashboards.urls import START
from dashboards.words import say
from rideready.model.exercise import Equipment
from rideready.model.rider import Rider, Sex
from rideready.services.cautions import MEDICINE
from rideready.services.training import Training

AGE, SEX, MAXIMUM, RESTING = "first-age", "first-sex", "first-maximum", "first-resting"
MEDICINES, EQUIPMENT, SAVE_RIDER = "first-medicine", "first-equipment", "first-save-rider"
EARLIEST, LIKELY, USUAL = "first-earliest", "first-likely", "first-usual"
SAVE_WINDOW = "first-save-window"

STEPS = ("rider", "files", "window")


def step_address(step: str) -> str:
    """Return where a step is open."""
    return f"{START}/{step}"


def first_steps(opened: str, said: dict[str, str], form: Sequence[Component]) -> Component:
    """List the steps.

    Parameters
    ----------
    opened
        The step that is open.
    said
        Step to what is known already; steps that are still to do have none.
    form
        What the open step asks for.
    """
    steps = [_step(step, said.get(step), form if step == opened else None) for step in STEPS]
    return html.Ol(steps, className="first-steps")


def rider_form(rider: Rider, training: Training) -> list[Component]:
    """Ask for the numbers that everything else rests on."""
    sexes = [{"value": "", "label": say("first.rider.sex.none")}]
    sexes += [{"value": str(sex), "label": say(f"first.rider.sex.{sex}")} for sex in Sex]
    chips = [dmc.Chip(one.value, value=one.value, variant="outline") for one in Equipment]
    return [
        html.P(say("first.rider.lead")),
        html.Div(
            [
                _number(AGE, "first.rider.age", rider.age_years, 8, 110),
                dmc.Select(
                    id=SEX,
                    label=say("first.rider.sex"),
                    data=sexes,
                    value=str(rider.sex) if rider.sex else "",
                    allowDeselect=False,
                ),
                _number(MAXIMUM, "first.rider.max", rider.max_hr_bpm, 90, 240),
                _number(RESTING, "first.rider.rest", rider.resting_hr_bpm, 25, 130),
            ],
            className="fields",
        ),
        caution(say("first.rider.max.care")),
        dmc.Checkbox(
            id=MEDICINES, label=say("first.rider.medicine"), checked=rider.takes_heart_rate_medicine
        ),
        caution(MEDICINE),
        html.Fieldset(
            [
                html.Legend(say("first.rider.equipment")),
                dmc.ChipGroup(
                    chips, id=EQUIPMENT, multiple=True, value=[one.value for one in training.equipment]
                ),
            ],
            className="chips-field",
        ),
        _presses(SAVE_RIDER, "first.save", "files"),
    ]


def files_form(*, is_simulated: bool) -> list[Component]:
    """Ask for recordings, by the browser's chooser, by dropping them, or for the simulated ones."""
    on = dcc.Link(say("first.files.on"), href=step_address("window"), className="press", id="first-on")
    if is_simulated:
        return [html.P(say("first.files.demo.here")), html.P(on)]
    return [
        html.P(say("first.files.lead")),
        *way_to_files(class_name="lesser"),
        html.P(on),
        *way_to_demo(),
    ]


def window_form(training: Training) -> list[Component]:
    """Ask for the opening window, and what a usual week is while no recording says so."""
    days = ((EARLIEST, "replan.earliest", training.earliest), (LIKELY, "replan.likely", training.likely))
    return [
        html.P(say("first.window.lead")),
        html.Div(
            [
                *(
                    dmc.DatePickerInput(
                        id=name,
                        label=say(word),
                        value=day.isoformat() if day else None,
                        valueFormat="D MMM YYYY",
                        placeholder="\N{EN DASH}",
                    )
                    for name, word, day in days
                ),
                _number(USUAL, "first.window.usual", training.usual_min, 0, 2000),
            ],
            className="fields",
        ),
        html.P(say("first.window.usual.note"), className="quiet"),
        html.P(
            html.Button(
                say("first.window.save"), id=SAVE_WINDOW, n_clicks=0, type="button", className="press"
            )
        ),
    ]


def _step(step: str, said: str | None, form: Sequence[Component] | None) -> Component:
    title = html.H2(say(f"first.step.{step}"))
    change = dcc.Link(say("first.change"), href=step_address(step), id=f"first-change-{step}")
    if form is not None:
        return html.Li([title, *form], className="open")
    if said is None:
        return html.Li(title, className="to-do")
    return html.Li([title, html.P([f"{said} ", change])], className="is-done")


def _number(name: str, word: str, value: float | None, low: float, high: float) -> Component:
    field: Component = dmc.NumberInput(
        id=name, label=say(word), min=low, max=high, value="" if value is None else value
    )
    return field


def _presses(save: str, word: str, following: str) -> Component:
    press = html.Button(say(word), id=save, n_clicks=0, type="button", className="press")
    return html.P([press, dcc.Link(say("first.skip"), href=step_address(following))], className="keep")
