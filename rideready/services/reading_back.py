"""Read a whole store back from the open formats it was exported to."""

import io
import json
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import numpy as np
from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError, SQLAlchemyError

from rideready.errors import BadInput, UnreadableFile
from rideready.model.session import FloatArray
from rideready.services.context import Context
from rideready.services.import_report import ImportReport
from rideready.services.whole_store import LAYOUT, MANIFEST, SampleFormat
from rideready.store.backups import put_back
from rideready.store.blobs import pack
from rideready.store.connect import Store, open_store
from rideready.store.dump import SAMPLES, Loader, is_empty, pour, same_contents
from rideready.store.kept import all_session_ids
from rideready.store.migrations import MIGRATIONS
from rideready.store.place import Place

#: No file of an export is longer, bytes; a day of samples at 1 s takes some 5 MB.
LARGEST: Final = 512 << 20

_Read = Callable[[str], bytes]


def is_whole_store(path: Path) -> bool:
    """Tell whether a folder or a zip file is a whole store as it was exported."""
    if path.is_dir():
        return (path / MANIFEST).is_file()
    try:
        with zipfile.ZipFile(path) as archive:
            return MANIFEST in archive.namelist()
    except (OSError, zipfile.BadZipFile, ValueError):
        return False


def read_back(ctx: Context, path: Path) -> ImportReport:
    """Fill an empty store with an exported one, or find that it holds the same already.

    Everything is put together beside the store and takes its place in one step, on a server in one
    transaction: cut off at any moment, the store is as it was or complete.

    Parameters
    ----------
    ctx
        The store; its rider may be another afterwards.
    path
        What ``export everything`` wrote, by this or an earlier version.

    Raises
    ------
    BadInput
        If the store holds something else.
    UnreadableFile
        If the export is damaged or from a newer rideready.
    """
    place = ctx.store.place
    with built(path, near=place) as rebuilt:
        with ctx.store.reading() as there, rebuilt.reading() as exported:
            numbers = tuple(all_session_ids(exported))
            if same_contents(there, exported):
                return ImportReport(0, len(numbers), 1, (), (), ())
            _refuse_unless_empty(there, path)
        if isinstance(place, Path):
            rebuilt.close()
            put_back(rebuilt.path, place)
        else:
            with rebuilt.reading() as exported, ctx.store.writing() as there:
                _refuse_unless_empty(there, path)  # nobody comes between any more
                pour(exported, there)
    return ImportReport(len(numbers), 0, 0, (), (), numbers)


@contextmanager
def built(path: Path, *, near: Place) -> Iterator[Store]:
    """Yield a store made of an exported one, in a file that is removed afterwards.

    Parameters
    ----------
    path
        What ``export everything`` wrote, by this or an earlier version.
    near
        On the same disk as this store, if it lies in a file.

    Raises
    ------
    UnreadableFile
        If the export is damaged or from a newer rideready.
    """
    folder_near = near.parent if isinstance(near, Path) else None
    with tempfile.TemporaryDirectory(prefix=".reading-back-", dir=folder_near) as folder:
        beside = Path(folder) / "store.sqlite"
        _build(path, beside)
        rebuilt = open_store(beside)  # brings it up to date
        try:
            yield rebuilt
        finally:
            rebuilt.close()


def _refuse_unless_empty(connection: Connection, path: Path) -> None:
    if not is_empty(connection):
        raise BadInput(
            "a whole store can only be read into an empty one", str(path), "Name a new store with --store"
        )


def _build(path: Path, store: Path) -> None:
    """Make a store of the export's version with everything it holds."""
    try:
        if path.is_dir():
            _fill(path, store, lambda name: _bounded(path / name))
        else:
            with zipfile.ZipFile(path) as archive:
                _fill(path, store, lambda name: _bounded_entry(archive, name))
    except UnreadableFile:
        raise
    except OSError as error:
        raise UnreadableFile(str(path), f"a file of it cannot be read ({error.strerror})") from error
    except (ValueError, KeyError, TypeError, AttributeError, zipfile.BadZipFile, SQLAlchemyError) as error:
        said = "rows of it contradict each other" if isinstance(error, IntegrityError) else str(error)
        raise UnreadableFile(
            str(path), f"the export is damaged ({' '.join(said.split())[:200]})", "Export the store again"
        ) from error


def _fill(path: Path, store: Path, read: _Read) -> None:
    head = json.loads(read(MANIFEST))
    version = int(head["schema"])
    if head["layout"] != LAYOUT or not 1 <= version <= len(MIGRATIONS):
        raise UnreadableFile(str(path), "it was exported by a newer rideready", "Update rideready to read it")
    samples = SampleFormat(head["samples"])
    opened = open_store(store, migrations=MIGRATIONS[:version])
    try:
        with opened.writing() as connection:
            loader = Loader(connection)
            for name in head["tables"]:
                loader.load(name, json.loads(read(f"tables/{_plain(name)}.json")))
            for number in all_session_ids(connection):
                columns = _columns(read(f"samples/{number}.{samples}"), samples)
                loader.load(SAMPLES, [{"session_id": number, "data": pack(columns)}])
            for name, number in head["last_numbers"].items():
                loader.set_last_number(name, int(number))
    finally:
        opened.close()


def _columns(data: bytes, samples: SampleFormat) -> dict[str, FloatArray]:
    if samples is SampleFormat.CSV:
        return _columns_of_csv(data.decode())
    import pandas as pd

    table = pd.read_parquet(io.BytesIO(data))
    return {str(name): table[name].to_numpy(np.float64) for name in table.columns}


def _columns_of_csv(content: str) -> dict[str, FloatArray]:
    """Read numbers to the last bit, which Python's own conversion promises."""
    names, *lines = (line.split(",") for line in content.splitlines())
    columns = zip(*lines, strict=True) if lines else ([] for _ in names)
    return {
        name: np.array([float(cell) if cell else np.nan for cell in column], np.float64)
        for name, column in zip(names, columns, strict=True)
    }


def _plain(name: Any) -> str:
    """Refuse a name that leads anywhere else."""
    if not isinstance(name, str) or not name.replace("_", "").isalnum():
        raise ValueError(f"{name!r} is no table")
    return name


def _bounded(path: Path) -> bytes:
    if path.stat().st_size > LARGEST:
        raise ValueError(f"{path.name} is too long")
    return path.read_bytes()


def _bounded_entry(archive: zipfile.ZipFile, name: str) -> bytes:
    with archive.open(name) as stream:
        data = stream.read(LARGEST + 1)
    if len(data) > LARGEST:
        raise ValueError(f"{name} is too long")
    return data
