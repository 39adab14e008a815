"""The riding partner: hand a plan over, adopt one, look at two riders' weeks side by side."""

import base64
import binascii
import datetime as dt
from collections.abc import Sequence
from typing import Any

from dash import Dash, Input, Output, State, ctx, dcc, html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.components.notes import folded, no_window, sentences
from dashboards.components.partner_parts import (
    FIELDS,
    PREVIEW,
    PREVIEWED,
    SAVES,
    adopted_plan,
    compared,
    file_taker,
    previewed,
    told,
    whom_for,
    word_for_word,
)
from dashboards.context import Look
from dashboards.urls import PARTNER
from dashboards.words import say
from rideready.errors import BadInput
from rideready.model.exercise import Equipment, Level
from rideready.model.rider import Rider
from rideready.services import sharing
from rideready.services.context import Context
from rideready.services.partner import (
    adopt,
    adopted,
    keep_progress,
    own_progress,
    partners_progress,
    progress_file_text,
    side_by_side,
)
from rideready.services.sharing import CalendarWishes, Recipient
from rideready.services.training import get_training
from rideready.share.calendar_events import StartTimes
from rideready.share.progress_file import progress_from_bytes
from rideready.share.reading import MOST_BYTES, plan_from_bytes

DOWNLOAD, OWN_DOWNLOAD, OWN_SAVE = "partner-download", "partner-own-download", "partner-own-save"
PLAN_FILE, ADOPTED = "partner-plan-file", "partner-adopted"
PROGRESS_FILE, COMPARED = "partner-progress-file", "partner-compared"


def page_at(look: Look) -> tuple[Component, str] | None:
    """Return the page and its title; None at any other address."""
    return (layout(look), say("title.partner")) if look.pathname == PARTNER else None


def layout(look: Look) -> Component:
    """Return the page; without an opening window a plan can only be adopted."""
    store = look.store
    has_window = get_training(store).earliest is not None
    return html.Div(
        [
            html.H1(say("partner.title")),
            *([_make()] if has_window else []),
            _adopt(store),
            *([_compare(store)] if has_window else [no_window()]),
        ],
        className="partner",
    )


def register(app: Dash, store: Context) -> None:
    """Connect preview, saving, adopting and comparing."""
    fields = [State(element, name) for element, name in FIELDS.items()]

    @app.callback(
        Output(PREVIEWED, "children"), Input(PREVIEW, "n_clicks"), *fields, prevent_initial_call=True
    )
    def show_preview(n_clicks: int | None, *values: Any) -> Component:
        if not n_clicks:
            raise PreventUpdate
        return previewed(sharing.preview(store, recipient(values), giver=_text(values[-1])))

    @app.callback(
        Output(DOWNLOAD, "data"),
        *(Input(element, "n_clicks") for element in SAVES),
        *fields,
        prevent_initial_call=True,
    )
    def save(*values: Any) -> dict[str, Any]:
        if not any(values[: len(SAVES)]):
            raise PreventUpdate
        return file_of(store, SAVES[str(ctx.triggered_id)], values[len(SAVES) :])

    @app.callback(
        Output(ADOPTED, "children"),
        Input(PLAN_FILE, "contents"),
        State(PLAN_FILE, "filename"),
        prevent_initial_call=True,
    )
    def take_plan(contents: str | None, filename: str | None) -> list[Component]:
        return adopt_file(store, uploaded(contents), filename or "plan file")

    @app.callback(
        Output(COMPARED, "children"),
        Input(PROGRESS_FILE, "contents"),
        State(PROGRESS_FILE, "filename"),
        prevent_initial_call=True,
    )
    def take_progress(contents: str | None, filename: str | None) -> list[Component]:
        keep_progress(store, progress_from_bytes(uploaded(contents), filename or "progress file"))
        return _comparisons(store)

    @app.callback(Output(OWN_DOWNLOAD, "data"), Input(OWN_SAVE, "n_clicks"), prevent_initial_call=True)
    def save_progress(n_clicks: int | None) -> dict[str, Any]:
        if not n_clicks:
            raise PreventUpdate
        return _download("progress.json", progress_file_text(own_progress(store)))


