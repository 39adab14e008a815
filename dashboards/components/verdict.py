"""What the season says, in one plain sentence, with the figures it rests on."""

from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.measures import Measure, large
from dashboards.components.notes import folded, sentences
from dashboards.words import say
from rideready.model.trend import Trend


def verdict(trend: Trend) -> list[Component]:
    """Return the heading sentence, the figures and the reasons."""
    parts: list[Component] = [html.H1(say(f"verdict.{trend.direction}"))]
    measures = _measures(trend)
    if measures:
        parts.append(large(measures, n_first=1))
    if trend.reasons:
        reasons = sentences([reason.sentence for reason in trend.reasons])
        parts.append(folded(say("trend.why"), [reasons]))
    return parts


def _measures(trend: Trend) -> list[Measure]:
    base = Measure(
        say("trend.base"),
        say("trend.base.sessions", n=trend.n_sessions),
        note=say("trend.base.recoveries", n=trend.n_recoveries),
    )
    if trend.slope_bpm_per_week is None:
        return [base] if trend.n_sessions else []
    change = say("span", low=formats.signed(trend.change_low_bpm), high=formats.signed(trend.change_high_bpm))
    slope = say("span", low=formats.signed_tenths(trend.low), high=formats.signed_tenths(trend.high))
    return [
        Measure(
            say("trend.change", span=formats.weeks(trend.weeks)),
            formats.signed(trend.change_bpm),
            "bpm",
            change,
            say("interval"),
        ),
        Measure(
            say("trend.slope"),
            formats.signed_tenths(trend.slope_bpm_per_week),
            say("trend.slope.unit"),
            slope,
            say("interval"),
        ),
        base,
        Measure(
            say("trend.detectable"),
            formats.whole(trend.minimal_detectable_bpm),
            "bpm",
            note=say("trend.detectable.note"),
        ),
    ]
