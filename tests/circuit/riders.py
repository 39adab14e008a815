"""Random riders: requests and logs as they may come, from a seed."""

import datetime as dt
import random

from rideready.circuit.library import EXERCISES, STATIONS
from rideready.model.circuit import (
    CircuitLog,
    CircuitRequest,
    Complaint,
    RestBy,
    RestChoice,
    RestRecoveries,
    Start,
)
from rideready.model.exercise import Equipment, Impact, Joint, Level, Muscle
from rideready.model.rider import Rider

DAY = dt.date(2026, 10, 1)
GARAGE = frozenset(
    {
        Equipment.MAT,
        Equipment.DUMBBELLS,
        Equipment.KETTLEBELL,
        Equipment.BOX,
        Equipment.BAND,
        Equipment.BIKE,
    }
)


def seeded(name: str) -> random.Random:
    """Return a generator of a test's own."""
    return random.Random(name)  # noqa: S311 - draws test data, guards nothing


def draw_log(rng: random.Random, date: dt.date) -> CircuitLog:
    """Draw one logged circuit; names may be mobility or unknown ones, as old logs may hold."""
    names = rng.sample([e.name for e in STATIONS], rng.randint(0, 8))
    names += rng.sample(["Log lift", EXERCISES[-1].name], rng.choice([0, 0, 0, 1, 2]))
    top = rng.randint(2, 14)
    return CircuitLog(
        date=date,
        exercises=tuple(names),
        top_count=top,
        rounds_done=rng.choice([top, top, top, rng.randint(0, top)]),
        rpe=rng.choice([None, *range(11)]),
        full_top_count=rng.choice([None, None, 10]),
        weights_kg=tuple((name, float(rng.randint(1, 40))) for name in names if rng.random() < 0.3),
        recoveries=rng.choice([None, RestRecoveries(rng.random(), rng.choice([None, 50.0]))]),
    )


def draw_rider(rng: random.Random) -> Rider:
    return Rider(
        max_hr_bpm=rng.choice([None, 170.0, 195.0]),
        resting_hr_bpm=rng.choice([None, 45.0, 70.0]),
        age_years=rng.choice([None, 25.0, 60.0]),
        takes_heart_rate_medicine=rng.random() < 0.1,
    )


def draw_request(rng: random.Random) -> CircuitRequest:
    """Draw a request; most are usual ones, some hardly to be met."""
    date = DAY + dt.timedelta(days=rng.randint(0, 120))
    share = rng.choice([0.0, 0.3, 0.6, 0.9])
    sore, tired = rng.choice([0.0, 0.0, 0.15, 0.5]), rng.choice([0.0, 0.0, 0.0, 0.1, 0.4])
    return CircuitRequest(
        date=date,
        rider=draw_rider(rng),
        level=rng.choice(list(Level)),
        equipment=frozenset(piece for piece in Equipment if rng.random() < share),
        avoid_joints=frozenset(joint for joint in Joint if rng.random() < sore),
        exclude=frozenset(rng.sample([e.name for e in STATIONS], rng.choice([0, 0, 3, 15]))),
        highest_impact=rng.choice([Impact.HIGH, Impact.HIGH, Impact.LOW, Impact.NONE]),
        top_count=rng.choice([None, None, None, 10, rng.randint(2, 20)]),
        exercises=rng.randint(4, 8),
        minutes=rng.choice([None, None, None, 25.0, 37.5, 60.0]),
        start=rng.choice(list(Start)),
        rest=RestChoice(
            by=rng.choice(list(RestBy)),
            reserve=rng.choice([None, 0.5]),
            cap_s=rng.choice([30.0, 90.0]),
            clock_s=rng.choice([20.0, 60.0]),
        ),
        trained_hard=frozenset(muscle for muscle in Muscle if rng.random() < tired),
        complaints=frozenset(
            rng.sample([Complaint.ASTHMA, Complaint.HIGH_BLOOD_PRESSURE], rng.randint(0, 2))
        ),
        log=tuple(
            draw_log(rng, date - dt.timedelta(days=rng.randint(-3, 40)))
            for _ in range(rng.choice([0, 0, 1, 6, 12]))
        ),
    )
