"""One recovery opened: its curve, its figures, its grade and the reasons for it."""

from typing import Any

import numpy as np
import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE, SILENT, labelled
from dashboards.components.framed import framed
from dashboards.components.marks import curve_key
from dashboards.components.measures import large, listed
from dashboards.components.notes import folded, sentences
from dashboards.components.recovery_text import headline, lesser
from dashboards.urls import RecoveryKey, session_address
from dashboards.words import say
from rideready.model.recovery import Grade, Recovery
from rideready.services.recoveries import RecoveryRow, RecoveryView

CURVE = "curve"


def opened_recovery(
    view: RecoveryView,
    *,
    figure: Any,
    samples: pd.DataFrame,
    fit: pd.DataFrame,
    earlier: RecoveryKey | None,
    later: RecoveryKey | None,
) -> list[Component]:
    """Show one recovery in full.

    Parameters
    ----------
    view
        The recovery with its samples.
    figure
        Its curve, see ``figures.curve``.
    samples, fit
        The tables the figure was drawn from.
    earlier, later
        Its neighbours among the recoveries on screen.
    """
    row = view.row
    return [
        _heading(row, earlier, later),
        framed(CURVE, figure, _described(row.recovery, samples), class_name="curve"),
        curve_key(has_fit=bool(len(fit)), has_left_out=not samples["is_trusted"].all()),
        large(headline(row.recovery, settle_bpm=view.settle_bpm), n_first=1),
        _grade(row.recovery, view.sentences),
        listed(lesser(row.recovery, device=row.device)),
        folded(say("opened.samples"), [_samples_table(samples, fit)]),
        html.P(dcc.Link(say("opened.session"), href=session_address(row.session_id)), className="onward"),
    ]


def _heading(row: RecoveryRow, earlier: RecoveryKey | None, later: RecoveryKey | None) -> Component:
    return html.Div(
        [
            html.Div(
                [
                    html.H2(
                        say(
                            "opened.title",
                            day=formats.day(row.session_start_local),
                            ordinal=formats.ordinal(row.recovery.order),
                        )
                    ),
                    html.P(
                        say(
                            "opened.context",
                            kind=say(f"kind.{row.kind}"),
                            minutes=formats.clock(row.recovery.end_of_effort_s),
                        ),
                        className="quiet",
                    ),
                ],
                **LIVE,
            ),
            html.Div(
                [
                    _step("step-earlier", say("opened.earlier"), "\N{LEFTWARDS ARROW}", earlier),
                    _step("step-later", say("opened.later"), "\N{RIGHTWARDS ARROW}", later),
                ],
                className="steps-beside",
            ),
        ],
        className="opened-heading",
    )


def _step(name: str, text: str, arrow: str, key: RecoveryKey | None) -> Component:
    """Lead to a neighbour; without one the place stays, greyed and out of the way."""
    content = html.Span(arrow, **SILENT)
    if key is None:
        return html.Span(content, className="step off", **SILENT)
    return html.A(content, href=f"#{key}", id=name, className="step", title=text, **labelled(text))


def _grade(recovery: Recovery, reasons: tuple[str, ...]) -> Component:
    title = (
        say("opened.grade.none")
        if recovery.grade is Grade.NONE
        else say("opened.grade", grade=recovery.grade)
    )
    said = sentences(reasons) if reasons else html.P(say("opened.grade.nothing"))
    return html.Div([html.H3(title), said], className="grade")


def _described(recovery: Recovery, samples: pd.DataFrame) -> str:
    drop = (
        say("opened.figure.drop", drop=formats.whole(recovery.hrr60_bpm))
        if formats.is_known(recovery.hrr60_bpm)
        else say("opened.figure.nodrop")
    )
    before, after = (-samples["t_s"].min(), samples["t_s"].max()) if len(samples) else (0.0, 0.0)
    return say(
        "opened.figure",
        before=formats.whole(max(0.0, before)),
        after=formats.whole(after),
        peak=formats.whole(recovery.peak_bpm),
        drop=drop,
    )


def _samples_table(samples: pd.DataFrame, fit: pd.DataFrame) -> Component:
    """List one sample every 5 s, or every 15 s in a window over three minutes."""
    step_s = 5 if not len(samples) or samples["t_s"].max() <= 180 else 15
    falling = samples[samples["t_s"] >= 0]
    rows = falling.groupby((falling["t_s"] // step_s).astype(int)).first()
    body = [_sample_row(sample, fit) for sample in rows.itertuples()]
    names = ("table.time", "table.hr", "table.trusted", "table.fitted")
    head = html.Tr([html.Th(say(name), scope="col") for name in names])
    caption = html.Caption(say("opened.samples.caption"))
    return html.Div(html.Table([caption, html.Thead(head), html.Tbody(body)]), className="table")


def _sample_row(sample: Any, fit: pd.DataFrame) -> Component:
    return html.Tr(
        [
            html.Th(formats.whole(sample.t_s), scope="row"),
            html.Td(formats.whole(sample.hr_bpm)),
            html.Td(say("yes") if sample.is_trusted else say("no")),
            html.Td(_fitted_at(fit, sample.t_s)),
        ]
    )


def _fitted_at(fit: pd.DataFrame, t_s: float) -> str:
    if not len(fit) or not fit["t_s"].min() <= t_s <= fit["t_s"].max():
        return formats.NOT_KNOWN
    return formats.whole(float(np.interp(t_s, fit["t_s"].to_numpy(float), fit["hr_bpm"].to_numpy(float))))
