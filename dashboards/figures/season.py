"""The season at a glance: weeks done, weeks planned, the opening window they lead to."""

import pandas as pd
import plotly.graph_objects as go

from dashboards.figures.days import mark_days
from dashboards.theme import LIGHT, figure_template

#: Days a bar is wide, and days of a week.
PLANNED_DAYS, DONE_DAYS, WEEK_DAYS = 5.8, 3.4, 7.0


def season_figure(weeks: pd.DataFrame, *, window: tuple[float, float], today: float, name: str) -> go.Figure:
    """Draw weekly minutes done and planned up to the opening window.

    Parameters
    ----------
    weeks
        See ``season_table.season_table``.
    window
        Earliest and likely opening day, days since 1970-01-01.
    today
        The same for today.
    name
        What the opening window is called in the figure.
    """
    figure = go.Figure(layout={"template": figure_template()})
    planned, done = weeks[weeks["target_min"].notna()], weeks[weeks["done_min"].notna()]
    figure.add_trace(_bars(planned, "target_min", PLANNED_DAYS, "planned"))
    figure.add_trace(_bars(done, "done_min", DONE_DAYS, "done"))
    figure.add_trace(_limits(planned))
    top = 1.3 * max(weeks[["done_min", "target_min", "limit_min"]].max().max(), 60.0)
    _mark_window(figure, window, name)
    _mark_phases(figure, planned)
    figure.add_vline(today, line={"color": LIGHT["ink_soft"], "width": 1, "dash": "dot"}, layer="below")
    _set_axes(figure, weeks["start"].min(), max(weeks["start"].max() + WEEK_DAYS, window[1] + 1), top)
    return figure


def _bars(weeks: pd.DataFrame, column: str, width: float, name: str) -> go.Bar:
    is_done = name == "done"
    return go.Bar(
        x=weeks["start"].to_numpy(float) + WEEK_DAYS / 2,
        y=weeks[column].to_numpy(float),
        width=width,
        text=weeks["said"].to_numpy(),
        textposition="none",
        hovertemplate="%{text}<extra></extra>",
        name=name,
        marker={
            "color": LIGHT["accent"] if is_done else LIGHT["band"],
            "line": {"color": LIGHT["accent"], "width": 0 if is_done else 1},
        },
    )


def _limits(planned: pd.DataFrame) -> go.Scatter:
    """Mark the most that the ramp allows in each week."""
    return go.Scatter(
        x=planned["start"].to_numpy(float) + WEEK_DAYS / 2,
        y=planned["limit_min"].to_numpy(float),
        mode="markers",
        hoverinfo="skip",
        name="most the ramp allows",
        marker={"symbol": "line-ew", "size": 14, "line": {"color": LIGHT["ink_soft"], "width": 1.5}},
    )


def _mark_window(figure: go.Figure, window: tuple[float, float], name: str) -> None:
    earliest, likely = window
    figure.add_vrect(earliest, likely + 1, fillcolor=LIGHT["raised"], line={"width": 0}, layer="below")
    for day in (earliest, likely):
        figure.add_vline(day, line={"color": LIGHT["ink"], "width": 1}, layer="below")
    figure.add_annotation(
        x=likely, y=1, yref="paper", xanchor="right", xshift=-4, yanchor="top", text=name, showarrow=False,
        bgcolor=LIGHT["raised"], font={"color": LIGHT["ink"], "size": 12},
    )  # fmt: skip


def _mark_phases(figure: go.Figure, planned: pd.DataFrame) -> None:
    """Name each phase over its weeks, under a line from its first to its last day."""
    runs = (planned["phase"] != planned["phase"].shift()).cumsum()
    for _, weeks in planned.groupby(runs):
        first, last = weeks["start"].min() + 0.4, weeks["start"].max() + WEEK_DAYS - 0.4
        line = {"color": LIGHT["ink_soft"], "width": 1}
        figure.add_shape(type="line", x0=first, x1=last, y0=0.88, y1=0.88, yref="paper", line=line)
        if len(weeks) > 1:
            figure.add_annotation(
                x=(first + last) / 2, y=0.87, yref="paper", yanchor="top", showarrow=False,
                text=weeks["phase"].iloc[0], font={"color": LIGHT["ink_soft"], "size": 11},
            )  # fmt: skip


def _set_axes(figure: go.Figure, first: float, last: float, top: float) -> None:
    marks = mark_days(first, last)
    figure.update_xaxes(
        range=[first - 1, last + 1],
        tickvals=marks.at,
        ticktext=marks.labels,
        minor={"tickvals": marks.minor_at, "ticks": "outside", "ticklen": 3, "tickcolor": LIGHT["rule"]},
        tickangle=0,
    )
    # The names of phases and window stand above the highest line.
    step = 50 if top < 450 else 100
    lines = [float(value) for value in range(0, int(0.8 * top) + 1, step)]
    figure.update_yaxes(title_text="moderate-equivalent minutes a week", range=[0, top], tickvals=lines)
    figure.update_layout(barmode="overlay")
