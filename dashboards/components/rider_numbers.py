"""A rider's numbers: every source side by side, the fields to correct them, and what a correction changed."""

from collections.abc import Mapping, Sequence

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE
from dashboards.components.notes import folded, sentences
from dashboards.urls import session_address
from dashboards.words import say
from rideready.intensity import IntensityClass
from rideready.model.rider import Rider, Sex
from rideready.services.maximum_rest import MaximumAndRest
from rideready.services.riders import NumberSource

MAX, REST, STAND, AGE = "rider-max", "rider-rest", "rider-stand", "rider-age"
SEX, SETTLE, MEDICINE, SAVE = "rider-sex", "rider-settle", "rider-medicine", "rider-save"
#: The fields in the order of `numbers_from_fields`.
FIELDS = (MAX, REST, STAND, AGE, SEX, SETTLE)


def sources_table(found: MaximumAndRest) -> Component:
    """Lay out maximum and resting pulse, each source in a row of its own."""
    body = [
        _row("maximum.entered", found.measured_bpm, say("rider.entered.none"), is_used=_is_measured(found)),
        _observed(found),
        _predicted(found),
        _row("rest.entered", found.rest_entered_bpm, say("rider.entered.none"), is_used=True),
        _logged(found),
        _row(
            "rest.seen", found.rest_seen.bpm if found.rest_seen else None, "", basis=say("rider.seen.basis")
        ),
    ]
    head = html.Tr([html.Th(say(f"rider.{name}"), scope="col") for name in ("source", "value", "basis")])
    caption = html.Caption(say("rider.sources.caption"))
    return html.Div(
        html.Table([caption, html.Thead(head), html.Tbody(body)], className="sources"), className="table"
    )


def conflicts(found: MaximumAndRest) -> list[Component]:
    """Say what to beware of, where sources do not agree."""
    if not found.reasons:
        return []
    said = sentences([reason.sentence for reason in found.reasons])
    return [html.H3(say("rider.beware")), said]


def numbers_fields(rider: Rider) -> Component:
    """Return the fields with what is entered now."""
    sexes = [{"value": "", "label": say("rider.sex.none")}]
    sexes += [{"value": str(sex), "label": say(f"rider.sex.{sex}")} for sex in Sex]
    return html.Div(
        [
            _number(MAX, "rider.max", rider.max_hr_bpm, 90, 240),
            _number(REST, "rider.rest", rider.resting_hr_bpm, 25, 130),
            _number(STAND, "rider.stand", rider.standing_hr_bpm, 30, 160),
            _number(AGE, "rider.age", rider.age_years, 8, 110),
            dmc.Select(
                id=SEX, label=say("rider.sex"), data=sexes, value=str(rider.sex or ""), allowDeselect=False
            ),
            _number(SETTLE, "rider.settle", round(rider.settle_reserve * 100), 30, 90),
            dmc.Checkbox(
                id=MEDICINE, label=say("rider.medicine"), checked=rider.takes_heart_rate_medicine, size="md"
            ),
        ],
        className="fields",
    )


def bands_table(bands: Sequence[tuple[IntensityClass, float, float]]) -> Component:
    """List the intensity classes that follow from the numbers."""
    if not bands:
        return html.P(say("rider.bands.none"))
    rows = [
        html.Tr(
            [
                html.Th(IntensityClass(step).label, scope="row"),
                html.Td(f"{formats.whole(low)} to {formats.whole(high)}", className="figure-cell"),
            ]
        )
        for step, low, high in reversed(bands)
    ]
    head = html.Tr([html.Th(say(name), scope="col") for name in ("session.class", "session.class.bounds")])
    return html.Div(html.Table([html.Thead(head), html.Tbody(rows)]), className="table")


def change_table(before: Mapping[str, float | None], now: Mapping[str, float | None]) -> Component:
    """Lay figures over all sessions side by side, as they were before a correction and as they are now."""
    rows = [
        html.Tr(
            [
                html.Th(say(f"rider.change.{name}"), scope="row"),
                html.Td(formats.whole(before[name]), className="figure-cell"),
                html.Td(formats.whole(now[name]), className="figure-cell"),
            ]
        )
        for name in now
    ]
    head = html.Tr(
        [html.Th(say(f"rider.change.{name}"), scope="col") for name in ("figure", "before", "now")]
    )
    caption = html.Caption(say("rider.change.caption"))
    table = html.Table([caption, html.Thead(head), html.Tbody(rows)], className="change-table")
    return html.Div(table, className="table", **LIVE)


def history(sources: Sequence[NumberSource]) -> Component:
    """List every value that was entered, folded, each with its day."""
    entered = [source for source in sources if source.day is not None and source.source == "entered"]
    rows = [
        html.Tr(
            [
                html.Th(say(f"rider.field.{source.name}"), scope="row"),
                html.Td(_value_text(source), className="figure-cell"),
                html.Td(formats.day(source.day), className="figure-cell"),
            ]
        )
        for source in entered
    ]
    head = html.Tr(
        [html.Th(say(f"rider.history.{name}"), scope="col") for name in ("number", "value", "day")]
    )
    caption = html.Caption(say("rider.history.caption"))
    table = html.Table([caption, html.Thead(head), html.Tbody(rows)])
    return folded(say("rider.history"), [html.Div(table, className="table")])


def _observed(found: MaximumAndRest) -> Component:
    seen = found.observed
    if seen is None:
        return _row("maximum.observed", None, say("rider.observed.none"))
    span = say("rider.observed.basis", low=formats.whole(seen.low_bpm), high=formats.whole(seen.high_bpm))
    link = dcc.Link(formats.day(seen.source.day), href=session_address(seen.source.session_id))
    return _row("maximum.observed", seen.bpm, "", basis=[span, " ", link])


def _predicted(found: MaximumAndRest) -> Component:
    basis = say("rider.predicted.basis", see=formats.whole(found.predicted_see_bpm))
    is_used = found.measured_bpm is None and found.used_bpm is not None
    none = say("rider.predicted.none")
    return _row("maximum.predicted", found.predicted_bpm, none, basis=basis, is_used=is_used)


def _logged(found: MaximumAndRest) -> Component:
    logged = found.rest_logged
    low, high = formats.whole(logged.low_bpm), formats.whole(logged.high_bpm)
    basis = say("rider.logged.basis", n=logged.n, low=low, high=high)
    return _row("rest.logged", logged.median_bpm, say("rider.logged.none"), basis=basis)


def _is_measured(found: MaximumAndRest) -> bool:
    return found.used_bpm is not None and found.used_bpm == found.measured_bpm


def _row(
    name: str,
    bpm: float | None,
    none: str,
    *,
    basis: str | list[str | Component] = "",
    is_used: bool = False,
) -> Component:
    mark: list[Component] = []
    if is_used and bpm is not None:
        mark = [html.Strong(say("rider.in_use"), className="in-use")]
    return html.Tr(
        [
            html.Th(say(f"rider.{name}"), scope="row"),
            html.Td([formats.whole(bpm), *mark], className="figure-cell"),
            html.Td(none if bpm is None else basis, className="note"),
        ]
    )


def _number(element: str, word: str, value: float | None, low: float, high: float) -> Component:
    field: Component = dmc.NumberInput(
        id=element, label=say(word), value="" if value is None else value, min=low, max=high
    )
    return field


def _value_text(source: NumberSource) -> str:
    if source.value is None:
        return say("rider.taken_back")
    if isinstance(source.value, bool):
        return say("rider.medicine.yes" if source.value else "rider.medicine.no")
    return f"{source.value:g}" if isinstance(source.value, float | int) else str(source.value)
