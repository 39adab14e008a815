"""How long a circuit takes to write, and whether any breaks a hard rule.

Run ``python tests/benchmarks/bench_circuit.py [requests]`` from the project's folder. Nothing is asserted on
seconds; the figures belong in a note.
"""

import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

import numpy as np

from rideready.circuit.solve import build_circuit
from rideready.errors import Infeasible
from rideready.model.circuit import CircuitRequest
from rideready.model.exercise import Equipment, Level
from tests.circuit.hard_rules import broken_rules
from tests.circuit.riders import DAY, GARAGE, draw_request, seeded


def timed(request: CircuitRequest) -> tuple[float, float, str]:
    """Return seconds taken by the clock and by the processor, and what came of it."""
    clock, processor = time.perf_counter(), time.process_time()
    circuit = None
    with suppress(Infeasible):
        circuit = build_circuit(request)
    took = time.perf_counter() - clock, time.process_time() - processor
    if circuit is None:
        return *took, "explained"
    return *took, "broken" if broken_rules(circuit, request) else "written"


def kinds(n: int) -> Iterator[tuple[str, list[CircuitRequest]]]:
    rng = seeded("benchmark")
    yield f"{n} random riders", [draw_request(rng) for _ in range(n)]
    garage = CircuitRequest(DAY, equipment=GARAGE)
    yield (
        "garage, 4 to 8 exercises, all levels",
        [replace(garage, exercises=k, level=level) for k in range(4, 9) for level in Level],
    )
    whole = CircuitRequest(DAY, equipment=frozenset(Equipment), level=Level.ADVANCED)
    yield "everything at hand, advanced", [replace(whole, exercises=k) for k in range(4, 9)]
    yield "third next best, garage", [replace(garage, alternative=3, exercises=k) for k in range(4, 9)]
    yield "fifth next best, garage", [replace(garage, alternative=5, exercises=k) for k in range(4, 9)]


def main() -> None:
    """Print one line for each kind of request."""
    for name, requests in kinds(int(sys.argv[1]) if len(sys.argv) > 1 else 1000):
        results = [timed(request) for request in requests]
        for outcome in sorted({came for _, _, came in results}):
            clock, processor = 1000 * np.array([(a, b) for a, b, came in results if came == outcome]).T
            print(  # noqa: T201 - printing is what a benchmark is for
                f"{name:38s} {outcome:10s} n {clock.size:5d}  clock median {np.median(clock):6.1f} ms"
                f"  95 % {np.percentile(clock, 95):6.1f}  worst {clock.max():7.1f}"
                f"  processor median {np.median(processor):6.1f}  worst {processor.max():7.1f}"
            )


if __name__ == "__main__":
    main()
