"""The first steps: whose numbers, which recordings, ready by when."""

import datetime as dt
from typing import Any

from dash import Dash, Input, Output, State, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats
from dashboards.components import first_steps as steps
from dashboards.components.shell import GO_TO, PAGE
from dashboards.context import Look
from dashboards.pages import today
from dashboards.urls import HOME, START
from dashboards.words import say
from rideready.errors import BadInput
from rideready.model.exercise import Equipment
from rideready.model.rider import Sex
from rideready.services.context import Context
from rideready.services.planning import set_window
from rideready.services.riders import get_rider, update_rider
from rideready.services.sessions import list_sessions
from rideready.services.training import get_training, update_training


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the first steps: at their own address, and at home while no opening window is known."""
    asked = (look.pathname or "").removeprefix(START).strip("/")
    if look.pathname == HOME and get_training(look.store).earliest is None:
        return layout(look.store, None), say("title.first")
    if (look.pathname or "").startswith(START) and asked in {"", *steps.STEPS}:
        return layout(look.store, asked or None), say("title.first")
    return None


def layout(store: Context, asked: str | None) -> Component:
    """Return the steps with one of them open: the one asked for, else the first that is to do."""
    said = known(store)
    opened = asked or next((step for step in steps.STEPS if step not in said), steps.STEPS[0])
    return html.Div(
        [
            html.H1(say("first.title")),
            html.P(say("first.lead"), className="lead"),
            steps.first_steps(opened, said, _form(store, opened)),
        ],
        className="first-run",
    )


def _form(store: Context, step: str) -> list[Component]:
    if step == "rider":
        return steps.rider_form(get_rider(store), get_training(store))
    return (
        steps.window_form(get_training(store))
        if step == "window"
        else steps.files_form(is_simulated=store.is_simulated)
    )


def known(store: Context) -> dict[str, str]:
    """Say what of each step is known already; a step that is still to do is missing."""
    rider, training, n_sessions = get_rider(store), get_training(store), len(list_sessions(store))
    facts = [
        say("first.rider.said.age", age=formats.whole(rider.age_years)) if rider.age_years else "",
        say("first.rider.said.max", bpm=formats.whole(rider.max_hr_bpm)) if rider.max_hr_bpm else "",
        say("first.rider.said.rest", bpm=formats.whole(rider.resting_hr_bpm)) if rider.resting_hr_bpm else "",
    ]
    found: dict[str, str] = {}
    if any(facts):
        found["rider"] = say("first.rider.said", facts=", ".join(filter(None, facts)))
    if n_sessions:
        counted = formats.counted(n_sessions, "session", "sessions")
        found["files"] = say("first.files.said", sessions=counted)
    if training.earliest is not None and training.likely is not None:
        window = {"earliest": training.earliest, "likely": training.likely}
        days = {name: formats.weekday_and_day(day) for name, day in window.items()}
        found["window"] = say("first.window.said", **days)
    return found


def register(app: Dash, store: Context) -> None:
    """Connect the presses that save a step and go on to the next."""

    @app.callback(
        Output(GO_TO, "href", allow_duplicate=True),
        Input(steps.SAVE_RIDER, "n_clicks"),
        [State(name, "value") for name in (steps.AGE, steps.SEX, steps.MAXIMUM, steps.RESTING)],
        State(steps.MEDICINES, "checked"),
        State(steps.EQUIPMENT, "value"),
        prevent_initial_call=True,
    )
    def save_rider(presses: int, *told: Any) -> str:
        if not presses:
            raise PreventUpdate
        *numbers, medicine, equipment = told
        update_rider(store, **changes(numbers, takes_medicine=bool(medicine)))
        update_training(store, equipment=tuple(map(Equipment, equipment or ())))
        return steps.step_address("files")

    @app.callback(
        Output(PAGE, "children", allow_duplicate=True),
        Output(GO_TO, "pathname", allow_duplicate=True),
        Input(steps.SAVE_WINDOW, "n_clicks"),
        [State(name, "value") for name in (steps.EARLIEST, steps.LIKELY, steps.USUAL)],
        prevent_initial_call=True,
    )
    def make_plan(presses: int, *told: Any) -> tuple[Any, ...]:
        if not presses:
            raise PreventUpdate
        save_window(store, *told)
        return today.layout(store), HOME


def changes(numbers: list[Any], *, takes_medicine: bool) -> dict[str, Any]:
    """Return fields of a rider to their values; an empty field takes its number back."""
    age, sex, maximum, resting = numbers
    return {
        "age_years": _number(age),
        "sex": Sex(sex) if sex else None,
        "max_hr_bpm": _number(maximum),
        "resting_hr_bpm": _number(resting),
        "takes_heart_rate_medicine": takes_medicine,
    }


def save_window(store: Context, earliest: str | None, likely: str | None, usual_min: Any) -> None:
    """Keep what the last step asked for; raises `BadInput` if a day is missing."""
    if not earliest or not likely:
        raise BadInput("an opening window has two days", what_to_do=say("first.window.both"))
    set_window(
        store, earliest=dt.date.fromisoformat(earliest[:10]), likely=dt.date.fromisoformat(likely[:10])
    )
    update_training(store, usual_min=_number(usual_min))


def _number(value: Any) -> float | None:
    """Return what stands in a field for a number; an empty one holds ""."""
    return None if value in {"", None} else float(value)
