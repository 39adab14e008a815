"""What the season says, in one plain sentence, with the figures it rests on."""

from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.measures import Measure, large
from dashboards.components.notes import folded, sentences
from dashboards.words import say
from rideready.model.trend import Trend, Verdict


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
    total = Measure(
        say("trend.change", span=formats.weeks(trend.weeks)),
        formats.signed(trend.change_bpm),
        "bpm",
        change,
        say("interval"),
    )
    return [total, _second(trend), base]


def _second(trend: Trend) -> Measure:
    """Without a clear change, what one would have to be; with one, what it comes to in a week."""
    if trend.direction is Verdict.NO_CLEAR_CHANGE:
        smallest = formats.whole(trend.minimal_detectable_bpm)
        return Measure(say("trend.detectable"), smallest, "bpm", note=say("trend.detectable.note"))
    spread = say("span", low=formats.signed_tenths(trend.low), high=formats.signed_tenths(trend.high))
    value = formats.signed_tenths(trend.slope_bpm_per_week)
    return Measure(say("trend.slope"), value, say("trend.slope.unit"), spread, say("interval"))
