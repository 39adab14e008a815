"""Tables as documents, for tests."""

from pathlib import Path

from rideready.importers.registry import read_session
from rideready.model.session import Session


def write(folder: Path, text: str, *, encoding: str = "utf-8", name: str = "ride.csv") -> Path:
    """Write a document, its common indent and first line break taken off."""
    lines = text.strip("\n").split("\n")
    indent = min((len(line) - len(line.lstrip(" ")) for line in lines if line.strip()), default=0)
    path = folder / name
    path.write_bytes("\n".join(line[indent:] for line in lines).encode(encoding))
    return path


def read(folder: Path, text: str, *, encoding: str = "utf-8") -> Session:
    """Write a document and read it."""
    return read_session(write(folder, text, encoding=encoding))
