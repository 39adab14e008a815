"""Two plans side by side: what made the difference, what is given up or won, which weeks change."""

from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.notes import sentences
from dashboards.words import say
from rideready.model.comparison import Comparison, WeekChange
from rideready.model.season import Targets


def what_changed(found: Comparison) -> list[Component]:
    """Say the consequences, then list the weeks that change."""
    said = [reason.sentence for reason in (*found.causes, *found.consequences)]
    return [
        html.H3(say("changed.title")),
        *([sentences(said)] if said else []),
        html.P(say("changed.nothing")) if not found.weeks else _weeks(found),
    ]


def _weeks(found: Comparison) -> Component:
    names = ("changed.week", "changed.before", "changed.after", "changed.why")
    head = html.Tr([html.Th(say(name), scope="col") for name in names])
    causes = {reason.sentence for reason in found.causes}
    body = [_week(week, causes) for week in found.weeks]
    table = html.Table([html.Caption(say("changed.caption")), html.Thead(head), html.Tbody(body)])
    return html.Div(table, className="table changed")


def _week(week: WeekChange, causes: set[str]) -> Component:
    """Say what a week was and is; the causes of all changes stand above the table already."""
    why = " ".join(reason.sentence for reason in week.reasons if reason.sentence not in causes)
    return html.Tr(
        [
            html.Th(formats.short_day(week.start), scope="row", className="figure-cell"),
            html.Td(_minutes(week.before)),
            html.Td(_minutes(week.after)),
            html.Td(why, className="quiet"),
        ]
    )


def _minutes(targets: Targets | None) -> str:
    return say("changed.gone") if targets is None else str(targets.moderate_equivalent_min)
