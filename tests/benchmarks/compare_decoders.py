"""Whether the fast way to read FIT gives what fitparse gives, every value of every channel.

Channels are compared and not fields: fitparse writes the coarse speed and altitude into the fine fields as
well, of which a channel takes either.

Run from the project's folder: ``python -m tests.benchmarks.compare_decoders``. All samples, and real
recordings where they are (``RIDEREADY_RECORDINGS``); fitparse itself reads some 10,000 records a second.
"""

import contextlib
import sys
import time

import fitparse
import numpy as np
from fitparse import records

from rideready.importers.chain import contain, split
from rideready.importers.decode import LIBRARY_FAULTS
from rideready.importers.fit import _channels
from rideready.importers.gather import Gatherer
from rideready.importers.lean import LeanFitFile, _Untouched
from rideready.model.session import FloatArray
from tests.support.make_samples import SAMPLES
from tests.support.recordings import RECORDINGS


def by_fitparse(body: bytes) -> Gatherer:
    """Read a body with fitparse as it comes, up to the first fault."""
    gatherer = Gatherer()
    records.DEV_TYPES.clear()
    reader = fitparse.FitFile(contain(body), check_crc=False, data_processor=_Untouched())
    with contextlib.suppress(*LIBRARY_FAULTS):  # both stop at the same place, or the comparison tells
        for message in reader.get_messages():
            gatherer.take(message.name, message.fields)
    return gatherer


def by_us(body: bytes) -> Gatherer:
    """Read a body the fast way, up to the first fault."""
    gatherer = Gatherer()
    records.DEV_TYPES.clear()
    with contextlib.suppress(*LIBRARY_FAULTS):
        LeanFitFile(contain(body), gatherer).read_all()
    return gatherer


def channels(found: Gatherer) -> dict[str, FloatArray]:
    """Return times and channels as a session would get them."""
    columns = found.columns()
    return {"t_s": columns["timestamp"], **_channels(columns)}


def differences(plain: Gatherer, fast: Gatherer) -> list[str]:
    """Name what differs: a column, or something else that is kept of a file."""
    if plain.n_records != fast.n_records:
        return [f"{plain.n_records} records against {fast.n_records}"]
    ours, theirs = channels(fast), channels(plain)
    found = [name for name in ours if not np.array_equal(ours[name], theirs[name], equal_nan=True)]
    others = ("timer", "legs", "sport", "file_type", "device", "zone", "local_clock", "n_strap_messages")
    return found + [name for name in others if getattr(plain, name) != getattr(fast, name)]


def main() -> int:
    """Compare every file, and print records a second of both."""
    n_files = n_records = n_values = 0
    seconds = {"fitparse": 0.0, "fast": 0.0}
    wrong = 0
    for path in sorted([*SAMPLES.glob("*.fit"), *RECORDINGS.glob("*.fit")]):
        for piece in split(path.read_bytes()):
            marks = [time.process_time()]
            plain = by_fitparse(piece.body)
            marks.append(time.process_time())
            fast = by_us(piece.body)
            marks.append(time.process_time())
            seconds["fitparse"] += marks[1] - marks[0]
            seconds["fast"] += marks[2] - marks[1]
            n_files += 1
            n_records += fast.n_records
            n_values += int(sum(np.count_nonzero(np.isfinite(column)) for column in channels(fast).values()))
            if found := differences(plain, fast):
                wrong += 1
                print(f"{path.name}: {', '.join(found)}")  # noqa: T201 - its findings
    speeds = {name: n_records / spent for name, spent in seconds.items()}
    print(  # noqa: T201
        f"{n_files} files, {n_records} records, {n_values} values: {wrong} files differ. Records a second: "
        f"fitparse {speeds['fitparse']:.0f}, fast {speeds['fast']:.0f}, ratio {speeds['fast'] / speeds['fitparse']:.1f}"
    )
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
