"""FIT bytes to columns and warnings, through fitparse, with fitdecode behind it.

References
----------
fitparse 1.2.0 keeps the types of developer fields in a global of its module, which leaks from file to file
and between threads: it is cleared for each file, under a lock.
"""

import struct
import threading
from dataclasses import dataclass
from typing import Any, Final

import fitdecode
import numpy as np
import numpy.typing as npt
from fitdecode.exceptions import FitError
from fitparse import records
from fitparse.utils import FitEOFError, FitParseError

from rideready.importers.chain import Piece, contain, split
from rideready.importers.gather import Gatherer, Leg
from rideready.importers.lean import LeanFitFile
from rideready.importers.mend import mends
from rideready.model.session import FloatArray

#: What the libraries raise on bytes that are not what they expect: their own errors, and those of the
#: Python operations they leave unguarded.
LIBRARY_FAULTS: Final = (
    FitParseError,
    FitError,
    struct.error,
    ValueError,
    TypeError,
    AttributeError,
    LookupError,
    ArithmeticError,
    AssertionError,
    RecursionError,
)

_FITPARSE: Final = threading.Lock()
#: Records further than this from the others carry a broken time, s.
_FAR_S: Final = 86_400.0


@dataclass(frozen=True, slots=True, eq=False)
class Decoded:
    """One FIT file of a chain, decoded.

    Parameters
    ----------
    columns
        Fields of the records by name (`fit_fields.COLUMNS`), shape (n,), in the units of the profile, NaN
        where absent; times in s since the FIT epoch.
    timer
        Time, and whether the timer ran from there on, in file order.
    legs
        Sports in file order.
    file_type
        What the file says it is for.
    device, zone
        As in `Session`.
    local_clock
        One moment as the file's own clock and the local clock have it, s; None if not given.
    n_strap_messages
        Messages with heart rate that a strap kept for itself while out of reach.
    faults
        What is wrong with the file, each as a clause.
    """

    columns: dict[str, FloatArray]
    timer: tuple[tuple[float, bool], ...]
    legs: tuple[Leg, ...]
    file_type: Any
    device: str | None
    zone: str | None
    local_clock: tuple[int, int] | None
    n_strap_messages: int
    faults: tuple[str, ...]

    @property
    def n_records(self) -> int:
        """How many records were read."""
        return len(self.columns["timestamp"])


def decode(data: bytes) -> list[Decoded]:
    """Decode every FIT file of a chain.

    Parameters
    ----------
    data
        The whole file.

    Returns
    -------
    list of Decoded
        One for each file of the chain, damaged ones with what could be read; empty if there is none.
    """
    return [_decode_piece(piece) for piece in split(data)]


def _decode_piece(piece: Piece) -> Decoded:
    first = _Attempt(*_by_fitparse(piece.body, piece.offset))
    attempts = [first]
    faults = list(piece.faults)
    if first.fault is not None:
        attempts.append(_Attempt(*_by_fitdecode(piece.body)))
        faults.append(first.fault)
    if faults:
        attempts += [
            _Attempt(*_by_fitparse(body, piece.offset), len(piece.body) - len(body))
            for body in mends(piece.body)
        ]
    best = max(attempts, key=_richness)
    if best.n_bytes_lost:
        faults.append(f"{best.n_bytes_lost} bytes of it had to be left out")
    found = best.gatherer
    legs = found.legs or ([found.sport] if found.sport else [])
    return Decoded(
        columns=found.columns(),
        timer=tuple(found.timer),
        legs=tuple(legs),
        file_type=found.file_type,
        device=found.device,
        zone=found.zone,
        local_clock=found.local_clock,
        n_strap_messages=found.n_strap_messages,
        faults=tuple(faults),
    )


@dataclass(frozen=True, slots=True)
class _Attempt:
    """What one library made of a piece, the fault that stopped it, and how much was cut out before."""

    gatherer: Gatherer
    fault: str | None
    n_bytes_lost: int = 0


def _richness(attempt: _Attempt) -> tuple[int, int]:
    """Count the records with a sensible time, and those of them with a heart rate."""
    columns = attempt.gatherer.columns()
    sensible = main_stretch(columns["timestamp"])
    pulse = columns["heart_rate"][sensible]
    return int(np.count_nonzero(sensible)), int(np.count_nonzero(np.isfinite(pulse)))


def _by_fitparse(body: bytes, offset: int) -> tuple[Gatherer, str | None]:
    gatherer = Gatherer()
    contained = contain(body)
    with _FITPARSE:
        records.DEV_TYPES.clear()
        reader = LeanFitFile(contained, gatherer)
        try:
            reader.read_all()
        except FitEOFError:
            return gatherer, "its last record is cut short"
        except LIBRARY_FAULTS:
            at = offset + reader.position - (len(contained) - len(body) - 2)
            return gatherer, f"a record before byte {at} cannot be read"
        finally:
            reader.close()
    return gatherer, None


def _by_fitdecode(body: bytes) -> tuple[Gatherer, str | None]:
    """Read with fitdecode, which passes over some faults that stop fitparse."""
    gatherer = Gatherer()
    try:
        with fitdecode.FitReader(
            contain(body),
            processor=None,
            check_crc=fitdecode.CrcCheck.DISABLED,
            error_handling=fitdecode.ErrorHandling.IGNORE,
        ) as reader:
            for frame in reader:
                if frame.frame_type == fitdecode.FIT_FRAME_DATA:
                    gatherer.take(frame.name, frame.fields)
    except LIBRARY_FAULTS as fault:
        return gatherer, str(fault)
    return gatherer, None


def main_stretch(timestamps_s: FloatArray) -> npt.NDArray[np.bool_]:
    """Say which records carry a sensible time.

    A clock that is set by satellite after the start, or a flipped bit, puts single records days or decades
    away. The times are cut wherever nothing was recorded for a day, and the fullest stretch is taken.

    Parameters
    ----------
    timestamps_s
        Shape (n,), s, in any order, NaN where absent.

    Returns
    -------
    ndarray of bool
        Shape (n,).
    """
    known = np.flatnonzero(np.isfinite(timestamps_s))
    sensible = np.zeros(timestamps_s.shape, dtype=np.bool_)
    if known.size == 0:
        return sensible
    order = known[np.argsort(timestamps_s[known], kind="stable")]
    stretch = np.concatenate(([0], np.cumsum(np.diff(timestamps_s[order]) > _FAR_S)))
    fullest = int(np.argmax(np.bincount(stretch)))
    sensible[order[stretch == fullest]] = True
    return sensible