def recipient(values: Sequence[Any]) -> Recipient:
    """Read the form; raises `BadInput` if the numbers cannot be a person's."""
    name, age, maximum, rest, medicine, level, equipment, _ = values
    try:
        rider = Rider(
            age_years=_number(age),
            max_hr_bpm=_number(maximum),
            resting_hr_bpm=_number(rest),
            takes_heart_rate_medicine=bool(medicine),
        )
    except ValueError as error:
        raise BadInput(str(error), what_to_do="Check the number and try again") from error
    levels = {one.label: one for one in Level}
    return Recipient(
        name=_text(name),
        rider=rider,
        level=levels.get(_text(level)),
        equipment=tuple(one for one in Equipment if one.value in set(equipment or ())) or None,
    )


def file_of(store: Context, what: str, values: Sequence[Any]) -> dict[str, Any]:
    """Make a file to save."""
    whom, giver = recipient(values), _text(values[-1])
    if what == "handout":
        return _download("plan.html", sharing.handout(store, whom, giver=giver))
    if what == "calendar":
        wishes = CalendarWishes(StartTimes(), sharing.usual_zone(store), None, dt.datetime.now(dt.UTC))
        return _download("plan.ics", sharing.calendar(store, whom, wishes, giver=giver).decode("utf-8"))
    return _download("plan.json", sharing.plan_file_text(sharing.share_plan(store, giver=giver)))


def adopt_file(store: Context, content: bytes, name: str) -> list[Component]:
    """Adopt an uploaded plan and show it; raises as `adopt`."""
    report = adopt(store, plan_from_bytes(content, name))
    said = say(f"partner.outcome.{report.adoption}", revision=report.fitted.plan.revision)
    changes = sentences([reason.sentence for reason in report.changes])
    return [html.P(html.Strong(said)), changes, *adopted_plan(report.fitted)]


def uploaded(contents: str | None) -> bytes:
    """Unpack what the browser sends of a file."""
    if not contents:
        raise PreventUpdate
    try:
        return base64.b64decode(contents.partition(",")[2], validate=True)
    except binascii.Error as error:
        raise BadInput("the file did not arrive whole", what_to_do="Choose it again") from error


def _make() -> Component:
    return html.Section(
        [
            html.H2(say("partner.make")),
            html.P(say("partner.make.lead")),
            whom_for(),
            dcc.Download(id=DOWNLOAD),
            told(PREVIEWED, []),
        ]
    )


def _adopt(store: Context) -> Component:
    return html.Section(
        [
            html.H2(say("partner.adopt")),
            html.P(say("partner.adopt.lead")),
            file_taker(PLAN_FILE, "partner.adopt.file", most_bytes=MOST_BYTES),
            told(ADOPTED, adopted_plan(adopted(store))),
        ]
    )


def _compare(store: Context) -> Component:
    own = progress_file_text(own_progress(store))
    save = html.Button(
        say("partner.own.save"), id=OWN_SAVE, n_clicks=0, type="button", className="press lesser"
    )
    return html.Section(
        [
            html.H2(say("partner.compare")),
            html.P(say("partner.compare.lead")),
            file_taker(PROGRESS_FILE, "partner.compare.file", most_bytes=MOST_BYTES),
            told(COMPARED, _comparisons(store)),
            folded(say("partner.own"), [word_for_word(own)]),
            html.P(save),
            dcc.Download(id=OWN_DOWNLOAD),
        ]
    )


def _comparisons(store: Context) -> list[Component]:
    partners = partners_progress(store)
    if not partners:
        return [html.P(say("partner.compare.none"))]
    own = own_progress(store)
    return [compared(own, partner, side_by_side(own, partner)) for partner in partners]


def _download(name: str, content: str) -> dict[str, Any]:
    return {"filename": name, "content": content}


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None


def _text(value: object) -> str:
    return value.strip() if isinstance(value, str) else ""
