"""What the rider says of a session, to be corrected; deleting it, and taking that back."""

from collections.abc import Sequence

import dash_mantine_components as dmc
from dash import dcc, html
from dash.development.base_component import Component

from dashboards import formats
from dashboards.components.aria import LIVE, labelled
from dashboards.components.notes import folded
from dashboards.urls import SESSIONS
from dashboards.words import say
from rideready.model.session import Kind
from rideready.services.deletion import DeletedSession
from rideready.services.sessions import POSTURES, SessionView
from rideready.store.values import local_time

KIND, POSTURE, RPE, NOTES = "session-kind", "session-posture", "session-rpe", "session-notes"
#: Counting a session once or twice that was written down as well.
APART, ONCE = "session-apart", "session-once"
SAVE, SAVED, DELETE = "session-save", "session-saved", "session-delete"
#: Undo on the page of the session, and in the list of what was deleted.
RESTORE, RESTORE_LISTED, DELETED = "session-restore", "sessions-restore", "sessions-deleted"


def session_edit(view: SessionView) -> Component:
    """Return the fields for what only the rider knows, with the ways to save and to delete."""
    row = view.row
    kinds = [{"value": str(kind), "label": say(f"kind.{kind}")} for kind in Kind]
    postures = [{"value": posture, "label": posture} for posture in POSTURES]
    fields = html.Div(
        [
            dmc.Select(
                id=KIND, label=say("session.edit.kind"), data=kinds, value=str(row.kind), allowDeselect=False
            ),
            dmc.Select(
                id=POSTURE,
                label=say("session.edit.posture"),
                data=postures,
                value=view.posture,
                allowDeselect=False,
            ),
            dmc.NumberInput(
                id=RPE,
                label=say("session.edit.rpe"),
                value="" if row.rpe is None else row.rpe,
                min=0,
                max=10,
                step=0.5,
                className="rpe",
            ),
            dmc.Textarea(
                id=NOTES, label=say("session.edit.notes"), value=row.notes, autosize=True, className="notes"
            ),
        ],
        className="fields",
    )
    presses = html.Div(
        [
            html.Button(say("session.edit.save"), id=SAVE, n_clicks=0, type="button", className="press"),
            html.Span(id=SAVED, role="status", **LIVE),
            html.Button(
                say("session.delete"), id=DELETE, n_clicks=0, type="button", className="plain delete"
            ),
        ],
        className="presses",
    )
    return html.Section(
        [
            html.H2(say("session.edit")),
            fields,
            presses,
            html.P(say("session.edit.note"), className="quiet"),
        ],
        className="session-edit",
    )


def written_too(view: SessionView) -> list[Component]:
    """Say that the session was written down as well and what counts, with the way to change that."""
    twice = view.twice
    if twice is None:
        return []
    press = html.Button(
        say("session.twice.once" if twice.is_apart else "session.twice.both"),
        id={"type": ONCE if twice.is_apart else APART, "line": twice.line.number},
        n_clicks=0,
        type="button",
        className="plain",
    )
    return [html.Div([html.Span(twice.why.sentence), press], className="written-too", role="note")]


def just_deleted(session_id: int, name: str) -> list[Component]:
    """Say that a session is deleted, with the way to take that back."""
    return [
        html.H1(say("session.deleted.title")),
        html.Div(
            [html.P(say("session.deleted", name=name)), _restore(RESTORE, session_id, name)],
            className="deleted",
            role="status",
        ),
        html.P(say("session.deleted.note"), className="quiet"),
        html.P(dcc.Link(say("session.back"), href=SESSIONS)),
    ]


def deleted_list(deleted: Sequence[DeletedSession]) -> list[Component]:
    """List what was deleted, folded, each with the way to bring it back; nothing if nothing was."""
    if not deleted:
        return []
    lines = [
        html.Li(
            [html.Span(f"{name}, {say(f'kind.{one.kind}')}"), _restore(RESTORE_LISTED, one.session_id, name)]
        )
        for one in deleted
        for name in [name_of_deleted(one)]
    ]
    title = say("sessions.deleted", sessions=formats.counted(len(deleted), "session", "sessions"))
    return [folded(title, [html.Ul(lines, className="written")])]


def name_of_deleted(one: DeletedSession) -> str:
    """Name a deleted session as it was named in the list."""
    start = local_time(one.start_utc, one.zone)
    return say("session.undated", number=one.session_id) if start is None else formats.day_and_time(start)


def _restore(kind: str, session_id: int, name: str) -> Component:
    return html.Button(
        say("session.restore"),
        id={"type": kind, "session": session_id},
        n_clicks=0,
        type="button",
        className="press lesser",
        **labelled(say("session.restore.of", name=name)),
    )
