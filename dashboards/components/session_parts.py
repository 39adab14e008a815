"""Parts of the session page: its figures, the classes, what was left out."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import SILENT
from dashboards.components.measures import Measure
from dashboards.components.notes import caution, sentences
from dashboards.words import say
from rideready.intensity import IntensityClass
from rideready.model.session import FloatArray
from rideready.services.cautions import PREDICTED_MAXIMUM
from rideready.services.sessions import SessionRow, SessionView


def session_name(row: SessionRow) -> str:
    """Name a session by its start on the clock on the wall, or by its number if it has none."""
    if row.start_local is None:
        return say("session.undated", number=row.session_id)
    return formats.day_and_time(row.start_local)


def session_measures(view: SessionView) -> list[Measure]:
    """Return a session's figures to be set large."""
    row = view.row
    duration = Measure(say("session.duration"), formats.duration(row.duration_s))
    ground = ground_measures(view)
    if not row.has_heart_rate:
        return [duration, *ground]
    load_note = say("session.load.note") if formats.is_known(view.trimp) else say("session.load.none")
    logged = (
        [Measure(say("session.rpe"), formats.whole(view.session_rpe_load), note=say("session.rpe.note"))]
        if view.session_rpe_load is not None
        else []
    )
    return [
        duration,
        Measure(
            say("session.recoveries"),
            str(row.n_recoveries),
            note=say("session.recoveries.note", trusted=row.n_trusted),
        ),
        Measure(
            say("session.drop"),
            formats.whole(row.median_hrr60_bpm),
            "bpm" if formats.is_known(row.median_hrr60_bpm) else "",
            note=say("session.drop.note", n=row.n_trusted) if row.n_trusted else say("session.drop.none"),
        ),
        Measure(say("session.load"), formats.whole(view.trimp), note=load_note),
        Measure(
            say("session.peak"),
            formats.whole(row.peak_hr_bpm),
            "bpm" if formats.is_known(row.peak_hr_bpm) else "",
            note=say("session.peak.note", mean=formats.whole(row.mean_hr_bpm)),
        ),
        *ground,
        *logged,
    ]


def ground_measures(view: SessionView) -> list[Measure]:
    """Return how far and how high a session went, in the rider's units; nothing of what was not recorded."""
    distances_m, heights_m = (_seen(view, name) for name in ("distance_m", "altitude_m"))
    measures = []
    if distances_m.size and (far_m := float(np.ptp(distances_m))) > 0:
        value, unit = formats.distance(far_m).split(" ")
        note = say("session.speed", speed=formats.speed(far_m / view.row.duration_s))
        measures.append(Measure(say("session.distance"), value, unit, note=note))
    if heights_m.size:
        value, unit = formats.height(float(np.max(heights_m))).split(" ")
        measures.append(Measure(say("session.climb"), value, unit))
    return measures


def _seen(view: SessionView, channel: str) -> FloatArray:
    values = view.session.channels.get(channel, np.array([]))
    return values[np.isfinite(values)]


def class_minutes(view: SessionView, bands: pd.DataFrame) -> list[Component]:
    """Minutes in each intensity class: a table whose rows carry their bar; hardest on top, as in the trace."""
    title = html.H2(say("session.classes"))
    if not len(bands):
        how = html.P([say("session.classes.none"), " ", html.Code(say("session.classes.command"))])
        return [title, how]
    longest = max(max(view.minutes_by_class.values(), default=0.0), 1e-9)
    body = [_class_row(band, view.minutes_by_class, longest) for band in reversed(list(bands.itertuples()))]
    head = html.Tr(
        [
            html.Th(say("session.class"), scope="col"),
            html.Th(say("session.class.bounds"), scope="col"),
            html.Th(say("session.class.minutes"), scope="col", colSpan=2),
        ]
    )
    table = html.Table(
        [html.Caption(say("session.classes.caption")), html.Thead(head), html.Tbody(body)],
        className="classes",
    )
    predicted = [caution(PREDICTED_MAXIMUM)] if view.row.maximum_is_predicted else []
    return [title, html.Div(table, className="table"), *predicted]


def _class_row(band: Any, minutes_by_class: Mapping[IntensityClass, float], longest: float) -> Component:
    minutes = minutes_by_class.get(IntensityClass(band.step), 0.0)
    width = f"{minutes / longest * 100:.1f}%"
    shown = {"width": width, "display": "block" if minutes > 0 else "none"}
    bar = html.Span(className=f"class-bar class-{band.step}", style=shown)
    return html.Tr(
        [
            html.Th(band.label, scope="row"),
            html.Td(_bounds(band.low_bpm, band.high_bpm), className="figure-cell"),
            html.Td(_minutes(minutes), className="figure-cell"),
            html.Td(bar, className="bar-cell", **SILENT),
        ]
    )


def _bounds(low: float, high: float) -> str:
    if low == 0:
        return f"under {formats.whole(high)}"
    if math.isinf(high):
        return f"from {formats.whole(low)}"
    return f"{formats.whole(low)} to {formats.whole(high)}"


def _minutes(minutes: float) -> str:
    return formats.whole(minutes) if minutes >= 10 or minutes == 0 else formats.tenths(minutes)


def flag_summary(view: SessionView) -> list[Component]:
    """Say what was left out of the signal and why."""
    said = sentences(view.flagged) if view.flagged else html.P(say("session.flags.none"))
    used = html.P(
        [html.Strong(formats.percent(view.row.clean_share)), " ", say("session.used")], className="used"
    )
    return [html.H2(say("session.flags")), used, said]


def trace_table(minutes: int, stretches: pd.DataFrame) -> Component:
    """Lay a trace out as a table of stretches: mean, lowest, highest and what was left out."""
    body = [_stretch_row(row) for row in stretches.itertuples()]
    names = ("from", "mean", "lowest", "highest", "left_out")
    head = html.Tr([html.Th(say(f"session.trace.{name}"), scope="col") for name in names])
    caption = html.Caption(say("session.trace.caption", minutes=minutes))
    return html.Div(html.Table([caption, html.Thead(head), html.Tbody(body)]), className="table")


def _stretch_row(row: Any) -> Component:
    figures = (
        formats.whole(row.mean),
        formats.whole(row.lowest),
        formats.whole(row.highest),
        str(row.left_out_s),
    )
    return html.Tr(
        [
            html.Th(formats.clock(row.start_s), scope="row"),
            *[html.Td(figure, className="figure-cell") for figure in figures],
        ]
    )
