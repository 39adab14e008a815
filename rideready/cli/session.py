"""``rideready session``: what was done in one session."""

from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.circuit_log import match_document, show_match
from rideready.cli.numbers import day_and_time, length, share, whole
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened_to_read,
)
from rideready.cli.output import print_json, say, table
from rideready.cli.recovery import recovery_cells, recovery_document, recovery_headings
from rideready.cli.sessions import kind_named, session_document
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.services.sessions import SessionView


def command(
    session: Annotated[int, typer.Argument(metavar="NUMBER", help="As `rideready sessions` lists it.")],
    *,
    kind: Annotated[
        str | None,
        typer.Option(metavar="KIND", help="Correct the kind: bike, run, circuit, riding and so on."),
    ] = None,
    posture: Annotated[
        str | None,
        typer.Option(metavar="POSTURE", help="How you recovered: standing, seated or lying."),
    ] = None,
    rpe: Annotated[
        float | None, typer.Option(metavar="0-10", help="How hard the whole session was (session RPE).")
    ] = None,
    no_rpe: Annotated[bool, typer.Option("--no-rpe", help="Forget the session RPE that was logged.")] = False,
    notes: Annotated[str | None, typer.Option(metavar="TEXT", help="Your own words.")] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show one session, or write down what you know about it.

    Intensity classes, load, seconds left out and recoveries, with the reasons for their grades.
    """
    from rideready.services.editing import clear_rpe
    from rideready.services.matching import match_of_session
    from rideready.services.sessions import describe_session, session_view

    if no_rpe and rpe is not None:
        raise BadInput("--rpe and --no-rpe exclude each other", what_to_do="Leave one out")
    corrected = kind_named(kind)
    with opened_to_read(Common(store, rider, date, quiet or json)) as context:
        if any(told is not None for told in (corrected, posture, rpe, notes)):
            describe_session(context, session, kind=corrected, posture=posture, rpe=rpe, notes=notes)
        if no_rpe:
            clear_rpe(context, session)
        view = session_view(context, session)
        matched = match_of_session(context, session)
    if json:
        print_json({**view_document(view), "circuit": match_document(matched)})
    else:
        _show(view)
        show_match(matched)


def view_document(view: "SessionView") -> dict[str, object]:
    """Lay a session out as scripts get it."""
    return {
        **session_document(view.row),
        "minutes_by_class": {which.label: minutes for which, minutes in view.minutes_by_class.items()},
        "class_bounds_bpm": {which.label: [low, high] for which, low, high in view.class_bounds_bpm},
        "session_rpe_load": view.session_rpe_load,
        "flagged": view.flagged,
        "recoveries": [recovery_document(row) for row in view.recoveries],
    }


def _show(view: "SessionView") -> None:
    row = view.row
    say(f"Session {row.session_id}: {row.kind}, {day_and_time(row.start_local)}, {length(row.duration_s)}")
    said = {
        "Recorder": row.device or "not named",
        "Files": ", ".join(row.files),
        "Heart rate": _heart_rate(view),
        "Training impulse (TRIMP)": whole(row.trimp),
        "Session RPE": "not logged" if row.rpe is None else f"{row.rpe:g} of 10",
        "Load from session RPE": None if view.session_rpe_load is None else whole(view.session_rpe_load),
        "Posture in recoveries": row.posture or f"{view.posture} (assumed)",
        "Notes": row.notes,
    }
    for name, value in said.items():
        if value:
            say(f"  {name}: {value}")
    if view.twice is not None:
        say(f"  {view.twice.why.sentence}")
    for sentence in (*view.flagged, *row.warnings):
        say(f"  {sentence}")
    if view.minutes_by_class:
        rows = [
            (which.label, f"{low:.0f} to {high:.0f}", whole(view.minutes_by_class[which]))
            for which, low, high in view.class_bounds_bpm
        ]
        table(("Intensity class", ">bpm", ">Minutes"), rows)
    if row.maximum_is_predicted:
        say("The classes rest on a maximum predicted from age; a measured one is better.")
    if view.recoveries:
        table(recovery_headings(), [recovery_cells(found) for found in view.recoveries])
    for found in view.recoveries:
        if found.recovery.reasons:
            sentences = " ".join(reason.sentence for reason in found.recovery.reasons)
            say(f"  {row.session_id}.{found.recovery.order}: {sentences}")


def _heart_rate(view: "SessionView") -> str:
    row = view.row
    if not row.has_heart_rate:
        return "not recorded"
    figures = f"mean {whole(row.mean_hr_bpm)}, peak {whole(row.peak_hr_bpm)} bpm"
    return f"{figures}, {share(row.clean_share)} of the seconds trusted"
