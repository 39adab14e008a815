"""Simulated sessions as different as riders, sensors and workouts are, with what was found beside what was true.

Hearts fall with time constants of 30 to 95 s sitting still; straps, wrist sensors and coarse recorders with their
faults, noise of 0.8 to 2.5 bpm; two sessions in five recorded without any channel but the pulse; efforts up to
30 % easier than the workout says. The mix is ours, no source.
"""

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np

from rideready.model.recovery import Evidence, Recovery
from rideready.model.rider import Rider
from rideready.model.session import Kind
from rideready.recovery.measure import find_recoveries
from rideready.simulate import devices, workouts
from rideready.simulate.channels import Place
from rideready.simulate.recorder import Occasion, SimulatedSession, record
from rideready.simulate.traits import HeartTraits
from rideready.simulate.truth import TrueRecovery
from rideready.simulate.workouts import Strength

WORKOUTS = (
    (workouts.bike_and_circuit, Kind.BIKE),
    (workouts.interval_bike, Kind.BIKE),
    (workouts.burst_test, Kind.BIKE),
    (workouts.ride_test, Kind.BIKE),
    (workouts.hill_run, Kind.RUN),
    (workouts.strength_session, Kind.STRENGTH),
)
SENSORS = {
    "strap": devices.chest_strap,
    "wrist": devices.wrist_optical,
    "coarse": devices.coarse_recorder,
}
SHARES = (0.4, 0.4, 0.2)
HIDDEN = ("power_w", "cadence_rpm", "speed_m_s")
#: A found end belongs to a true stop if it lies in this range after it, s.
MATCHES_S = (-25.0, 45.0)
#: True drops of at least this count as ones that must be found, bpm.
CLEAR_DROP_BPM = 15.0


@dataclass(frozen=True, slots=True)
class Match:
    """One true recovery and what was made of it; ``found`` is None if it was missed."""

    sensor: str
    truth: TrueRecovery
    true_drop_bpm: float
    found: Recovery | None

    @property
    def end_error_s(self) -> float:
        """End of the effort less the stop, or less the knee where only the pulse can tell; NaN if missed."""
        if self.found is None:
            return float("nan")
        is_by_pulse = self.found.evidence == Evidence.HEART_RATE
        return self.found.end_of_effort_s - (self.truth.knee_s if is_by_pulse else self.truth.stop_s)

    @property
    def seen_drop_bpm(self) -> float:
        """True drop of the minute that the found one is about: from the stop, or from the knee; NaN without."""
        is_by_pulse = self.found is not None and self.found.evidence == Evidence.HEART_RATE
        drop = self.truth.hrr60_from_knee_bpm if is_by_pulse else self.truth.hrr60_bpm
        return float("nan") if drop is None else drop


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was found in one session: matches by time, and ends found where there was none."""

    sensor: str
    matches: tuple[Match, ...]
    n_extra: int


def varied_outcome(seed: int) -> Outcome:
    """Simulate the session of a seed and measure it."""
    simulated, rider, sensor = _session(np.random.default_rng([77, seed]))
    free = find_recoveries(simulated.session, rider)
    matches = []
    for truth in simulated.truth:
        low, high = MATCHES_S
        near = [one for one in free if low <= one.end_of_effort_s - truth.stop_s <= high]
        found = min(near, key=lambda one: abs(one.end_of_effort_s - truth.knee_s)) if near else None
        if found is not None:
            free.remove(found)
        matches.append(Match(sensor, truth, _true_drop_bpm(simulated, truth), found))
    return Outcome(sensor, tuple(matches), len(free))


def _session(rng: np.random.Generator) -> tuple[SimulatedSession, Rider, str]:
    rest, maximum = float(rng.uniform(48, 70)), float(rng.uniform(170, 200))
    heart = HeartTraits(rest, maximum, tau_fall_s=float(np.exp(rng.uniform(np.log(30), np.log(95)))))
    make, kind = WORKOUTS[int(rng.integers(len(WORKOUTS)))]
    name = str(rng.choice(list(SENSORS), p=SHARES))
    sensor = replace(SENSORS[name](rng), noise_sd_bpm=float(rng.uniform(0.8, 2.5)))
    hidden = HIDDEN if rng.random() < 0.4 else ()
    ease = float(rng.uniform(0.7, 1.0))
    programme = [
        replace(piece, demand=piece.demand * (ease if piece.demand > 0.5 else 1.0))
        for piece in make(rng, Strength(240, 3.0, 10))
    ]
    start = dt.datetime(2026, 9, 1, 15, tzinfo=dt.UTC)
    occasion = Occasion("simulated", kind, start, "Europe/Oslo", Place(100, 10, 10), hidden)
    rider = Rider(max_hr_bpm=round(maximum), resting_hr_bpm=round(rest))
    return record(programme, heart, sensor, occasion, rng), rider, name


def _true_drop_bpm(session: SimulatedSession, truth: TrueRecovery) -> float:
    """Return the true drop in the minute after the knee, or in the window if it is shorter."""
    hr = session.true_hr_bpm
    until_s = min(truth.knee_s + 60.0, truth.stop_s + truth.window_s)
    return float(hr[round(truth.knee_s * 10)] - hr[min(round(until_s * 10), hr.size - 1)])
