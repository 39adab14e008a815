"""Circuits as a simulated rider with a heart-rate sensor would record them."""

from dataclasses import dataclass

import numpy as np

from rideready.circuit.solve import build_circuit
from rideready.model.circuit import Circuit, CircuitRequest, Start
from rideready.model.clean import CleanSignal
from rideready.model.exercise import PulseDrive
from rideready.model.rider import Rider
from rideready.model.session import Kind, Session
from rideready.signal.clean import clean
from rideready.simulate.heart import true_curve
from rideready.simulate.programme import Activity, Piece
from rideready.simulate.sensor import noise_with_memory
from rideready.simulate.traits import HeartTraits
from tests.circuit.riders import DAY, GARAGE

RIDER = Rider(max_hr_bpm=182, resting_hr_bpm=55)
#: Where the pulse would settle, fraction of the reserve; plausible values, no source.
DEMAND = {PulseDrive.LOW: 0.60, PulseDrive.MEDIUM: 0.74, PulseDrive.HIGH: 0.88}


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """A circuit, its recording, and when each round really began and ended, s."""

    circuit: Circuit
    signal: CleanSignal
    rounds: tuple[tuple[int, int], ...]


def garage_circuit(top_count: int = 10, exercises: int = 5) -> Circuit:
    request = CircuitRequest(
        DAY, rider=RIDER, equipment=GARAGE, top_count=top_count, exercises=exercises, start=Start.FROM_CARDIO
    )
    return build_circuit(request)


def record(
    circuit: Circuit,
    rng: np.random.Generator,
    *,
    cardio_s: int = 1200,
    rest_s: tuple[float, float] = (25.0, 80.0),
    pace: float = 1.1,
    n_rounds: int | None = None,
) -> Recorded:
    """Do a circuit: cardio, the rounds (all, or the first few) at a pace with scatter, rests standing, cool-down."""
    pieces = [Piece(cardio_s, 0.6), Piece(60, 0.35, Activity.MOVING)] if cardio_s else []
    rounds = []
    for reps in circuit.rounds[:n_rounds]:
        begin = sum(piece.duration_s for piece in pieces)
        for i, station in enumerate(circuit.stations):
            if i:
                pieces.append(Piece(round(10 * rng.lognormal(0, 0.2)), 0.5, Activity.MOVING))
            seconds = reps * station.exercise.seconds_of_a_count * pace * rng.lognormal(0, 0.1)
            demand = DEMAND[station.exercise.pulse_drive] + rng.normal(0, 0.04)
            pieces.append(Piece(max(1, round(seconds)), float(min(demand, 1.0))))
        rounds.append((begin, sum(piece.duration_s for piece in pieces)))
        if reps > 1:
            pieces.append(Piece(round(rng.uniform(*rest_s)), 0.2, Activity.STILL))
    pieces.append(Piece(360, 0.25, Activity.MOVING))
    traits = HeartTraits(
        resting_bpm=55, max_bpm=182, tau_fall_s=rng.uniform(40, 80), tau_rise_s=rng.uniform(25, 40)
    )
    hr = true_curve(pieces, traits, rng).hr_bpm[::10]
    hr = np.round(hr + noise_with_memory(rng, hr.size, sd_bpm=1.0, phi=0.7))
    session = Session.from_arrays(np.arange(hr.size), hr, kind=Kind.CIRCUIT)
    return Recorded(circuit, clean(session), tuple(rounds))
