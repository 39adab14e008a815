"""Recoveries as rows, each leading to its curve."""

from collections.abc import Sequence
from dataclasses import replace

from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.leaves import page_ways, rows_of_page
from dashboards.components.recovery_text import drop_cell, settle_cell, tau_cell
from dashboards.urls import RECOVERY, RecoveryFilters, RecoveryKey, recovery_address, write_filters
from dashboards.words import say
from rideready.services.recoveries import RecoveryRow


def season_table(rows: Sequence[RecoveryRow], filters: RecoveryFilters) -> Component:
    """List recoveries of many sessions, newest first; links open the curve on the same page."""
    shown, page, n_pages = rows_of_page(list(reversed(rows)), filters.page)
    head = ("table.day", "table.kind", *_FIGURES)
    body = [
        html.Tr(
            [
                html.Th(html.A(formats.day_and_time(row.end_local), href=f"#{_key(row)}"), scope="row"),
                html.Td(say(f"kind.{row.kind}"), className="minor"),
                *_figures(row),
            ]
        )
        for row in shown
    ]
    ways = page_ways(page, n_pages, address_of=lambda number: _address_of(filters, number))
    return html.Div([_table("table.recoveries.caption", head, body), ways])


def _address_of(filters: RecoveryFilters, page: int) -> str:
    return f"{RECOVERY}{write_filters(replace(filters, page=page))}"


def session_table(rows: Sequence[RecoveryRow]) -> Component:
    """List the recoveries of one session in order; links lead to the recovery page."""
    head = ("table.order", "table.end", *_FIGURES)
    body = [
        html.Tr(
            [
                html.Th(
                    dcc.Link(formats.ordinal(row.recovery.order), href=recovery_address(_key(row))),
                    scope="row",
                ),
                html.Td(formats.clock(row.recovery.end_of_effort_s)),
                *_figures(row),
            ]
        )
        for row in rows
    ]
    return _table("table.recoveries.session", head, body)


_FIGURES = ("table.drop", "table.peak", "table.tau", "table.settle", "table.mode", "table.grade")

#: Columns a phone can do without; the opened recovery has them all.
_MINOR = frozenset({"table.kind", "table.tau", "table.settle", "table.mode"})


def _key(row: RecoveryRow) -> RecoveryKey:
    return RecoveryKey(row.session_id, row.recovery.order)


def _figures(row: RecoveryRow) -> list[Component]:
    recovery = row.recovery
    return [
        html.Td(drop_cell(recovery), className="figure-cell"),
        html.Td(f"{formats.whole(recovery.peak_bpm)} bpm", className="figure-cell"),
        html.Td(tau_cell(recovery), className="figure-cell minor"),
        html.Td(settle_cell(recovery), className="figure-cell minor"),
        html.Td(say(f"legend.{recovery.mode}"), className="minor"),
        html.Td(str(recovery.grade)),
    ]


def _table(caption: str, head: Sequence[str], body: Sequence[Component]) -> Component:
    cells = [html.Th(say(key), scope="col", className="minor" if key in _MINOR else "") for key in head]
    return html.Div(
        html.Table([html.Caption(say(caption)), html.Thead(html.Tr(cells)), html.Tbody(list(body))]),
        className="table",
    )
