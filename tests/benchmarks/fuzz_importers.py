"""Spoil real and sample files over and over: each must give sessions or one sentence, in time and memory.

Run from the project's folder: ``python -m tests.benchmarks.fuzz_importers --tries 100000 --seed 1``. Every
try depends on seed and number only: ``--first N --tries 1`` repeats one. What fails is kept in ``--keep``.
One try in ``--analyse`` is analysed as well, as an import would. Real recordings are used where they are
(``RIDEREADY_RECORDINGS``); without them the samples and small documents are.
"""

import argparse
import collections
import random
import resource
import signal
import sys
import tempfile
import time
import traceback
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

import numpy as np

from rideready.errors import RidereadyError
from rideready.importers.mapping import ColumnMapping
from rideready.importers.registry import read_sessions, shape_of
from rideready.model.rider import Rider
from rideready.model.session import Session
from rideready.services.preparing import Refused, Task, prepare
from tests.support.documents import documents
from tests.support.mutations import spoil

#: A try may take this much processor time, s, before it counts as a hang; the documents take a tenth of a second.
LONGEST_S = 10.0
#: The whole process may take this much memory, bytes; a try that wants more fails with a MemoryError.
MOST_BYTES = 3 << 30
RIDER = Rider(max_hr_bpm=186, resting_hr_bpm=52)


class Hang(BaseException):
    """A try took too long; no reader may swallow it."""


@dataclass(slots=True)
class Tally:
    """What came of the tries."""

    outcomes: collections.Counter[str] = field(default_factory=collections.Counter)
    faults: dict[str, list[int]] = field(default_factory=dict)
    slowest: tuple[float, int] = (0.0, -1)

    def take(self, number: int, outcome: str, seconds: float) -> None:
        self.outcomes[outcome.split(":", maxsplit=1)[0]] += 1
        self.slowest = max(self.slowest, (seconds, number))
        if outcome.startswith("fault"):
            self.faults.setdefault(outcome, []).append(number)


def spoilt(files: list[bytes], *, seed: int, number: int) -> bytes:
    """Make the document of one try."""
    return spoil(files, random.Random(f"{seed}/{number}"))  # noqa: S311 - to be repeated


def attempt(path: Path, *, analyses: bool) -> str:
    """Read a file; return ``sessions``, ``sentence`` or ``fault: ...``."""
    signal.setitimer(signal.ITIMER_PROF, LONGEST_S)
    try:
        return _read(path, analyses=analyses)
    except Hang:
        return f"fault: hang in {_where(sys.exc_info()[2])}"
    except Exception as error:  # noqa: BLE001 - finding any is the purpose
        return f"fault: {type(error).__name__} in {_where(error.__traceback__)}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def _read(path: Path, *, analyses: bool) -> str:
    try:
        shape_of(path)
        sessions = read_sessions(path)
    except RidereadyError as error:
        return "sentence" if _is_sentence(str(error)) else f"fault: no sentence: {error!s:.120}"
    if fault := next((fault for session in sessions if (fault := wrong_with(session))), None):
        return f"fault: {fault}"
    if analyses:
        prepared = prepare(Task(path, RIDER, ColumnMapping(), {}))
        if isinstance(prepared, Refused):
            return "fault: refused after it was read"
    return "sessions" if sessions else "fault: neither a session nor a sentence"


def wrong_with(session: Session) -> str | None:
    """Say what makes a session one that no reader may hand on; None if nothing does."""
    if session.t_s.size == 0 or not np.isfinite(session.t_s).all():
        return "a session with no or impossible times"
    if np.any(np.diff(session.t_s) <= 0):
        return "times that do not rise"
    if any(np.isinf(values).any() or len(values) != session.t_s.size for values in session.channels.values()):
        return "a channel with infinite values or of another length"
    if not all(_is_sentence(warning) for warning in session.warnings):
        return f"a warning that is no sentence: {session.warnings}"
    return None


def _is_sentence(text: str) -> bool:
    return text.endswith(".") and "\n" not in text and len(text) < 1500


def _where(trace: object) -> str:
    frames = traceback.extract_tb(trace) if trace is not None else []  # type: ignore[arg-type]
    own = [frame for frame in frames if "rideready" in Path(frame.filename).parts]
    frame = own[-1] if own else frames[-1]
    return f"{Path(frame.filename).name}:{frame.lineno}"


def _ring(_number: int, _frame: FrameType | None) -> None:
    raise Hang


def main() -> int:
    """Try, and print what came of it; the exit code is 1 if anything failed."""
    asked = _asked()
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    signal.signal(signal.SIGPROF, _ring)
    files = documents()
    tally = Tally()
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "ride")
        for number in range(asked.first, asked.first + asked.tries):
            data = spoilt(files, seed=asked.seed, number=number)
            path.write_bytes(data)
            start = time.process_time()
            outcome = attempt(path, analyses=asked.analyse > 0 and number % asked.analyse == 0)
            tally.take(number, outcome, time.process_time() - start)
            if outcome.startswith("fault"):
                print(f"{number}: {outcome}", flush=True)  # noqa: T201 - its findings
                if asked.keep is not None:
                    asked.keep.mkdir(parents=True, exist_ok=True)
                    Path(asked.keep, f"{asked.seed}-{number}").write_bytes(data)
            if (number + 1) % 1000 == 0:
                print(_summary(tally, began), flush=True)  # noqa: T201
    print(_summary(tally, began))  # noqa: T201
    for fault, numbers in sorted(tally.faults.items()):
        print(f"{len(numbers):6d} x {fault} (first: {numbers[0]})")  # noqa: T201
    return 1 if tally.faults else 0


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--tries", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--analyse", type=int, default=25)
    parser.add_argument("--keep", type=Path)
    return parser.parse_args()


def _summary(tally: Tally, began: float) -> str:
    n = tally.outcomes.total()
    seconds = time.monotonic() - began
    parts = ", ".join(f"{count} {outcome}" for outcome, count in sorted(tally.outcomes.items()))
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return (
        f"{n} tries: {parts}; {n / seconds:.0f} a second, "
        f"slowest {tally.slowest[0]:.2f} s (number {tally.slowest[1]}), peak {peak_mb} MB"
    )


if __name__ == "__main__":
    sys.exit(main())
