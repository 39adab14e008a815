"""The timer of a field test, with a beat where the protocol has one; ``assets/metronome.js`` runs it."""

import json
from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboards.components.aria import LIVE, SILENT, labelled
from dashboards.words import say
from rideready.model.protocol import Protocol, ProtocolStep

#: What each foot does, four ticks to a cycle.
_FEET = ("up", "up", "down", "down")


def metronome(protocol: Protocol, *, asks: str | None) -> Component:
    """Return the timer of a protocol.

    Parameters
    ----------
    protocol
        Its schedule is what the timer runs through.
    asks
        Id of the field that takes how many seconds were stepped; None if no field does.
    """
    has_beat = any(step.ticks_per_min for step in protocol.schedule)
    words = {
        name: say(f"metronome.{key}", **{value: f"{{{value}}}" for value in values})
        for name, key, values in (
            ("start", "start", ()),
            ("stop", "stop", ()),
            ("ready", "ready" if has_beat else "ready.quiet", ()),
            ("next", "following", ("what",)),
            ("of", "of", ("clock",)),
            ("stepped", "stepped", ("clock", "s")),
        )
    }
    handed: dict[str, Any] = {
        "data-steps": json.dumps(_timed(protocol), ensure_ascii=False),
        "data-words": json.dumps(words, ensure_ascii=False),
        "data-asks": asks or "",
    }
    return html.Section(
        [
            html.H2(say("metronome.title.beat" if has_beat else "metronome.title")),
            html.Div(
                [
                    html.P(className="metronome-step", **_part("step"), **LIVE),
                    html.P(
                        [
                            html.Span("0:00", className="metronome-time", **_part("time")),
                            html.Span(className="metronome-of", **_part("of")),
                        ],
                        role="timer",
                    ),
                    html.Div(html.Div(**_part("bar")), className="metronome-bar", **SILENT),
                    html.Div(
                        [html.Span(say(f"metronome.{foot}"), className="foot") for foot in _FEET],
                        className="metronome-beat",
                        **_part("beat"),
                        **SILENT,
                    ),
                    html.P(className="quiet", **_part("following")),
                    html.P(className="quiet", role="status", **_part("stepped")),
                    html.Div(
                        [
                            html.Button(type="button", className="press", **_part("start")),
                            html.Button(
                                say("metronome.beat_now"),
                                type="button",
                                className="press lesser",
                                **_part("beat_now"),
                            ),
                            html.Button(
                                say("metronome.next"),
                                type="button",
                                className="press lesser",
                                **_part("next"),
                            ),
                        ],
                        className="ways",
                    ),
                ],
                id="metronome",
                className="metronome",
                role="group",
                **labelled(say("metronome.label")),
                **handed,
            ),
        ],
        className="timer",
    )


def beat_choice(beats: Sequence[int], address: str) -> Component:
    """Let the rider choose the beat where the protocol has one for each sex and theirs is not known."""
    ways = [
        dcc.Link(
            say("metronome.beat.choose", ticks=ticks), href=f"{address}/{ticks}", className="press lesser"
        )
        for ticks in beats
    ]
    return html.Div([html.P(say("metronome.beat.unknown")), html.Div(ways, className="ways")])


def _part(name: str) -> dict[str, Any]:
    return {"data-part": name}


def _timed(protocol: Protocol) -> list[dict[str, Any]]:
    """Write out what the timer runs through, the rounds counted."""
    rounds = [
        _step(step, say("metronome.round", n=n, rounds=protocol.rounds, what=step.what))
        for n in range(1, protocol.rounds + 1)
        for step in protocol.round_steps
    ]
    before, after = ([_step(step, step.what) for step in part] for part in (protocol.steps, protocol.closing))
    return [*before, *rounds, *after]


def _step(step: ProtocolStep, what: str) -> dict[str, Any]:
    return {"what": what, "seconds": step.seconds, "ticks_per_min": step.ticks_per_min}
