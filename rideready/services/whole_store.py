"""A whole store in open formats, written so that reading it back gives an equal store.

A folder, or a zip file of one:

- ``rideready-export.json``: version of this layout and of the tables, and the names of the files;
- ``tables/NAME.json``: every table but the samples, a list of objects, which is what is read back;
- ``tables/NAME.csv``: the same for spreadsheets, never read back;
- ``samples/NUMBER.csv`` (or ``.parquet``): the raw samples of a session, one column a channel, an absent
  value empty; numbers are written so that they read back to the last bit.
"""

import csv
import importlib.util
import io
import json
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from shutil import rmtree
from typing import Any, Final, Protocol

import numpy as np

from rideready.errors import BadInput
from rideready.model.session import FloatArray
from rideready.services.context import Context
from rideready.store.blobs import unpack
from rideready.store.connect import Store
from rideready.store.dialect import last_numbers
from rideready.store.dump import blobs_of, rows_of, table_names
from rideready.store.migrations import found_version

MANIFEST: Final = "rideready-export.json"
LAYOUT: Final = 1


class SampleFormat(StrEnum):
    """How samples are written."""

    CSV = "csv"
    PARQUET = "parquet"


class _Sink(Protocol):
    """Where files go, by name."""

    def put(self, name: str, data: bytes) -> None: ...


class _Folder:
    def __init__(self, root: Path) -> None:
        self._root = root

    def put(self, name: str, data: bytes) -> None:
        path = self._root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


class _Zip:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive

    def put(self, name: str, data: bytes) -> None:
        self._archive.writestr(name, data)


def export_whole(ctx: Context, out: Path, *, samples: SampleFormat = SampleFormat.CSV) -> int:
    """Write everything a store holds, all riders included, and return the number of sessions.

    Parameters
    ----------
    ctx
        The store.
    out
        A folder to be made, or a name ending in ``.zip``. It appears whole or not at all.
    samples
        How samples are written; Parquet needs the library pyarrow.

    Raises
    ------
    BadInput
        If something is at ``out`` already, it cannot be written, or pyarrow is not installed.
    """
    return write_whole(ctx.store, out, samples=samples)


def write_whole(store: Store, out: Path, *, samples: SampleFormat = SampleFormat.CSV) -> int:
    """Write everything a store holds, as `export_whole` does."""
    if samples is SampleFormat.PARQUET and importlib.util.find_spec("pyarrow") is None:
        raise BadInput(
            "Parquet needs pyarrow, which is not installed",
            "--format",
            "Install it with: pip install pyarrow, or leave the format out for CSV",
        )
    if out.exists():
        raise BadInput("there is something here already", str(out), "Name a new folder or zip file")
    try:
        with _sink(out) as sink:
            return _write(store, sink, samples)
    except OSError as error:
        raise BadInput(f"it cannot be written ({error.strerror})", str(out), "Name another place") from error


@contextmanager
def _sink(out: Path) -> Iterator[_Sink]:
    """Yield where files go; under another name until all are there."""
    part = out.with_name(f".{out.name}.part")
    try:
        if out.suffix.lower() == ".zip":
            with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
                yield _Zip(archive)
        else:
            part.mkdir(parents=True)
            yield _Folder(part)
        part.rename(out)
    finally:
        if part.is_dir():
            rmtree(part)
        part.unlink(missing_ok=True)


def _write(store: Store, sink: _Sink, samples: SampleFormat) -> int:
    n_sessions = 0
    with store.reading() as connection:  # one moment of the store, whatever others write meanwhile
        for name in table_names():
            rows = [*rows_of(connection, name)]
            sink.put(f"tables/{name}.json", _as_json(rows))
            sink.put(f"tables/{name}.csv", _as_csv(rows))
        for number, blob in blobs_of(connection):
            n_sessions += 1
            columns = unpack(blob)
            data = samples_csv(columns) if samples is SampleFormat.CSV else _samples_parquet(columns)
            sink.put(f"samples/{number}.{samples}", data)
        head = {
            "layout": LAYOUT,
            "schema": found_version(connection),
            "tables": table_names(),
            "samples": str(samples),
            "last_numbers": last_numbers(connection),
        }
    sink.put(MANIFEST, (json.dumps(head, indent=2) + "\n").encode())
    return n_sessions


def samples_csv(columns: Mapping[str, FloatArray]) -> bytes:
    """Write columns of one length as CSV, each number with as many digits as it takes to read it back."""
    stream = io.StringIO(newline="")
    stream.write(",".join(columns) + "\n")
    cells = [
        ["" if np.isnan(value) else repr(value) for value in found.tolist()] for found in columns.values()
    ]
    stream.writelines(",".join(row) + "\n" for row in zip(*cells, strict=True))
    return stream.getvalue().encode()


def _samples_parquet(columns: Mapping[str, FloatArray]) -> bytes:
    import pandas as pd

    stream = io.BytesIO()
    pd.DataFrame(dict(columns)).to_parquet(stream, index=False)
    return stream.getvalue()


def _as_json(rows: Iterable[Mapping[str, Any]]) -> bytes:
    lines = ",\n".join(json.dumps(row, ensure_ascii=False, allow_nan=False) for row in rows)
    return f"[\n{lines}\n]\n".encode()


def _as_csv(rows: list[dict[str, Any]]) -> bytes:
    from rideready.services.exporting import cell

    stream = io.StringIO(newline="")
    if rows:
        writer = csv.DictWriter(stream, fieldnames=list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows({name: cell(value) for name, value in row.items()} for row in rows)
    return stream.getvalue().encode()
