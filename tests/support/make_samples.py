"""Writes ``sample_sessions/``: ``python -m tests.support.make_samples``. The same every time."""

import json
from collections.abc import Callable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from rideready.simulate.recorder import SimulatedSession
from rideready.simulate.scenario import demo_autumn
from tests.support.csv_writer import english_csv, german_csv
from tests.support.fit_writer import fit_bytes

#: Where the samples lie.
SAMPLES = Path(__file__).resolve().parents[2] / "sample_sessions"

#: Seed of the generator; another one gives another autumn.
SEED = 20261219

#: Sessions written as CSV; all others are FIT. FIT has no word for a step test, CSV has. The German
#: layout writes the day before the month, so it takes days after the 12th, which read in one way only.
_ENGLISH = {
    "2026-09-05-step-test",
    "2026-09-10-bike-and-circuit",
    "2026-10-24-interval-bike",
    "2026-10-31-step-test",
}
_GERMAN = {"2026-09-14-bike-and-circuit", "2026-09-27-hill-run", "2026-10-20-bike-and-circuit"}

_NOTE = (
    "Simulated sessions of an invented rider. The true recoveries are those of the simulated heart, before "
    "any sensor: stop_s is the stop of work, knee_s where the true pulse begins to fall, hrr30/60/120_bpm its drop "
    "after the stop, channels those whose fall shows the stop. Null: the window is too short."
)


def simulated_sessions() -> list[SimulatedSession]:
    """Simulate the autumn behind the samples."""
    return demo_autumn(np.random.default_rng(SEED))


def sample_file(simulated: SimulatedSession) -> tuple[str, Callable[[], bytes]]:
    """Say under which name a session is written, and how."""
    session, name = simulated.session, simulated.name
    if name in _ENGLISH:
        return f"{name}.csv", lambda: english_csv(session)
    if name in _GERMAN:
        return f"{name}.csv", lambda: german_csv(session)
    return f"{name}.fit", lambda: fit_bytes(session, laps_s=simulated.laps_s)


def truth_json(sessions: list[SimulatedSession]) -> bytes:
    """Write what really happened, by file name."""
    told = {"note": _NOTE, "seed": SEED, "sessions": {sample_file(s)[0]: _truth(s) for s in sessions}}
    return (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def _truth(simulated: SimulatedSession) -> dict[str, Any]:
    session = simulated.session
    return {
        "start_utc": None if session.start_utc is None else session.start_utc.isoformat(),
        "zone": session.zone,
        "kind": session.kind.value,
        "device": session.device,
        "faults": [
            {"fault": a.fault.value, "start_s": a.start_s, "end_s": a.end_s} for a in simulated.artefacts
        ],
        "recoveries": [
            {key: round(value, 3) if isinstance(value, float) else value for key, value in asdict(r).items()}
            for r in simulated.truth
        ],
    }


def write_samples(folder: Path) -> Iterator[Path]:
    """Write every sample and the truth into a folder, file by file."""
    sessions = simulated_sessions()
    for simulated in sessions:
        name, content = sample_file(simulated)
        (folder / name).write_bytes(content())
        yield folder / name
    (folder / "truth.json").write_bytes(truth_json(sessions))
    yield folder / "truth.json"


def main() -> None:
    """Replace the samples beside the package."""
    for old in [*SAMPLES.glob("*.fit"), *SAMPLES.glob("*.csv")]:
        old.unlink()
    written = list(write_samples(SAMPLES))
    size = sum(path.stat().st_size for path in written)
    print(f"{len(written)} files, {size / 1e6:.2f} MB in {SAMPLES.name}")  # noqa: T201 - this is the command's output


if __name__ == "__main__":
    main()
