"""``rideready import``: bring recordings in."""

from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rideready.cli.numbers import counted
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
)
from rideready.cli.output import note, print_json, progress_bar, say

if TYPE_CHECKING:
    from rideready.services.importing import FileNote, ImportReport


def command(
    paths: Annotated[
        list[Path],
        typer.Argument(metavar="PATH", help="Recordings (FIT or CSV, packed or not), or folders of them."),
    ],
    *,
    column: Annotated[
        list[str] | None,
        typer.Option(
            "--column",
            metavar="CHANNEL=HEADING",
            help='Which column is meant, such as "hr_bpm=Pulse A". May be given several times.',
        ),
    ] = None,
    unit: Annotated[
        list[str] | None,
        typer.Option(
            "--unit", metavar="CHANNEL=UNIT", help="Unit of a column that names none, such as speed_m_s=km/h."
        ),
    ] = None,
    dates: Annotated[
        str | None, typer.Option(metavar="ORDER", help="How 03/04/2026 is meant: day-first or month-first.")
    ] = None,
    decimal: Annotated[
        str | None, typer.Option(metavar="MARK", help="How 1,234 is meant: comma or point.")
    ] = None,
    times: Annotated[
        str | None, typer.Option(metavar="FORM", help="How 12:30 is meant: h:mm or m:ss.")
    ] = None,
    zone: Annotated[
        str | None,
        typer.Option(metavar="PLACE", help="Whose clock a file without a zone shows, such as Europe/Oslo."),
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> int:
    """Import recordings, files or whole folders.

    Again and again, without duplicates: a session is known by its content, in whichever file it comes.

    Exit code: 0 all done, 1 some files unreadable, 2 nothing could be read.
    """
    from rideready.importers.mapping import ColumnMapping
    from rideready.services.importing import import_paths

    mapping = ColumnMapping.from_options(
        column=column or (), unit=unit or (), dates=dates, decimal=decimal, times=times, zone=zone
    )
    with (
        opened(Common(store, rider, date, quiet or json)) as context,
        progress_bar("Importing", quiet=quiet or json) as step,
    ):
        report = import_paths(context, paths, mapping=mapping, progress=lambda now: step(now.done, now.total))
    if json:
        print_json(report_document(report))
    else:
        tell(report, quiet=quiet)
    return exit_code(report)


def report_document(report: "ImportReport") -> dict[str, object]:
    """Lay a report out as scripts get it."""
    return {
        "stored": report.stored,
        "duplicates": report.duplicates,
        "unchanged": report.unchanged,
        "sessions": report.session_ids,
        "unreadable": report.unreadable,
        "warnings": report.warnings,
    }


def tell(report: "ImportReport", *, quiet: bool) -> None:
    """Print one line for each file that needs attention, and a summary."""
    for line in [*_lines(report.unreadable), *_lines(report.warnings)]:
        note(line)
    if quiet:
        return
    parts = [counted(report.stored, "new session", "new sessions")]
    if report.duplicates:
        parts.append(f"{report.duplicates} already there")
    if report.unreadable:
        parts.append(f"{counted(len(report.unreadable), 'file', 'files')} unreadable")
    say(f"{', '.join(parts)}.")


def exit_code(report: "ImportReport") -> int:
    """0 if every file gave a session, 1 if some did, 2 if none did."""
    if report.stored or report.duplicates:
        return 1 if report.unreadable else 0
    return 2


def _lines(notes: "tuple[FileNote, ...]") -> list[str]:
    """One line a file, with everything there is to say about it."""
    by_file: dict[str, list[str]] = defaultdict(list)
    for found in notes:
        by_file[found.file].append(found.reason)
    return [f"{file}: {' '.join(reasons)}" for file, reasons in by_file.items()]
