"""Writing down what was done today: two taps for what was planned, a fold for everything else."""

import datetime as dt
from collections.abc import Sequence

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE, labelled
from dashboards.urls import session_address
from dashboards.words import say
from rideready.model.exercise import Joint
from rideready.model.week import MuscleGroup
from rideready.services.done import DIARY_KINDS
from rideready.services.pairing import APART
from rideready.services.twice import Twice
from rideready.store.day_log import Book, DayLine

RATE = "today-rate"
UNDO = "today-undo"
FEEL = "today-feel"
KIND, MINUTES, RPE, SAVE = "today-kind", "today-minutes", "today-rpe", "today-save"
RESTING, RESTING_SAVE = "today-resting", "today-resting-save"
JOINTS = "today-joints"

#: Words of the diary that one press writes, with the tag each carries.
FEELINGS = {"fever": ("illness", ("fever",)), "cold": ("illness", ("cold",)), "well": ("well", ())}


def done_as_planned() -> Component:
    """Ask for a rating once "done" was pressed; the second press saves."""
    ratings = [
        html.Button(
            str(rpe),
            id={"type": RATE, "rpe": rpe},
            n_clicks=0,
            type="button",
            **labelled(say("today.log.rate", rpe=rpe)),
        )
        for rpe in range(11)
    ]
    return html.Details(
        [
            html.Summary(say("today.log.done"), className="press", id="today-done"),
            html.Div(
                [html.P(say("today.log.ask")), html.Div(ratings, className="ratings")],
                role="group",
                **labelled(say("today.log.ask")),
            ),
        ],
        className="done-as-planned",
    )


def written(lines: Sequence[DayLine], twice: Sequence[Twice] = ()) -> Component:
    """List what was written down today, each line with the way to take it back, and what was recorded too."""
    if not lines:
        return html.Div(id="today-written", **LIVE)
    return html.Div(
        [
            html.H2(say("today.log.written")),
            html.Ul([_line(line, _recording(line, twice)) for line in lines], className="written"),
        ],
        id="today-written",
        **LIVE,
    )


def said_of(line: DayLine) -> str:
    """Say a line of the day's log in a few words."""
    parts = [
        say(f"today.kind.{line.kind}"),
        say("today.line.minutes", minutes=formats.whole(line.minutes)) if line.minutes else "",
        say("today.line.rpe", rpe=f"{line.rpe:g}") if line.rpe is not None else "",
        say("today.line.bpm", bpm=formats.whole(line.bpm)) if line.bpm is not None else "",
        *_tags(line),
    ]
    return ", ".join(part for part in parts if part)


def _tags(line: DayLine) -> list[str]:
    """Say what a line is about; of days away, from when to when."""
    if line.kind == "away":
        first, last = (formats.short_day(dt.date.fromisoformat(tag)) for tag in line.tags)
        return [say("today.line.away", first=first, last=last)]
    return [tag for tag in line.tags if tag != APART]


def other_entries() -> Component:
    """Everything else the diary takes, folded: another session, resting pulse, soreness, illness."""
    return html.Details(
        [
            html.Summary(say("today.log.other")),
            html.Div([_session(), _resting(), _sore(), _ill()], className="entries"),
        ],
        className="other-entries",
    )


def _recording(line: DayLine, twice: Sequence[Twice]) -> Twice | None:
    of_diary = line.book is Book.DIARY
    return next((one for one in twice if of_diary and one.line.number == line.number), None)


def _line(line: DayLine, twice: Twice | None) -> Component:
    said = said_of(line)
    undo = html.Button(
        say("today.log.undo"),
        id={"type": UNDO, "book": str(line.book), "number": line.number},
        n_clicks=0,
        type="button",
        className="plain",
        **labelled(say("today.log.undo.of", what=said)),
    )
    what = [html.Span(said)] if twice is None else [html.Span([said, html.Br(), _counted(twice)])]
    return html.Li([*what, undo])


def _counted(twice: Twice) -> Component:
    """Lead to the recording that counts in a line's place, or beside it."""
    word = "today.twice.both" if twice.is_apart else "today.twice.once"
    return dcc.Link(say(word), href=session_address(twice.session_id), className="quiet")


def _session() -> Component:
    kinds = [{"value": kind, "label": say(f"today.kind.{kind}")} for kind in DIARY_KINDS]
    return html.Fieldset(
        [
            html.Legend(say("today.other.session")),
            dmc.Select(
                id=KIND, label=say("today.other.kind"), data=kinds, value="strength", allowDeselect=False
            ),
            dmc.NumberInput(id=MINUTES, label=say("today.other.minutes"), min=1, max=1440, value=30),
            dmc.NumberInput(id=RPE, label=say("today.other.rpe"), min=0, max=10, step=1),
            _press(SAVE, "today.other.save"),
        ]
    )


def _resting() -> Component:
    return html.Fieldset(
        [
            html.Legend(say("today.kind.resting pulse")),
            dmc.NumberInput(id=RESTING, label=say("today.resting"), min=25, max=130),
            _press(RESTING_SAVE, "today.resting.save"),
        ]
    )


def _sore() -> Component:
    chips = [dmc.Chip(part.value, value=part.value, variant="outline") for part in (*Joint, *MuscleGroup)]
    return html.Fieldset(
        [
            html.Legend(say("today.sore")),
            html.Div(dmc.ChipGroup(chips, id=JOINTS, multiple=True, value=[]), className="chips"),
            _press({"type": FEEL, "word": "sore"}, "today.sore.save"),
            _press({"type": FEEL, "word": "healed"}, "today.healed.save"),
            html.P(say("today.sore.note"), className="quiet"),
        ]
    )


def _ill() -> Component:
    presses = [_press({"type": FEEL, "word": word}, f"today.ill.{word}") for word in FEELINGS]
    return html.Fieldset(
        [
            html.Legend(say("today.ill")),
            *presses,
            html.P(say("today.ill.note"), className="caution"),
        ]
    )


def _press(element: str | dict[str, str], word: str) -> Component:
    return html.Button(say(word), id=element, n_clicks=0, type="button", className="press lesser")
