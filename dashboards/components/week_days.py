"""The days of a week: what was done, what is placed, what is rest."""

import datetime as dt
from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.words import say
from rideready.model.week import DayPlan, DoneSession, PlannedSession, WeekPlan


def week_days(plan: WeekPlan, *, today: dt.date) -> Component:
    """List the week's days in order."""
    return html.Ol([_day(plan, day, today) for day in plan.week.days], className="week-days")


def _day(plan: WeekPlan, day: dt.date, today: dt.date) -> Component:
    done = [session for session in plan.done if session.day == day]
    placed = plan.on(day)
    name = f"{formats.WEEKDAYS[day.weekday()]} {day.day}"
    mark = [html.Span(say("week.day.today"), className="note")] if day == today else []
    return html.Li(
        [
            html.Div([html.H3(name), *mark], className="day-name"),
            html.Div(_content(done, placed, is_over=day < today)),
        ],
        className="now" if day == today else "",
    )


def _content(done: Sequence[DoneSession], placed: DayPlan | None, *, is_over: bool) -> list[Component]:
    lines: list[Component] = [
        html.P(f"{_said(session)}, {say('week.day.done')}", className="was-done") for session in done
    ]
    if placed is not None:
        lines += [html.P(_said(session)) for session in placed.sessions]
        lines += [html.P(reason.sentence, className="quiet") for reason in placed.reasons]
    if lines:
        return lines
    is_off = placed is not None and placed.available_min == 0 and not is_over
    return [html.P(say("week.day.off" if is_off else "week.day.rest"), className="quiet")]


def _said(session: DoneSession | PlannedSession) -> str:
    label = session.kind.label
    what = f"{label[:1].upper()}{label[1:]}"
    return say("week.session", what=what, minutes=formats.whole(session.minutes))
