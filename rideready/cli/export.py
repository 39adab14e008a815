"""``rideready export``: everything the store holds, in open formats."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened_to_read,
)
from rideready.cli.output import note, print_json
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.services.exporting import Format


def command(
    content: Annotated[
        str, typer.Argument(metavar="WHAT", help="sessions, recoveries, samples or everything.")
    ],
    *,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Where it goes; without it, to the screen.")
    ] = None,
    form: Annotated[
        str | None,
        typer.Option(
            "--format",
            metavar="FORMAT",
            help="csv or json (everything: csv or parquet); without it, by the name.",
        ),
    ] = None,
    session: Annotated[int | None, typer.Option(metavar="NUMBER", help="Only this session's.")] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write sessions, recoveries or samples as CSV or JSON, or everything so that it can be read back.

    With --json and no --out, the table itself is the JSON document. "everything" writes a folder, or a zip
    file, of all riders' data; `rideready import` reads it into an empty store.
    """
    if content == "everything":
        _everything(Common(store, rider, date, quiet or json), out, form, as_json=json)
        return
    from rideready.services.exporting import Content, export, export_file

    try:
        wanted = Content(content)
    except ValueError as error:
        raise BadInput(
            f"{content!r} cannot be exported", what_to_do=f"Say one of {', '.join(Content)}, everything"
        ) from error
    form = form or ("json" if json and out is None else None)
    chosen = format_named(form, out)
    with opened_to_read(Common(store, rider, date, quiet or json)) as context:
        if out is None:
            export(context, wanted, sys.stdout, form=chosen, session_id=session)
            return
        n_rows = export_file(context, wanted, out, form=chosen, session_id=session)
    if json:
        print_json({"file": out, "rows": n_rows})
    elif not quiet:
        note(f"{n_rows} rows written to {out}.")


def _everything(common: Common, out: Path | None, form: str | None, *, as_json: bool) -> None:
    from rideready.services.whole_store import SampleFormat, export_whole

    if out is None:
        raise BadInput("it needs a place to go", "--out", "Name a new folder, or a file ending in .zip")
    try:
        samples = SampleFormat(form or SampleFormat.CSV)
    except ValueError as error:
        raise BadInput(f"{form!r} is no format of samples", "--format", "Say csv or parquet") from error
    with opened_to_read(common) as context:
        n_sessions = export_whole(context, out, samples=samples)
    if as_json:
        print_json({"file": out, "sessions": n_sessions})
    elif not common.quiet:
        note(f"{n_sessions} sessions and everything else written to {out}.")


def format_named(name: str | None, out: Path | None) -> "Format":
    """Read a format, or take it from the file's name; raises `BadInput` if there is none of this name."""
    from rideready.services.exporting import Format

    if name is None:
        return Format.JSON if out is not None and out.suffix.lower() == ".json" else Format.CSV
    try:
        return Format(name)
    except ValueError as error:
        raise BadInput(f"{name!r} is no format", "--format", f"Say {' or '.join(Format)}") from error
