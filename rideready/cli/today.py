"""``rideready today``: what to do today, how long, how hard, and why."""

from typing import TYPE_CHECKING

from rideready.cli.circuit import circuit_document, show_circuit
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
)
from rideready.cli.output import plain, print_json, say

if TYPE_CHECKING:
    from rideready.model.today import EffortAim, SessionPart, TodayAnswer


def command(
    *,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Say what to do today.

    How long, how hard in your own pulse numbers, which circuit, and why.
    """
    from rideready.services.today import today_with_circuit

    with opened(Common(store, rider, date, quiet or json)) as context:
        found = today_with_circuit(context)
    if json:
        circuit = None if found.circuit is None else circuit_document(found.circuit)
        print_json({**today_document(found.answer), "circuit": circuit, "no_circuit": found.no_circuit})
        return
    show_today(found.answer)
    if found.circuit is not None:
        show_circuit(found.circuit)
    if found.no_circuit is not None:
        say(found.no_circuit)


def today_document(answer: "TodayAnswer") -> dict[str, object]:
    """Lay an answer out as scripts get it."""
    return {
        "day": answer.day,
        "phase": answer.week.phase,
        "minutes": answer.minutes,
        "sessions": plain(answer.sessions),
        "parts": [_part_document(part) for part in answer.parts],
        "if_only_20_min": [_part_document(part) for part in answer.if_only_20_min],
        "why": [reason.sentence for reason in answer.why],
        "on_course": [reason.sentence for reason in answer.on_course],
        "cautions": [reason.sentence for reason in answer.cautions],
    }


def show_today(answer: "TodayAnswer") -> None:
    """Print an answer, most important first."""
    sessions = ", then ".join(session.kind.label for session in answer.sessions)
    say(
        f"{answer.day:%A} {answer.day}: {sessions or 'rest'}"
        + (f", {answer.minutes} min" if sessions else "")
    )
    for part in answer.parts:
        _show_part(part)
    for reason in answer.why:
        say(f"  Why: {reason.sentence}")
    if answer.if_only_20_min:
        say("If you have only 20 minutes:")
        for part in answer.if_only_20_min:
            _show_part(part)
    for reason in (*answer.on_course, *answer.cautions):
        say(f"  {reason.sentence}")


def _show_part(part: "SessionPart") -> None:
    effort = "" if part.effort is None else f", {_effort(part.effort)}"
    say(f"  {part.minutes} min {part.what}{effort}. {part.how.sentence}")


def _effort(aim: "EffortAim") -> str:
    pulse = "" if aim.low_bpm is None else f", {aim.low_bpm} to {aim.high_bpm} bpm"
    return f"{aim.label}{pulse}, RPE {aim.rpe_low} to {aim.rpe_high}"


def _part_document(part: "SessionPart") -> dict[str, object]:
    document: dict[str, object] = {"what": part.what, "minutes": part.minutes, "how": part.how.sentence}
    if part.effort is None:
        return {**document, "effort": None}
    aim = part.effort
    return {
        **document,
        "effort": {
            "label": aim.label,
            "low_bpm": aim.low_bpm,
            "high_bpm": aim.high_bpm,
            "rpe_low": aim.rpe_low,
            "rpe_high": aim.rpe_high,
            "talk": aim.talk.sentence,
            "basis": aim.basis.sentence,
        },
    }
