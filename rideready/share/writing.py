"""Shared files put on the disk: whole or not at all."""

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from rideready.errors import BadInput


def write_file(path: Path, content: str | bytes) -> None:
    """Write a file in one step, in the place of one of the same name.

    Parameters
    ----------
    path
        Where; its folder must be there.
    content
        Text, written as UTF-8, or bytes.

    Raises
    ------
    BadInput
        If it cannot be written; what was there before is still there then.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    if path.is_dir():
        raise BadInput("this is a folder", str(path), "Name a file in it")
    try:
        handle, name = tempfile.mkstemp(prefix=".rideready-", dir=path.parent)
    except OSError as error:
        raise _not_written(path, error) from error
    try:
        with os.fdopen(handle, "wb") as opened:
            opened.write(data)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except OSError as error:
        with suppress(OSError):
            Path(name).unlink()
        raise _not_written(path, error) from error


def _not_written(path: Path, error: OSError) -> BadInput:
    return BadInput(f"it cannot be written ({error.strerror})", str(path), "Name a place that can be")
