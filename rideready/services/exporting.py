"""Everything the store holds, as tables in open formats."""

import contextlib
import csv
import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import fields
from enum import StrEnum
from pathlib import Path
from typing import IO, Any

from rideready.errors import BadInput
from rideready.model.recovery import Recovery
from rideready.model.session import CHANNELS
from rideready.services.context import Context
from rideready.services.recoveries import list_recoveries
from rideready.services.sessions import list_sessions
from rideready.store.sessions import load_session, session_row

Row = dict[str, Any]


class Content(StrEnum):
    """What can be exported."""

    SESSIONS = "sessions"
    RECOVERIES = "recoveries"
    SAMPLES = "samples"


class Format(StrEnum):
    """How it is written."""

    CSV = "csv"
    JSON = "json"


def export(
    ctx: Context, content: Content, stream: IO[str], *, form: Format, session_id: int | None = None
) -> int:
    """Write a table, row by row, and return the number of rows.

    Parameters
    ----------
    ctx
        Store and rider.
    content
        Which table. Times are local with their offset; figures are as stored, unrounded; a figure that
        cannot be had is empty in CSV and null in JSON.
    stream
        Where it goes.
    form
        CSV with comma, decimal point and a heading line, or a JSON list of objects.
    session_id
        Only what belongs to this session.
    """
    rows = _ROWS[content](ctx, session_id)
    return _write_csv(rows, stream) if form is Format.CSV else _write_json(rows, stream)


def export_file(
    ctx: Context, content: Content, path: Path, *, form: Format, session_id: int | None = None
) -> int:
    """Write a table to a file; a break leaves what was there before, never half a file.

    Raises
    ------
    BadInput
        If the file cannot be written.
    """
    with _whole(path) as stream:
        return export(ctx, content, stream, form=form, session_id=session_id)


def write_csv_file(rows: Iterator[Row], path: Path) -> int:
    """Write rows to a file as CSV and return their number; a break leaves what was there before.

    Raises
    ------
    BadInput
        If the file cannot be written.
    """
    with _whole(path) as stream:
        return _write_csv(rows, stream)


@contextlib.contextmanager
def _whole(path: Path) -> Iterator[IO[str]]:
    """Yield what becomes the file only when all of it is written."""
    beside = path.with_name(f".{path.name}.part")
    try:
        with beside.open("w", encoding="utf-8", newline="") as stream:
            yield stream
        beside.replace(path)
    except OSError as error:
        raise BadInput(f"it cannot be written ({error.strerror})", str(path), "Name another file") from error
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)


def _session_rows(ctx: Context, session_id: int | None) -> Iterator[Row]:
    for row in list_sessions(ctx):
        if session_id in {None, row.session_id}:
            minutes = row.class_minutes or (None,) * 5
            names = ("very_light", "light", "moderate", "vigorous", "near_maximal")
            yield {
                "session": row.session_id,
                "start": None if row.start_local is None else row.start_local.isoformat(),
                "zone": row.zone,
                "kind": str(row.kind),
                "device": row.device,
                "duration_s": row.duration_s,
                "mean_hr_bpm": row.mean_hr_bpm,
                "peak_hr_bpm": row.peak_hr_bpm,
                "clean_share": row.clean_share,
                **{f"{name}_min": value for name, value in zip(names, minutes, strict=True)},
                "maximum_is_predicted": row.maximum_is_predicted,
                "trimp": row.trimp,
                "rpe": row.rpe,
                "posture": row.posture,
                "n_recoveries": row.n_recoveries,
                "n_trusted": row.n_trusted,
                "median_hrr60_bpm": row.median_hrr60_bpm,
                "notes": row.notes,
                "files": " ".join(row.files),
            }


#: Fields of `Recovery` that are written as they are.
FIGURES = tuple(field.name for field in fields(Recovery) if field.name not in {"order", "fit", "reasons"})


def sentences_of(recovery: Recovery) -> str:
    """Return a recovery's reasons as one text."""
    return " ".join(reason.sentence for reason in recovery.reasons)


def _recovery_rows(ctx: Context, session_id: int | None) -> Iterator[Row]:
    for row in list_recoveries(ctx):
        if session_id in {None, row.session_id}:
            recovery = row.recovery
            yield {
                "session": row.session_id,
                "order": recovery.order,
                "start": None if row.session_start_local is None else row.session_start_local.isoformat(),
                **{name: getattr(recovery, name) for name in FIGURES},
                "kind": str(row.kind),
                "device": row.device,
                "posture": row.posture,
                "altitude_m": row.altitude_m,
                "temperature_c": row.temperature_c,
                "reasons": sentences_of(recovery),
            }


def _sample_rows(ctx: Context, session_id: int | None) -> Iterator[Row]:
    """Yield raw samples, session by session, so that ten years need no more memory than a day."""
    numbers = [row.session_id for row in list_sessions(ctx)] if session_id is None else [session_id]
    for number in numbers:
        with ctx.store.reading() as connection:
            session_row(connection, ctx.rider_id, number)  # is it there, and this rider's?
            session = load_session(connection, number)
        columns = {"t_s": session.t_s, **{name: session.channel(name) for name in CHANNELS}}
        for values in zip(*(column.tolist() for column in columns.values()), strict=True):
            yield {"session": number, **dict(zip(columns, values, strict=True))}


_ROWS = {
    Content.SESSIONS: _session_rows,
    Content.RECOVERIES: _recovery_rows,
    Content.SAMPLES: _sample_rows,
}


def _write_csv(rows: Iterator[Row], stream: IO[str]) -> int:
    n_rows = 0
    writer = None
    for row in rows:
        if writer is None:
            writer = csv.DictWriter(stream, fieldnames=list(row), lineterminator="\n")
            writer.writeheader()
        writer.writerow({name: cell(value) for name, value in row.items()})
        n_rows += 1
    return n_rows


def cell(value: Any) -> Any:
    """Make a cell: a missing figure is empty, and text never opens like a formula of a spreadsheet."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    if isinstance(value, str) and value[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        return f"'{value}"
    return value


def _write_json(rows: Iterator[Row], stream: IO[str]) -> int:
    n_rows = 0
    stream.write("[")
    for row in rows:
        stream.write(",\n" if n_rows else "\n")
        stream.write(json.dumps(_without_nan(row), allow_nan=False))
        n_rows += 1
    stream.write("\n]\n")
    return n_rows


def _without_nan(row: Mapping[str, Any]) -> Row:
    return {
        name: None if isinstance(value, float) and not math.isfinite(value) else value
        for name, value in row.items()
    }
