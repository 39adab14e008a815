"""A rider's progress as a value that travels: weekly done against planned, the verdict on recovery, nothing else."""

import datetime as dt
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rideready.errors import UnreadableFile
from rideready.model.trend import Verdict
from rideready.share.reading import document_from, read_bytes

FORMAT = "rideready-progress"
VERSION = 1


@dataclass(frozen=True, slots=True)
class ProgressWeek:
    """One week: its Monday, moderate-equivalent minutes planned and done."""

    start: dt.date
    planned_min: int
    done_min: int


@dataclass(frozen=True, slots=True)
class ProgressFile:
    """What two partners may show each other.

    Parameters
    ----------
    made
        Day it was made on.
    weeks
        Complete weeks, oldest first.
    recovery
        Whether heart-rate recovery is getting faster.
    name
        Whose it is; empty if that is not said.
    """

    made: dt.date
    weeks: tuple[ProgressWeek, ...]
    recovery: Verdict
    name: str = ""


def progress_document(progress: ProgressFile) -> dict[str, Any]:
    """Lay progress out as JSON of ``progress.schema.json``."""
    return {
        "format": FORMAT,
        "version": VERSION,
        **({"name": progress.name} if progress.name else {}),
        "made": progress.made.isoformat(),
        "weeks": [
            {"start": week.start.isoformat(), "planned_min": week.planned_min, "done_min": week.done_min}
            for week in progress.weeks
        ],
        "recovery": str(progress.recovery),
    }


def progress_text(progress: ProgressFile) -> str:
    """Write a progress file; this text, word for word, is what is shown before it is written."""
    return json.dumps(progress_document(progress), indent=1, ensure_ascii=False) + "\n"


def progress_from_document(document: dict[str, Any]) -> ProgressFile:
    """Make progress of a document that keeps to the schema; raises ``ValueError`` if a day is none."""
    return ProgressFile(
        dt.date.fromisoformat(document["made"]),
        tuple(
            ProgressWeek(dt.date.fromisoformat(week["start"]), week["planned_min"], week["done_min"])
            for week in document["weeks"]
        ),
        Verdict(document["recovery"]),
        document.get("name", ""),
    )


def read_progress_file(path: Path) -> ProgressFile:
    """Read a progress file; raises `UnreadableFile` with one sentence if it is none."""
    return progress_from_bytes(read_bytes(path), str(path))


def progress_from_bytes(content: bytes, name: str) -> ProgressFile:
    """Read progress from bytes, as they are uploaded; raises as `read_progress_file`."""
    document = document_from(content, name, schema="progress.schema.json", called=(FORMAT, VERSION))
    try:
        return progress_from_document(document)
    except ValueError as error:
        raise UnreadableFile(name, f"it cannot be used: {error}", "Ask for a new one") from error
