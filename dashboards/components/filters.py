"""Which recoveries are shown: said in one sentence, changed by the controls behind it."""

from collections.abc import Sequence

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import labelled
from dashboards.urls import RECOVERY, RecoveryFilters, View
from dashboards.words import say
from rideready.model.recovery import Grade, Mode

GRADES = "filter-grade"
MODES = "filter-mode"
DEVICE = "filter-device"
DAYS = "filter-days"
VIEW = "filter-view"
SUMMARY = "filter-summary"

#: The controls in the order `control_values` and ``urls.filters_from_controls`` use.
CONTROLS = (GRADES, MODES, DEVICE, DAYS, VIEW)


def filter_bar(filters: RecoveryFilters, *, summary: str, devices: Sequence[str]) -> Component:
    """Return the sentence and, folded away behind it, the controls."""
    grades, modes, device, days, view = control_values(filters)
    return html.Div(
        [
            html.Details(
                [
                    html.Summary(
                        [
                            html.Span(summary, id=SUMMARY),
                            html.Span(say("filter.change"), className="change"),
                        ]
                    ),
                    html.Div(
                        [
                            html.Div([_chips(GRADES, grades, Grade), _chips(MODES, modes, Mode)]),
                            html.Div(
                                [
                                    _device(device, devices),
                                    _days(days),
                                    dcc.Link(say("filter.reset"), href=RECOVERY, className="reset"),
                                ]
                            ),
                        ],
                        className="controls",
                    ),
                ],
                className="filters",
            ),
            dmc.SegmentedControl(
                id=VIEW,
                value=view,
                data=[{"value": str(choice), "label": say(f"filter.view.{choice}")} for choice in View],
                size="sm",
                className="view-switch",
                **labelled(say("filter.view")),
            ),
        ],
        className="filter-bar",
    )


def control_values(
    filters: RecoveryFilters,
) -> tuple[list[str], list[str], str, list[str | None], str]:
    """Return what each of `CONTROLS` shows for these filters."""
    return (
        list(map(str, filters.grades)),
        list(map(str, filters.modes)),
        filters.device or "",
        [day.isoformat() if day else None for day in (filters.since, filters.until)],
        str(filters.view),
    )


def summary_of(filters: RecoveryFilters, *, shown: int, total: int) -> str:
    """Say in one sentence what is on screen."""
    count = say("filter.some", n=shown, total=total) if filters.is_narrowed else say("filter.all", n=total)
    parts = [
        " or ".join(say(f"legend.{grade}") for grade in filters.grades),
        " or ".join(say(f"legend.{mode}") for mode in filters.modes),
        filters.device or "",
        say("filter.since", day=formats.day(filters.since)) if filters.since else "",
        say("filter.until", day=formats.day(filters.until)) if filters.until else "",
    ]
    said = ", ".join(part for part in parts if part)
    return f"{say('filter.title')} {count}{': ' + said if said else ''}"


def _chips(name: str, value: Sequence[str], choices: type[Grade] | type[Mode]) -> Component:
    return html.Fieldset(
        [
            html.Legend(say(name.replace("-", "."))),
            dmc.ChipGroup(
                [
                    dmc.Chip(say(f"legend.{choice}"), value=str(choice), size="sm", variant="outline")
                    for choice in choices
                ],
                id=name,
                multiple=True,
                value=list(value),
            ),
        ]
    )


def _device(value: str, devices: Sequence[str]) -> Component:
    choices = [{"value": "", "label": say("filter.device.all")}]
    choices += formats.recorder_choices(devices)
    select: Component = dmc.Select(
        id=DEVICE,
        label=say("filter.device"),
        data=choices,
        value=value,
        allowDeselect=False,
        className="filter-device",
    )
    return select


def _days(value: Sequence[str | None]) -> Component:
    days: Component = dmc.DatePickerInput(
        id=DAYS,
        type="range",
        label=say("filter.days"),
        placeholder=say("filter.days.hint"),
        value=list(value),
        valueFormat="D MMM YYYY",
        allowSingleDateInRange=True,
        clearable=True,
        className="filter-days",
    )
    return days
