"""``rideready sessions``: which sessions are there."""

from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.numbers import counted, day_and_time, length, share, whole
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    SinceOption,
    StoreOption,
    UntilOption,
    day,
    opened_to_read,
)
from rideready.cli.output import plain, print_json, say, table
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.session import Kind
    from rideready.services.sessions import SessionRow


def command(
    *,
    since: SinceOption = None,
    until: UntilOption = None,
    kind: Annotated[
        str | None, typer.Option(metavar="KIND", help="Only this kind: bike, run, circuit, riding and so on.")
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """List the sessions, newest first."""
    from rideready.services.sessions import list_sessions

    wanted = kind_named(kind)
    with opened_to_read(Common(store, rider, date, quiet or json)) as context:
        rows = list_sessions(context, since=day(since), until=day(until), kind=wanted)
    if json:
        print_json([session_document(row) for row in rows])
        return
    table(
        (
            ">No.",
            "Start",
            "Kind",
            ">Length",
            ">Mean\nbpm",
            ">Peak\nbpm",
            ">Trusted",
            ">TRIMP",
            ">Recoveries",
            ">Drop in 60 s\nbpm",
        ),
        [_cells(row) for row in rows],
    )
    if not quiet:
        say(
            f"n = {counted(len(rows), 'session', 'sessions')}. Trusted: share of the seconds with heart rate to go by. Recoveries: of "
            "grade good or fair, of all that were found. Drop in 60 s: median of those."
        )


def kind_named(name: str | None) -> "Kind | None":
    """Read a kind; raises `BadInput` if there is none of this name."""
    from rideready.model.session import Kind

    if name is None:
        return None
    try:
        return Kind(name)
    except ValueError as error:
        raise BadInput(
            f"{name!r} is no kind of session", what_to_do=f"Say one of {', '.join(Kind)}"
        ) from error


def session_document(row: "SessionRow") -> dict[str, object]:
    """Lay a summary out as scripts get it."""
    document: dict[str, object] = plain(row)
    document["session"] = document.pop("session_id")
    document["start"] = row.start_local
    document["flagged_s"] = {flag.name.lower(): seconds for flag, seconds in row.flagged_s.items()}
    return document


def _cells(row: "SessionRow") -> tuple[str, ...]:
    return (
        str(row.session_id),
        day_and_time(row.start_local),
        str(row.kind),
        length(row.duration_s),
        whole(row.mean_hr_bpm),
        whole(row.peak_hr_bpm),
        share(row.clean_share) if row.has_heart_rate else "no heart rate",
        whole(row.trimp),
        f"{row.n_trusted} of {row.n_recoveries}",
        whole(row.median_hrr60_bpm),
    )
