"""Who the rider is: numbers and their sources, training, safety, and how figures are written."""

import threading
from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards import formats
from dashboards.components import rider_numbers as numbers
from dashboards.components import rider_training as training_parts
from dashboards.components.aria import LIVE
from dashboards.components.notes import cautions
from dashboards.context import Look
from dashboards.rework import Progress, Rework
from dashboards.urls import RIDER
from dashboards.words import say
from rideready.intensity import IntensityClass, class_bounds_bpm, working_maximum_bpm
from rideready.model.exercise import Equipment, Joint, Level
from rideready.model.rider import Sex
from rideready.services.cautions import MEDICINE, STOP_SIGNS, cautions_for_rider
from rideready.services.context import Context
from rideready.services.maximum_rest import maximum_and_rest
from rideready.services.preferences import DateForm, Units, get_preferences, update_preferences
from rideready.services.riders import add_rider_to, get_rider, rider_sources, riders_by_number, set_rider
from rideready.services.sessions import list_sessions
from rideready.services.training import get_training, update_training

SOURCES, LOOK = "rider-sources", "rider-look"
BANDS, WORK, TICK, BEFORE = "rider-bands", "rider-work", "rider-tick", "rider-before"
_POLL_MS = 500


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    return (layout(look.store), say("title.rider")) if look.pathname == RIDER else None


def layout(store: Context) -> Component:
    """Return the page."""
    rider = get_rider(store)
    save = html.Button(
        say("rider.numbers.save"), id=numbers.SAVE, n_clicks=0, type="button", className="press"
    )
    own_numbers = html.Section(
        [
            html.H2(say("rider.numbers")),
            numbers.numbers_fields(rider),
            html.Div(save, className="presses"),
            html.P(say("rider.numbers.note"), className="quiet"),
            html.Div(id=WORK, **LIVE),
            dcc.Interval(id=TICK, interval=_POLL_MS, disabled=True),
            dcc.Store(id=BEFORE),
            numbers.history(rider_sources(store, None)),
            html.H3(say("rider.bands")),
            html.Div(numbers.bands_table(class_bounds_bpm(rider)), id=BANDS),
        ]
    )
    sources = html.Section(
        [
            html.H2(say("rider.sources")),
            html.Div(html.P(say("rider.looking"), className="quiet"), id=SOURCES, **LIVE),
            dcc.Store(id=LOOK, data=store.rider_id),
        ]
    )
    said = [text for text in cautions_for_rider(rider) if text != STOP_SIGNS]  # the footer has those
    return html.Div(
        [
            html.H1(rider.name or say("rider.unnamed")),
            cautions(said if rider.takes_heart_rate_medicine else [*said, MEDICINE]),
            html.Div([own_numbers, sources], className="two-up even"),
            html.Div(
                [
                    training_parts.training_section(get_training(store)),
                    html.Div(
                        [
                            training_parts.questions_section(),
                            training_parts.writing_section(get_preferences(store)),
                            training_parts.riders_section(riders_by_number(store), store.rider_id),
                        ]
                    ),
                ],
                className="two-up even",
            ),
        ],
        className="rider",
    )


def register(app: Dash, store: Context) -> None:
    """Connect what is saved, and the figures that follow from it."""
    rework = Rework()
    _register_numbers(app, store, rework)
    _register_choices(app, store)

    looking = threading.Lock()

    # Of sessions stored by an early version every recording is looked through, once: asked for when the page stands.
    @app.callback(Output(SOURCES, "children"), Input(LOOK, "data"))
    def look_through(rider_id: int | None) -> list[Component]:
        if rider_id is None:
            raise PreventUpdate
        with looking:  # a second look meanwhile would only double the wait
            found = maximum_and_rest(store)
        return [numbers.sources_table(found), *numbers.conflicts(found)]


def _register_numbers(app: Dash, store: Context, rework: Rework) -> None:
    @app.callback(
        Output(BEFORE, "data"),
        Output(TICK, "disabled"),
        Output(WORK, "children", allow_duplicate=True),
        Output(BANDS, "children"),
        Input(numbers.SAVE, "n_clicks"),
        [State(field, "value") for field in numbers.FIELDS],
        State(numbers.MEDICINE, "checked"),
        prevent_initial_call=True,
    )
    def save(presses: int, *told: Any) -> tuple[Any, ...]:
        if not presses:
            raise PreventUpdate
        before = totals(store)
        rider = set_rider(store, **numbers_from_fields(*told))
        rework.start(store)
        bands = numbers.bands_table(class_bounds_bpm(rider))
        return before, False, _progress_said(rework.of(store)), bands

    @app.callback(
        Output(WORK, "children"),
        Output(TICK, "disabled", allow_duplicate=True),
        Output(LOOK, "data"),
        Input(TICK, "n_intervals"),
        State(BEFORE, "data"),
        prevent_initial_call=True,
    )
    def follow(_ticks: int, before: dict[str, float | None]) -> tuple[Any, ...]:
        progress = rework.of(store)
        said = _progress_said(progress)
        if progress.is_running:
            return said, False, no_update  # the sources wait until all is done
        return [*said, numbers.change_table(before, totals(store))], True, store.rider_id


