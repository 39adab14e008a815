"""One recovery from close up: the samples, the fitted fall with its band, and the drop in 60 s."""

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from dashboards.figures.thinning import keep_extremes
from dashboards.theme import LIGHT, figure_template


def curve_figure(
    samples: pd.DataFrame,
    fit: pd.DataFrame,
    *,
    peak_bpm: float,
    hrr60_bpm: float | None = None,
    settle_bpm: float | None = None,
) -> go.Figure:
    """Draw one recovery; x is s from the end of the effort.

    Parameters
    ----------
    samples
        ``t_s``, ``hr_bpm`` as recorded, ``is_trusted``.
    fit
        ``t_s``, ``hr_bpm``, ``low_bpm``, ``high_bpm`` of the fitted curve; may be empty.
    peak_bpm
        Heart rate at the end of the effort, bpm.
    hrr60_bpm
        Drop in 60 s, bpm; None draws no bracket.
    settle_bpm
        The rider's settle level, bpm; None draws no line.
    """
    figure = go.Figure(layout={"template": figure_template()})
    if len(fit):
        figure.add_traces(_fit_traces(fit))
    figure.add_traces(_sample_traces(samples))
    _mark_end_of_effort(figure)
    if hrr60_bpm is not None and np.isfinite(hrr60_bpm):
        _mark_drop(figure, peak_bpm, hrr60_bpm)
    if settle_bpm is not None:
        _mark_settle_level(figure, settle_bpm)
    figure.update_xaxes(
        title_text="seconds from the end of the effort",
        dtick=_step(samples["t_s"].max()),
        range=_reach(samples),
    )
    figure.update_yaxes(title_text="heart rate, bpm", range=_heights(samples, peak_bpm))
    return figure


def _fit_traces(fit: pd.DataFrame) -> list[go.Scatter]:
    t = fit["t_s"].to_numpy(float)
    low, high = fit["low_bpm"].to_numpy(float), fit["high_bpm"].to_numpy(float)
    band = go.Scatter(
        x=np.concatenate([t, t[::-1]]),
        y=np.concatenate([low, high[::-1]]),
        fill="toself",
        fillcolor=LIGHT["band"],
        line={"width": 0},
        mode="lines",
        hoverinfo="skip",
        name="95 % band",
    )
    curve = go.Scatter(
        x=t,
        y=fit["hr_bpm"].to_numpy(float),
        mode="lines",
        line={"color": LIGHT["accent"], "width": 2.5},
        hovertemplate="fitted: %{y:.0f} bpm after %{x:.0f} s<extra></extra>",
        name="fitted fall",
    )
    return [band, curve]


def _sample_traces(samples: pd.DataFrame) -> list[go.Scatter]:
    trusted, left_out = samples[samples["is_trusted"]], samples[~samples["is_trusted"]]
    t, hr = keep_extremes(trusted["t_s"].to_numpy(float), trusted["hr_bpm"].to_numpy(float))
    kept = go.Scatter(
        x=t,
        y=hr,
        mode="markers",
        marker={"size": 4, "color": LIGHT["ink"]},
        hovertemplate="%{y:.0f} bpm at %{x:.0f} s<extra></extra>",
        name="recorded",
    )
    out = go.Scatter(
        x=left_out["t_s"].to_numpy(float),
        y=left_out["hr_bpm"].to_numpy(float),
        mode="markers",
        marker={"size": 6, "symbol": "x-thin", "line": {"color": LIGHT["left_out"], "width": 1.5}},
        hovertemplate="left out: %{y:.0f} bpm at %{x:.0f} s<extra></extra>",
        name="left out",
    )
    return [kept, out]


def _mark_end_of_effort(figure: go.Figure) -> None:
    figure.add_shape(
        type="line",
        x0=0,
        x1=0,
        yref="paper",
        y0=0,
        y1=1,
        line={"color": LIGHT["ink_soft"], "width": 1, "dash": "dot"},
    )


def _mark_drop(figure: go.Figure, peak_bpm: float, hrr60_bpm: float) -> None:
    """Bracket from the peak, level to 60 s, and down by the measured drop."""
    line = {"color": LIGHT["ink"], "width": 1}
    figure.add_shape(type="line", x0=0, x1=60, y0=peak_bpm, y1=peak_bpm, line=line)
    figure.add_shape(
        type="line", x0=60, x1=60, y0=peak_bpm, y1=peak_bpm - hrr60_bpm, line={**line, "width": 2}
    )
    figure.add_annotation(
        x=60,
        y=peak_bpm,
        text=f"{hrr60_bpm:.0f} bpm in 60 s",
        showarrow=False,
        xanchor="right",
        yanchor="bottom",
        font={"color": LIGHT["ink"], "size": 13},
    )


def _mark_settle_level(figure: go.Figure, settle_bpm: float) -> None:
    figure.add_shape(
        type="line",
        xref="paper",
        x0=0,
        x1=1,
        y0=settle_bpm,
        y1=settle_bpm,
        line={"color": LIGHT["ink_soft"], "width": 1, "dash": "dash"},
    )
    figure.add_annotation(
        xref="paper",
        x=0.01,  # before the end of the effort the pulse is high, so that nothing lies there
        y=settle_bpm,
        text=f"settle level {settle_bpm:.0f}",
        showarrow=False,
        xanchor="left",
        yanchor="bottom",
        font={"color": LIGHT["ink_soft"], "size": 12},
    )


def _reach(samples: pd.DataFrame) -> list[float]:
    """Find the ends of the time axis, s: the samples, and never less than the first minute."""
    first, last = (samples["t_s"].min(), samples["t_s"].max()) if len(samples) else (0.0, 60.0)
    return [min(0.0, first) - 2, max(60.0, last) + 2]


def _heights(samples: pd.DataFrame, peak_bpm: float) -> list[float]:
    """Find the ends of the heart-rate axis, bpm, with room for the bracket's words above the peak."""
    values = samples["hr_bpm"]
    low, high = (values.min(), max(values.max(), peak_bpm)) if len(values) else (peak_bpm - 40, peak_bpm)
    return [low - 0.05 * (high - low), high + 0.16 * (high - low)]


def _step(last_s: float) -> int:
    return 30 if not last_s > 150 else 60
