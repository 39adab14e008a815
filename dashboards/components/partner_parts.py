"""Parts of the riding partner's page: whom the plan is for, the plan adopted, two riders side by side."""

from typing import Any

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE, labelled
from dashboards.components.notes import caution, sentences
from dashboards.words import say
from rideready.model.exercise import Equipment, Level
from rideready.services.partner import Compared
from rideready.share.fit_plan import FittedPlan
from rideready.share.progress_file import ProgressFile, ProgressWeek
from rideready.share.words import QUESTIONS

NAME, AGE, MAXIMUM, RESTING, MEDICINE = (
    f"partner-{one}" for one in ("name", "age", "max", "rest", "medicine")
)
LEVEL, EQUIPMENT, GIVER = "partner-level", "partner-equipment", "partner-giver"
#: The fields of the form in the order in which callbacks get their values, and the property of each.
FIELDS = {
    NAME: "value",
    AGE: "value",
    MAXIMUM: "value",
    RESTING: "value",
    MEDICINE: "checked",
    LEVEL: "value",
    EQUIPMENT: "value",
    GIVER: "value",
}
PREVIEW, PREVIEWED = "partner-preview", "partner-previewed"
#: What can be saved, by the id of its press.
SAVES = {f"partner-save-{what}": what for what in ("handout", "calendar", "plan")}


def whom_for() -> Component:
    """Ask whom the plan is handed to; everything may stay open."""
    levels = [{"value": "", "label": say("partner.level.none")}]
    levels += [{"value": level.label, "label": level.label} for level in Level]
    chips = [dmc.Chip(one.value, value=one.value, variant="outline") for one in Equipment]
    return html.Div(
        [
            html.Div(
                [
                    dmc.TextInput(id=NAME, label=say("partner.name")),
                    dmc.NumberInput(id=AGE, label=say("partner.age"), min=8, max=110),
                    dmc.NumberInput(id=MAXIMUM, label=say("partner.max"), min=90, max=240),
                    dmc.NumberInput(id=RESTING, label=say("partner.rest"), min=25, max=130),
                    dmc.Select(
                        id=LEVEL, label=say("partner.level"), data=levels, value="", allowDeselect=False
                    ),
                    dmc.TextInput(id=GIVER, label=say("partner.giver")),
                ],
                className="fields",
            ),
            dmc.Checkbox(id=MEDICINE, label=say("partner.medicine"), checked=False),
            html.Fieldset(
                [
                    html.Legend(say("partner.equipment")),
                    dmc.ChipGroup(chips, id=EQUIPMENT, multiple=True, value=[]),
                ],
                className="chips-field",
            ),
            html.Div([_press(PREVIEW, "partner.preview"), *_saves()], className="partner-presses"),
        ]
    )


def _saves() -> list[Component]:
    return [_press(element, f"partner.save.{what}", lesser=" lesser") for element, what in SAVES.items()]


def _press(element: str, word: str, *, lesser: str = "") -> Component:
    return html.Button(say(word), id=element, n_clicks=0, type="button", className=f"press{lesser}")


def previewed(handout: str) -> Component:
    """Show a handout as it is, without scripts and apart from this page."""
    return html.Iframe(
        srcDoc=handout, sandbox="", className="partner-preview", title=say("partner.preview.label")
    )


def file_taker(element: str, word: str, *, most_bytes: int) -> Component:
    """Offer to choose a file of at most so many bytes; one may also be dropped there."""
    press = html.Button(say(word), type="button", className="press lesser")
    return dcc.Upload(press, id=element, max_size=most_bytes, accept=".json", className="partner-file")


def adopted_plan(fitted: FittedPlan | None) -> list[Component]:
    """Show the plan that is adopted, as it was worked out for the reader."""
    if fitted is None:
        return [html.P(say("partner.adopt.none"))]
    plan = fitted.plan
    head = say(
        "partner.adopt.from",
        giver=plan.giver or say("partner.adopt.somebody"),
        revision=plan.revision,
        earliest=formats.day(plan.window.earliest),
        likely=formats.day(plan.window.likely),
    )
    circuits = [
        html.P(
            say(
                "partner.circuit",
                number=number,
                names=", ".join(one.circuit.names),
                top=one.circuit.top_count,
            )
        )
        for number, one in enumerate(fitted.circuits, start=1)
        if one.circuit is not None
    ]
    care = say("partner.adopt.care", questions="; ".join(QUESTIONS))
    return [
        html.P(head),
        caution(care),
        sentences([reason.sentence for reason in fitted.reasons]),
        *([_weeks(fitted)] if fitted.season is not None else []),
        *circuits,
        sentences([reason.sentence for reason in fitted.changes]),
    ]


def _weeks(fitted: FittedPlan) -> Component:
    given = {week.start: week.targets.moderate_equivalent_min for week in fitted.plan.weeks}
    weeks = () if fitted.season is None else fitted.season.weeks
    rows = [
        [
            formats.day(week.start),
            str(week.targets.moderate_equivalent_min),
            str(given.get(week.start, "\N{EN DASH}")),
        ]
        for week in weeks
    ]
    heads = [say("partner.weeks.week"), say("partner.weeks.own"), say("partner.weeks.given")]
    return _table(say("partner.weeks.caption"), heads, rows)


def compared(own: ProgressFile, partner: ProgressFile, weeks: list[Compared]) -> Component:
    """Put two riders' weeks beside each other, newest first."""
    name = partner.name or say("partner.compare.partner")
    heads = [say("partner.compare.week"), say("partner.compare.you"), name]
    rows = [[formats.day(week.start), _done(week.own), _done(week.partner)] for week in reversed(weeks)]
    verdict = say("partner.compare.verdict", own=own.recovery, name=name, partner=partner.recovery)
    return html.Div([_table(say("partner.compare.caption"), heads, rows), html.P(verdict)])


def _done(week: ProgressWeek | None) -> str:
    if week is None:
        return "\N{EN DASH}"
    return say("partner.compare.done", done=week.done_min, planned=week.planned_min)


def _table(caption: str, heads: list[str], rows: list[list[str]]) -> Component:
    return html.Table(
        [
            html.Caption(caption),
            html.Thead(html.Tr([html.Th(head, scope="col") for head in heads])),
            html.Tbody(
                [
                    html.Tr([html.Th(row[0], scope="row"), *(html.Td(cell) for cell in row[1:])])
                    for row in rows
                ]
            ),
        ],
        className="partner-table",
    )


def told(element: str, children: list[Component]) -> Component:
    """Keep a place in which an answer is read out when it changes."""
    live: dict[str, Any] = LIVE
    return html.Div(children, id=element, role="status", **live)


def word_for_word(text: str) -> Component:
    """Show a file exactly as it would be written."""
    return html.Pre(text, className="partner-file-text", tabIndex=0, **labelled(say("partner.own")))