def _training_told(told: tuple[Any, ...]) -> dict[str, Any]:
    """Turn the values of the controls into the rider's training choices."""
    equipment, joints, exclude, level, long_day, minutes = told
    return {
        "equipment": tuple(Equipment(name) for name in equipment or ()),
        "avoid_joints": tuple(Joint(name) for name in joints or ()),
        "exclude": tuple(exclude or ()),
        "level": Level[level],
        "long_day": int(long_day) if long_day else None,
        "minutes_by_weekday": tuple(int(number or 0) for number in minutes),
    }


def _register_choices(app: Dash, store: Context) -> None:
    @app.callback(
        Output(training_parts.SAVED, "children"),
        Input(training_parts.SAVE, "n_clicks"),
        State(training_parts.EQUIPMENT, "value"),
        State(training_parts.JOINTS, "value"),
        State(training_parts.EXCLUDE, "value"),
        State(training_parts.LEVEL, "value"),
        State(training_parts.LONG_DAY, "value"),
        State({"type": training_parts.MINUTES, "day": ALL}, "value"),
        prevent_initial_call=True,
    )
    def save_training(presses: int, *told: Any) -> str:
        if not presses:
            raise PreventUpdate
        update_training(store, **_training_told(told))
        return say("rider.training.saved")

    @app.callback(
        Output(training_parts.ADVICE, "children"),
        Input(training_parts.TICKED, "value"),
        Input(training_parts.NONE_TICKED, "n_clicks"),
        prevent_initial_call=True,
    )
    def advise(ticked: list[str] | None, _presses: int) -> list[Component]:
        return training_parts.advice(ticked or [], is_asked=ctx.triggered_id == training_parts.NONE_TICKED)

    @app.callback(
        Output(training_parts.WRITTEN, "children"),
        Input(training_parts.UNITS, "value"),
        Input(training_parts.DATES, "value"),
        prevent_initial_call=True,
    )
    def write(units: str, dates: str) -> str:
        chosen = update_preferences(store, units=Units(units), dates=DateForm(dates))
        formats.write_for(chosen)
        return say("rider.writing.saved", far=formats.distance(10_000.0), day=formats.day(store.today))

    @app.callback(
        Output(training_parts.ADDED, "children"),
        Input(training_parts.ADD, "n_clicks"),
        State(training_parts.NEW_NAME, "value"),
        prevent_initial_call=True,
    )
    def add(presses: int, name: str | None) -> str:
        if not presses:
            raise PreventUpdate
        add_rider_to(store, (name or "").strip())
        return say("rider.riders.added", name=(name or "").strip())


def numbers_from_fields(*told: Any) -> dict[str, Any]:
    """Return a rider's numbers from the fields; an empty one takes its number back."""
    maximum, rest, stand, age, sex, settle, medicine = told
    return {
        "max_hr_bpm": _number(maximum),
        "resting_hr_bpm": _number(rest),
        "standing_hr_bpm": _number(stand),
        "age_years": _number(age),
        "sex": Sex(sex) if sex else None,
        "settle_reserve": None if _number(settle) is None else float(settle) / 100,
        "takes_heart_rate_medicine": bool(medicine),
    }


def totals(store: Context) -> dict[str, float | None]:
    """Add up, over all sessions, what depends on the rider's numbers."""
    rows = list_sessions(store)
    minutes = [row.class_minutes for row in rows if row.class_minutes]
    hard = (IntensityClass.VIGOROUS, IntensityClass.NEAR_MAXIMAL)
    loads = [row.trimp for row in rows if row.trimp is not None]
    return {
        "maximum": working_maximum_bpm(get_rider(store)),
        "vigorous": sum(each[step] for each in minutes for step in hard) if minutes else None,
        "moderate": sum(each[IntensityClass.MODERATE] for each in minutes) if minutes else None,
        "trimp": sum(loads) if loads else None,
        "trusted": float(sum(row.n_trusted for row in rows)),
    }


def _progress_said(progress: Progress) -> list[Component]:
    if progress.is_broken:
        text = say("rider.work.failed")
    elif progress.is_running:
        text = say("rider.work.running", done=progress.done, total=progress.total)
    elif progress.total:
        text = say("rider.work.done", sessions=formats.counted(progress.total, "session", "sessions"))
    else:
        text = say("rider.work.none")
    return [html.P(text, role="status")]


def _number(value: Any) -> float | None:
    """Return what stands in a field for a number; an empty one holds ""."""
    return None if value in {None, ""} else float(value)
