"""How much longer an import takes into a store on a server than into a file, in one run.

``python -m tests.benchmarks.bench_server_store``: the sample sessions into a new store of each kind, in turns.
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

from rideready.importers.mapping import ColumnMapping
from rideready.services.context import open_context
from rideready.services.demo import samples_path
from rideready.services.importing import import_paths
from rideready.simulate.scenario import ZONE
from tests.support.postgresql import HINT, programs, running_server

TURNS = 3


def import_s(place: Path | str) -> tuple[float, float]:
    """Return how long an import of the samples takes, and of the same samples once more, s."""
    context = open_context(place, rider="Runa")
    took = []
    for stored in (43, 0):
        began = time.perf_counter()
        report = import_paths(context, [samples_path()], mapping=ColumnMapping(zone=ZONE))
        took.append(time.perf_counter() - began)
        assert report.stored == stored
    context.store.close()
    return took[0], took[1]


def main() -> None:
    """Print medians and ratios."""
    found = programs()
    if found is None:
        sys.exit(HINT)
    with running_server(found) as server, tempfile.TemporaryDirectory() as folder:
        took = [
            (import_s(Path(folder) / f"{turn}.sqlite"), import_s(server.new_store())) for turn in range(TURNS)
        ]
    for what, number in (("import of 43 sessions", 0), ("the same once more", 1)):
        file_s, server_s = (statistics.median(turn[kind][number] for turn in took) for kind in (0, 1))
        print(f"{what}: file {file_s:.2f} s, server {server_s:.2f} s, ratio {server_s / file_s:.2f}")  # noqa: T201


if __name__ == "__main__":
    main()
