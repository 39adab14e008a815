"""Simulated field tests with known truth."""

import datetime as dt
from collections.abc import Callable, Sequence

import numpy as np

from rideready.model.session import Kind
from rideready.simulate.channels import Place
from rideready.simulate.devices import chest_strap
from rideready.simulate.programme import Activity, Piece, Posture
from rideready.simulate.recorder import Occasion, SimulatedSession, record
from rideready.simulate.sensor import SensorTraits
from rideready.simulate.traits import HeartTraits
from rideready.simulate.workouts import SEATED_DEMAND, STANDING_DEMAND

#: Seconds of standing still before a simulated step test.
STAND_S = 90


def plain_strap(_rng: np.random.Generator) -> SensorTraits:
    """Return a strap without faults, for tests that are about something else."""
    return SensorTraits("simulated chest strap", lag_s=1.5, noise_sd_bpm=1.0, noise_phi=0.7)


def stepping(
    seconds: int = 180, *, demand: float = 0.62, sit_s: int = 240, stand_s: int = STAND_S
) -> list[Piece]:
    """Stand, step, sit: a step test as its protocol asks."""
    return [
        Piece(stand_s, STANDING_DEMAND, Activity.STILL, Posture.STANDING),
        Piece(seconds, demand),
        Piece(sit_s, SEATED_DEMAND, Activity.STILL, Posture.SEATED),
    ]


def recorded(
    programme: Sequence[Piece],
    seed: int,
    *,
    sensor: Callable[[np.random.Generator], SensorTraits] = chest_strap,
    heart: HeartTraits | None = None,
) -> SimulatedSession:
    """Record a programme with a heart and a sensor drawn from the seed."""
    rng = np.random.default_rng(seed)
    drawn = HeartTraits(rng.uniform(48, 70), rng.uniform(170, 195), tau_fall_s=rng.uniform(35, 80))
    occasion = Occasion(
        "field test",
        Kind.TEST,
        dt.datetime(2026, 9, 1, 17, tzinfo=dt.UTC),
        "Europe/Oslo",
        Place(300.0, 12.0, 12.0),
    )
    return record(programme, heart or drawn, sensor(rng), occasion, rng)


def true_beats(session: SimulatedSession, start_s: float, length_s: float) -> float:
    """Beats of the true curve over a stretch of the session."""
    inside = (session.true_t_s >= start_s) & (session.true_t_s < start_s + length_s)
    return float(session.true_hr_bpm[inside].mean()) * length_s / 60
