"""A whole session: heart rate over intensity bands, what was left out, where efforts ended."""

from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from dashboards.figures.thinning import keep_extremes
from dashboards.theme import LIGHT, RAMP, figure_template
from rideready.model.session import FloatArray

#: Places of the traces that change when the reader looks closer; see `lines`, `pointer_numbers`.
HEART_RATE, FALLS, ENDS = 0, 1, 3

#: Numbers over pointers stand at least this share of the axis apart, or they would lie on each other.
NUMBERS_APART = 0.02

#: How much of a band's colour shows: enough to tell five apart, little enough for the ink on it.
BAND_OPACITY = 0.34

#: Room under the lowest heart rate for the strip of left-out stretches, bpm.
STRIP_BPM = 8


def trace_figure(
    samples: pd.DataFrame, bands: pd.DataFrame, left_out: pd.DataFrame, recoveries: pd.DataFrame
) -> go.Figure:
    """Draw one session; x is minutes from its start.

    Parameters
    ----------
    samples
        ``t_s``, ``hr_bpm`` on the even grid, NaN where left out.
    bands
        Intensity classes, lightest first: ``step`` (0 to 4), ``label``, ``short`` (name in the
        margin), ``low_bpm``, ``high_bpm``; empty while the rider's maximum is unknown.
    left_out
        Stretches that carry no trustworthy value: ``start_s``, ``end_s``, ``said``.
    recoveries
        ``key``, ``order``, ``end_s`` (of the effort), ``watched_s``, ``peak_bpm``, ``said``.
    """
    figure = go.Figure(layout={"template": figure_template()})
    low, high = _reach(samples, recoveries)
    _add_bands(figure, bands, low, high)
    pulse, falls = lines(samples, recoveries)
    figure.add_trace(_heart_rate(*pulse))
    figure.add_trace(_falls(*falls))
    figure.add_trace(_left_out(left_out, low + STRIP_BPM / 3))
    last = samples["t_s"].max() / 60 if len(samples) else 1.0
    figure.add_trace(_ends(recoveries, pointer_numbers(recoveries, (0.0, last))))
    figure.update_xaxes(title_text="minutes from the start", range=[0, last])
    figure.update_yaxes(
        title_text="heart rate, bpm", range=[low, high], showgrid=not len(bands), fixedrange=True
    )
    # Room for the names of the classes, which would lie on the trace otherwise.
    figure.update_layout(dragmode="zoom", margin={"r": 68 if len(bands) else 12})
    return figure


def lines(
    samples: pd.DataFrame, recoveries: pd.DataFrame, *, span_min: tuple[float, float] | None = None
) -> tuple[tuple[FloatArray, FloatArray], tuple[FloatArray, FloatArray]]:
    """Thin the pulse, and the watched part of every fall, to what a screen can show.

    Parameters
    ----------
    samples, recoveries
        As for `trace_figure`.
    span_min
        Only this stretch, minutes from the start, drawn as finely as its length allows; None takes all.

    Returns
    -------
    pulse, falls
        For each x in minutes and y in bpm, NaN where nothing is drawn.
    """
    t, hr = samples["t_s"].to_numpy(float), samples["hr_bpm"].to_numpy(float)
    watched = np.zeros(t.shape, dtype=bool)
    starts = recoveries["end_s"].to_numpy(float)
    for start, end in zip(starts, starts + recoveries["watched_s"].to_numpy(float), strict=True):
        watched |= (t >= start) & (t <= end)
    falling = np.where(watched, hr, np.nan)
    if span_min is not None:
        inside = (t >= 60 * span_min[0]) & (t <= 60 * span_min[1])
        t, hr, falling = t[inside], hr[inside], falling[inside]
    x, y = keep_extremes(t, hr)
    fall_x, fall_y = keep_extremes(t, falling)
    return (x / 60, y), (fall_x / 60, fall_y)


def _reach(samples: pd.DataFrame, recoveries: pd.DataFrame) -> tuple[float, float]:
    """Find the ends of the heart-rate axis, bpm; 40 to 200 if there is no value at all."""
    values = pd.concat([samples["hr_bpm"], recoveries["peak_bpm"]]).dropna()
    if values.empty:
        return 40.0, 200.0
    return float(values.min()) - STRIP_BPM, float(values.max()) + 16


