"""``rideready delete``: one session, for now or for good, or everything."""

from typing import Annotated

import typer

from rideready.cli.numbers import counted, day_and_time, length
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
from rideready.errors import BadInput


def command(
    session: Annotated[
        int | None,
        typer.Argument(
            metavar="NUMBER", help="As `rideready sessions` lists it; without it, what can be brought back."
        ),
    ] = None,
    *,
    undo: Annotated[bool, typer.Option("--undo", help="Bring the deleted session back.")] = False,
    for_good: Annotated[
        bool, typer.Option("--for-good", help="Delete it with its samples; it cannot be brought back.")
    ] = False,
    everything: Annotated[
        bool,
        typer.Option("--everything", help="Delete all sessions, logs, plans and riders and all backups."),
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="With --everything: you mean it.")] = False,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Delete a session, bring it back, or delete everything.

    A deleted session counts nowhere and can be brought back; an import does not bring it back.
    """
    _refuse_contradictions(session, undo=undo, for_good=for_good, everything=everything, yes=yes)
    common = Common(store, rider, date, quiet or json)
    if everything:
        _delete_everything(common, as_json=json, quiet=quiet)
    elif session is None:
        _list(common, as_json=json)
    else:
        sentence = _act(common, session, undo=undo, for_good=for_good)
        if json:
            print_json({"session": session, "done": sentence})
        elif not quiet:
            say(sentence)


def _refuse_contradictions(
    session: int | None, *, undo: bool, for_good: bool, everything: bool, yes: bool
) -> None:
    if sum((undo, for_good, everything)) > 1 or (everything and session is not None):
        raise BadInput("these options contradict each other", what_to_do="Give one of them")
    if session is None and (undo or for_good):
        raise BadInput("no session is named", what_to_do="Give its number")
    if everything and not yes:
        raise BadInput(
            "this deletes every session, log and plan, and the backups beside the store",
            what_to_do="Say that you mean it with: rideready delete --everything --yes",
        )


def _act(common: Common, session: int, *, undo: bool, for_good: bool) -> str:
    """Do what is asked for with one session, and say what was done."""
    from rideready.services.deletion import delete_session, erase_session, restore_session

    with opened_to_read(common) as context:
        if undo:
            restore_session(context, session)
            return f"Session {session} is back."
        if for_good:
            erase_session(context, session)
            return f"Session {session} is deleted for good."
        delete_session(context, session)
    return f"Session {session} is deleted. Bring it back with: rideready delete {session} --undo"


def _delete_everything(common: Common, *, as_json: bool, quiet: bool) -> None:
    from rideready.services.keeping import delete_everything

    n_backups = delete_everything(common.store)
    if as_json:
        print_json({"deleted": True, "backups": n_backups})
    elif not quiet:
        say(f"Everything is deleted, with {counted(n_backups, 'backup', 'backups')}.")
        say("Backups you keep elsewhere, and the recordings themselves, are still there.")


def _list(common: Common, *, as_json: bool) -> None:
    from rideready.services.deletion import list_deleted

    with opened_to_read(common) as context:
        found = list_deleted(context)
    if as_json:
        print_json(found)
    elif not found:
        say("No session can be brought back: none is deleted.")
    else:
        rows = [
            (str(gone.session_id), day_and_time(gone.start_utc), str(gone.kind), length(gone.duration_s))
            for gone in found
        ]
        table((">Session", "Start (UTC)", "Kind", ">Length"), rows)
        say("Bring one back with: rideready delete NUMBER --undo")
