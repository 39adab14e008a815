"""The list of sessions: which are shown, the controls that choose them, heads that sort."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE, SILENT
from dashboards.components.leaves import page_ways, rows_of_page
from dashboards.components.session_parts import session_name
from dashboards.components.sessions_address import Column, SessionFilters, sessions_at, sorted_by
from dashboards.urls import SESSIONS, session_address
from dashboards.words import say
from rideready.model.session import Kind
from rideready.services.sessions import SessionRow

KINDS = "sessions-kinds"
DEVICE = "sessions-device"
DAYS = "sessions-days"
RECOVERIES = "sessions-recoveries"
SUMMARY = "sessions-summary"

#: The controls in the order of ``filters_from_session_controls``.
CONTROLS = (KINDS, DEVICE, DAYS, RECOVERIES)

_MINOR = frozenset({Column.RECORDER, Column.MEAN, Column.DURATION, Column.RECOVERIES})


def session_filter_bar(
    filters: SessionFilters, *, kinds: Sequence[Kind], devices: Sequence[str], summary: str
) -> Component:
    """Return the sentence and, folded away behind it, the controls.

    Parameters
    ----------
    filters
        What they show.
    kinds, devices
        Those that occur.
    summary
        See `summary_of_sessions`.
    """
    words, device, days, recoveries = session_control_values(filters)
    chips = [dmc.Chip(say(f"kind.{kind}"), value=str(kind), size="sm", variant="outline") for kind in kinds]
    has_some = dmc.Chip(say("sessions.filter.some"), value="some", size="sm", variant="outline")
    recorders = [{"value": "", "label": say("filter.device.all")}]
    recorders += formats.recorder_choices(devices)
    said = [
        html.Span(summary, id=SUMMARY, **LIVE),
        html.Span(say("filter.change"), className="change"),
    ]
    controls = [
        html.Div(
            [
                _group("sessions.kind", dmc.ChipGroup(chips, id=KINDS, multiple=True, value=words)),
                _group(
                    "sessions.recoveries",
                    dmc.ChipGroup([has_some], id=RECOVERIES, multiple=True, value=recoveries),
                ),
            ]
        ),
        html.Div(
            [
                dmc.Select(
                    id=DEVICE,
                    label=say("filter.device"),
                    data=recorders,
                    value=device,
                    allowDeselect=False,
                    className="filter-device",
                ),
                dmc.DatePickerInput(
                    id=DAYS,
                    type="range",
                    label=say("filter.days"),
                    placeholder=say("filter.days.hint"),
                    value=days,
                    valueFormat=formats.picker_form(),
                    allowSingleDateInRange=True,
                    clearable=True,
                    className="filter-days",
                ),
                dcc.Link(say("filter.reset"), href=SESSIONS, className="reset"),
            ]
        ),
    ]
    details = html.Details(
        [html.Summary(said), html.Div(controls, className="controls")],
        className="filters",
        open=filters.is_narrowed,
    )
    return html.Div(details, className="filter-bar")


def session_control_values(
    filters: SessionFilters,
) -> tuple[list[str], str, list[str | None], list[str]]:
    """Return what each of `CONTROLS` shows for these filters."""
    return (
        list(map(str, filters.kinds)),
        filters.device or "",
        [day.isoformat() if day else None for day in (filters.since, filters.until)],
        ["some"] if filters.has_recoveries else [],
    )


def summary_of_sessions(filters: SessionFilters, *, shown: int, total: int) -> str:
    """Say in one sentence which sessions are on screen."""
    counted = formats.counted(total, "session", "sessions")
    if not filters.is_narrowed:
        return say("sessions.filter.all", sessions=counted)
    parts = [
        " or ".join(say(f"kind.{kind}") for kind in filters.kinds),
        say("sessions.filter.some") if filters.has_recoveries else "",
        filters.device or "",
        say("filter.since", day=formats.day(filters.since)) if filters.since else "",
        say("filter.until", day=formats.day(filters.until)) if filters.until else "",
    ]
    said = ", ".join(part for part in parts if part)
    return say("sessions.filter.narrowed", n=shown, sessions=counted, said=said)


def session_list(rows: Sequence[SessionRow], filters: SessionFilters) -> Component:
    """List one page of the chosen sessions, each leading to its own page."""
    if not rows:
        way = dcc.Link(say("sessions.none.all"), href=SESSIONS)
        return html.P([say("sessions.none"), " ", way], className="lead")
    shown, page, n_pages = rows_of_page(rows, filters.page)
    counted = formats.counted(len(rows), "session", "sessions")
    column = say(f"sessions.{filters.sort}").lower()
    caption = say("sessions.caption", sessions=counted, column=column, order=_order(filters))
    table = html.Table(
        [
            html.Caption(caption),
            html.Thead(html.Tr([_head(column, filters) for column in Column])),
            html.Tbody([_line(row) for row in shown]),
        ],
        className="sessions",
    )
    ways = page_ways(page, n_pages, address_of=lambda number: sessions_at(replace(filters, page=number)))
    return html.Div([html.Div(table, className="table"), ways])


def _order(filters: SessionFilters) -> str:
    way = "up" if filters.is_reversed else "down"
    if filters.sort is Column.DATE:
        return say(f"sessions.order.{way}.date")
    return say(f"sessions.order.{way}{'.text' if filters.sort in {Column.KIND, Column.RECORDER} else ''}")


def _head(column: Column, filters: SessionFilters) -> Component:
    is_sorted = filters.sort is column
    arrow = "\N{UPWARDS ARROW}" if filters.is_reversed else "\N{DOWNWARDS ARROW}"
    link = dcc.Link(
        [
            say(f"sessions.{column}"),
            *([html.Span(f"\N{NO-BREAK SPACE}{arrow}", **SILENT)] if is_sorted else []),
        ],
        href=sessions_at(sorted_by(filters, column)),
        className="sorter",
    )
    told: dict[str, Any] = {}
    if is_sorted:
        told["aria-sort"] = "ascending" if filters.is_reversed else "descending"
    return html.Th(link, scope="col", className="minor" if column in _MINOR else "", **told)


def _line(row: SessionRow) -> Component:
    link = dcc.Link(session_name(row), href=session_address(row.session_id))
    recoveries = say("sessions.recoveries.of", trusted=row.n_trusted, n=row.n_recoveries)
    return html.Tr(
        [
            html.Th(link, scope="row"),
            html.Td(say(f"kind.{row.kind}")),
            html.Td(formats.duration(row.duration_s), className="figure-cell minor"),
            html.Td(formats.recorder(row.device) or formats.NOT_KNOWN, className="minor"),
            html.Td(_with_unit(row.mean_hr_bpm, "bpm"), className="figure-cell minor"),
            html.Td(formats.whole(row.trimp), className="figure-cell"),
            html.Td(recoveries, className="figure-cell minor"),
            html.Td(_with_unit(row.median_hrr60_bpm, "bpm"), className="figure-cell"),
        ]
    )


def _with_unit(value: float | None, unit: str) -> str:
    return f"{formats.whole(value)} {unit}" if formats.is_known(value) else formats.NOT_KNOWN


def _group(legend: str, chips: Component) -> Component:
    return html.Fieldset([html.Legend(say(legend)), chips])