def _add_bands(figure: go.Figure, bands: pd.DataFrame, low: float, high: float) -> None:
    for band in bands.itertuples():
        _add_band(figure, band, low, high)


def _add_band(figure: go.Figure, band: Any, low: float, high: float) -> None:
    """Draw the part of one class's band that lies within the axis, and its name if there is room."""
    bottom, top = max(low, band.low_bpm), min(high, band.high_bpm)
    if top <= bottom:
        return
    figure.add_shape(
        type="rect",
        xref="paper",
        x0=0,
        x1=1,
        y0=bottom,
        y1=top,
        fillcolor=RAMP[band.step],
        opacity=BAND_OPACITY,
        line={"width": 0},
        layer="below",
        name=band.label,
    )
    if top - bottom >= (high - low) / 14:
        figure.add_annotation(
            xref="paper",
            x=1,
            y=(bottom + top) / 2,
            text=band.short,
            showarrow=False,
            xanchor="left",
            xshift=4,
            font={"color": LIGHT["ink_soft"], "size": 12},
        )


def _heart_rate(x: FloatArray, y: FloatArray) -> go.Scatter:
    return go.Scatter(
        x=x,
        y=y,
        mode="lines",
        line={"color": LIGHT["ink"], "width": 1.4},
        connectgaps=False,
        hovertemplate="%{y:.0f} bpm at %{x:.1f} min<extra></extra>",
        name="heart rate",
    )


def _falls(x: FloatArray, y: FloatArray) -> go.Scatter:
    return go.Scatter(
        x=x,
        y=y,
        mode="lines",
        line={"color": LIGHT["accent"], "width": 3},
        connectgaps=False,
        hoverinfo="skip",
        name="recoveries",
    )


def _left_out(left_out: pd.DataFrame, at_bpm: float) -> go.Scatter:
    """Draw a strip under the trace: one thick line for each stretch that was left out."""
    start, end = left_out["start_s"].to_numpy(float), left_out["end_s"].to_numpy(float)
    x = np.column_stack([start, end, np.full(start.shape, np.nan)]).ravel() / 60
    said = np.repeat(left_out["said"].to_numpy(dtype=object), 3)
    return go.Scatter(
        x=x,
        y=np.where(np.isnan(x), np.nan, at_bpm),
        mode="lines+markers",
        line={"color": LIGHT["left_out"], "width": 7},
        marker={"color": LIGHT["left_out"], "symbol": "square", "size": 7},
        connectgaps=False,
        text=said,
        hovertemplate="%{text}<extra></extra>",
        name="left out",
    )


def pointer_numbers(recoveries: pd.DataFrame, span_min: tuple[float, float]) -> list[str]:
    """Return the number over each pointer; none where it would lie on the one before.

    Parameters
    ----------
    recoveries
        As for `trace_figure`, in order of time.
    span_min
        Ends of the time axis, minutes.
    """
    apart_min = NUMBERS_APART * (span_min[1] - span_min[0])
    numbers: list[str] = []
    free_from = -np.inf
    for end_s, order in zip(recoveries["end_s"], recoveries["order"], strict=True):
        is_free = end_s / 60 >= free_from
        numbers.append(str(order) if is_free else "")
        free_from = end_s / 60 + apart_min if is_free else free_from
    return numbers


def _ends(recoveries: pd.DataFrame, numbers: list[str]) -> go.Scatter:
    """Set a numbered pointer over the end of every effort."""
    return go.Scatter(
        x=recoveries["end_s"].to_numpy(float) / 60,
        y=recoveries["peak_bpm"].to_numpy(float) + 4,
        mode="markers+text",
        marker={"symbol": "triangle-down", "size": 9, "color": LIGHT["accent"]},
        text=numbers,
        textposition="top center",
        textfont={"color": LIGHT["ink"], "size": 12},
        customdata=recoveries["key"].to_numpy(),
        hovertext=recoveries["said"].to_numpy(),
        hovertemplate="%{hovertext}<extra></extra>",
        name="ends of efforts",
    )
