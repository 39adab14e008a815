"""Hard rules over many random riders, kits, logs and dates.

``tests/benchmarks/bench_circuit.py`` runs the same check over as many more as one has time for.
"""

from itertools import pairwise

import pytest

from rideready.circuit.relax import is_feasible
from rideready.circuit.solve import build_circuit
from rideready.errors import Infeasible
from rideready.model.circuit import Circuit, CircuitRequest
from tests.circuit.hard_rules import broken_rules
from tests.circuit.riders import draw_request, seeded

BLOCKS, REQUESTS = 8, 125


def answer(request: CircuitRequest) -> Circuit | Infeasible:
    try:
        return build_circuit(request)
    except Infeasible as refusal:
        return refusal


def neighbours_that_clash(circuit: Circuit) -> int:
    primary = [set(station.exercise.primary) for station in circuit.stations]
    return sum(not one.isdisjoint(other) for one, other in pairwise(primary))


@pytest.mark.parametrize("block", range(BLOCKS))
def test_every_circuit_keeps_every_hard_rule_and_what_cannot_be_is_explained(block: int) -> None:
    rng = seeded(f"requests {block}")
    circuits = 0
    for _ in range(REQUESTS):
        request = draw_request(rng)
        found = answer(request)
        if isinstance(found, Infeasible):
            assert not is_feasible(request), request
            assert found.what, request
            assert found.what_to_do, request
            continue
        circuits += 1
        assert broken_rules(found, request) == [], request
        told = sum(reason.code == "circuit.clash" for reason in found.reasons)
        assert told == neighbours_that_clash(found), request
    assert circuits > 0.7 * REQUESTS
