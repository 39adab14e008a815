"""Every recovery as a dot over the season, and the line that runs through the sessions."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from dashboards.figures.days import mark_days
from dashboards.theme import LIGHT, figure_template
from rideready.model.session import FloatArray

#: What the rider did tells the shape.
SHAPE_OF_MODE = {"still": "circle", "moving": "diamond", "unknown": "square"}

#: Place of the ring around the opened recovery among the traces; see `ring_around`.
RING = 0


@dataclass(frozen=True, slots=True)
class GradeMark:
    """How dots of one grade are drawn: full, ringed, faint. The better, the more ink."""

    grade: str
    size: float
    fill: str
    line_colour: str
    line_width: float


#: Worst first, so that the better lie on top.
GRADE_MARKS = (
    GradeMark("none", 5, LIGHT["paper"], LIGHT["left_out"], 1),
    GradeMark("rough", 6, LIGHT["paper"], LIGHT["ink_soft"], 1),
    GradeMark("fair", 8, LIGHT["paper"], LIGHT["accent"], 2),
    GradeMark("good", 9, LIGHT["accent"], LIGHT["paper"], 1),
)


def recoveries_figure(dots: pd.DataFrame, sessions: pd.DataFrame, *, opened: str | None = None) -> go.Figure:
    """Draw every recovery's drop in 60 s by date, the session figures and the trend.

    Parameters
    ----------
    dots
        One row a recovery: ``key``, ``day`` (days since 1970-01-01), ``hrr60_bpm``, ``grade``,
        ``mode``, ``said`` (what is shown on pointing at it).
    sessions
        One row a session of the trend: ``day``, ``hrr60_bpm`` at the standard starting
        intensity, ``half_width_bpm`` of its 95 % interval, ``recorder``, ``said``, and the fitted
        course that day with its 95 % band, ``fitted_bpm``, ``fitted_low_bpm``,
        ``fitted_high_bpm`` (NaN if there is none).
    opened
        ``key`` of the recovery whose curve is open.
    """
    figure = go.Figure(layout={"template": figure_template()})
    figure.add_trace(_ring(dots, opened))
    figure.add_traces(_trend_traces(sessions[sessions["fitted_bpm"].notna()]))
    for mark in GRADE_MARKS:
        for mode, shape in SHAPE_OF_MODE.items():
            chosen = dots[(dots["grade"] == mark.grade) & (dots["mode"] == mode)]
            if len(chosen):
                figure.add_trace(_dots(chosen, mark, shape))
    if len(sessions):
        figure.add_trace(_session_marks(sessions))
    _set_axes(figure, dots, sessions)
    return figure


def ring_around(dots: pd.DataFrame, opened: str | None) -> tuple[FloatArray, FloatArray]:
    """Return x and y of the ring around the opened recovery; empty if it is not among the dots."""
    chosen = dots[dots["key"] == opened]
    return chosen["day"].to_numpy(float), chosen["hrr60_bpm"].to_numpy(float)


def _ring(dots: pd.DataFrame, opened: str | None) -> go.Scatter:
    x, y = ring_around(dots, opened)
    marker = {"symbol": "circle-open", "size": 19, "color": LIGHT["ink"], "line": {"width": 2}}
    return go.Scatter(
        x=x, y=y, mode="markers", marker=marker, hoverinfo="skip", name="opened", zorder=1, cliponaxis=False
    )


def _dots(chosen: pd.DataFrame, mark: GradeMark, shape: str) -> go.Scatter:
    return go.Scatter(
        x=chosen["day"].to_numpy(float),
        y=chosen["hrr60_bpm"].to_numpy(float),
        customdata=chosen["key"].to_numpy(),
        text=chosen["said"].to_numpy(),
        hovertemplate="%{text}<extra></extra>",
        mode="markers",
        name=f"{mark.grade}, {shape}",
        marker={
            "symbol": shape,
            "size": mark.size,
            "color": mark.fill,
            "line": {"color": mark.line_colour, "width": mark.line_width},
        },
    )


def _session_marks(sessions: pd.DataFrame) -> go.Scatter:
    return go.Scatter(
        x=sessions["day"].to_numpy(float),
        y=sessions["hrr60_bpm"].to_numpy(float),
        error_y={
            "type": "data",
            "array": sessions["half_width_bpm"].to_numpy(float),
            "color": LIGHT["ink_soft"],
            "thickness": 1,
            "width": 0,
        },
        text=sessions["said"].to_numpy(),
        hovertemplate="%{text}<extra></extra>",
        mode="markers",
        name="sessions",
        marker={"symbol": "line-ew", "size": 10, "line": {"color": LIGHT["ink"], "width": 2}},
    )


def _trend_traces(fitted: pd.DataFrame) -> list[go.Scatter]:
    """Draw the fitted course of each recorder's sessions, over the bands of all.

    One recorder at a time: another one may read higher or lower, which is no change in the rider.
    """
    courses = [(str(name), course) for name, course in fitted.groupby("recorder", sort=False)]
    width = 2.5 if len(courses) == 1 else 1.5
    bands = [_band(course) for _, course in courses]
    return bands + [_course(name, course, width) for name, course in courses]


def _band(course: pd.DataFrame) -> go.Scatter:
    x = course["day"].to_numpy(float)
    low, high = course["fitted_low_bpm"].to_numpy(float), course["fitted_high_bpm"].to_numpy(float)
    return go.Scatter(
        x=np.concatenate([x, x[::-1]]),
        y=np.concatenate([low, high[::-1]]),
        fill="toself",
        fillcolor=LIGHT["band"],
        opacity=0.7,
        line={"width": 0},
        mode="lines",
        hoverinfo="skip",
        name="95 % band",
    )


def _course(name: str, course: pd.DataFrame, width: float) -> go.Scatter:
    return go.Scatter(
        x=course["day"].to_numpy(float),
        y=course["fitted_bpm"].to_numpy(float),
        mode="lines",
        line={"color": LIGHT["accent"], "width": width},
        hovertemplate=f"%{{y:.0f}} bpm by the trend<br>{name}<extra></extra>",
        name="trend",
    )


def _set_axes(figure: go.Figure, dots: pd.DataFrame, sessions: pd.DataFrame) -> None:
    # From zero, so that a small change does not look large; by the marks, as a band may be far wider.
    drops = pd.concat([dots["hrr60_bpm"], sessions["hrr60_bpm"]])
    figure.update_yaxes(
        title_text="drop in the first 60 s, bpm",
        range=[min(0.0, drops.min()), 1.08 * drops.max()] if drops.notna().any() else [0.0, 60.0],
    )
    days = pd.concat([dots["day"], sessions["day"]])
    if days.notna().any():
        pad = max(1.0, 0.035 * (days.max() - days.min()))  # the ring of the opened dot stays whole
        marks = mark_days(days.min(), days.max())
        figure.update_xaxes(
            range=[days.min() - pad, days.max() + pad],
            tickvals=marks.at,
            ticktext=marks.labels,
            minor={"tickvals": marks.minor_at, "ticks": "outside", "ticklen": 3, "tickcolor": LIGHT["rule"]},
            tickangle=0,
        )
