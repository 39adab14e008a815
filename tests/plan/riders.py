"""Random riders, histories and weeks for the property tests; every draw comes from the generator given."""

import datetime as dt

import numpy as np

from rideready.model.condition import Away, Illness, IllnessKind, Injury
from rideready.model.exercise import Joint, Level
from rideready.model.season import OpeningWindow, SeasonRequest, WeekDone

MONDAY = dt.date(2026, 8, 24)
#: Ordinary weeks, from a weekend rider's to one with time every day.
ORDINARY_WEEKS = (
    (45, 45, 45, 45, 45, 60, 60),
    (60, 0, 60, 0, 60, 0, 120),
    (30, 30, 30, 30, 30, 30, 30),
    (0, 0, 0, 0, 0, 90, 90),
    (20, 20, 0, 0, 20, 0, 0),
    (90, 60, 90, 60, 90, 120, 120),
    (0, 40, 0, 40, 0, 40, 0),
    (25, 0, 0, 50, 0, 0, 0),
)


def random_history(rng: np.random.Generator, monday: dt.date) -> tuple[WeekDone, ...]:
    """Up to ten weeks before a Monday: habits, spikes and gaps."""
    usual = rng.choice([0.0, 40.0, 90.0, 150.0, 220.0, 340.0])
    weeks = []
    for back in range(int(rng.integers(0, 11)), 0, -1):
        if rng.random() < 0.12:
            continue
        minutes = float(max(usual * rng.normal(1.0, 0.25), 0.0)) * (2.5 if rng.random() < 0.05 else 1.0)
        weeks.append(
            WeekDone(
                monday - dt.timedelta(weeks=back),
                round(minutes),
                round(minutes * rng.uniform(0, 0.3)),
                int(rng.integers(0, 4)),
                int(rng.integers(0, 3)),
                int(rng.integers(0, 4)),
                int(rng.integers(0, 2)),
                round(minutes * rng.uniform(0, 0.5)),
            )
        )
    return tuple(weeks)


def random_request(rng: np.random.Generator, *, is_healthy: bool = False) -> SeasonRequest:
    """Any rider on any day before or inside any window."""
    today = MONDAY + dt.timedelta(days=int(rng.integers(0, 365)))
    likely = today + dt.timedelta(
        days=int(rng.choice([0, 1, 3, 9, 20, 60, 110, 250, 700]) * rng.uniform(0.5, 1))
    )
    earliest = likely - dt.timedelta(days=int(rng.integers(0, 60)))
    monday = today - dt.timedelta(days=today.weekday())
    injuries: tuple[Injury, ...] = ()
    illnesses: tuple[Illness, ...] = ()
    away: tuple[Away, ...] = ()
    if not is_healthy:
        if rng.random() < 0.2:
            injuries = (Injury(list(Joint)[int(rng.integers(0, 5))], today - dt.timedelta(days=3)),)
        if rng.random() < 0.2:
            first = today - dt.timedelta(days=int(rng.integers(0, 12)))
            end = None if rng.random() < 0.3 else first + dt.timedelta(days=int(rng.integers(0, 6)))
            illnesses = (Illness(list(IllnessKind)[int(rng.integers(0, 2))], first, end),)
        if rng.random() < 0.2:
            leave = today + dt.timedelta(days=int(rng.integers(0, 40)))
            away = (Away(leave, leave + dt.timedelta(days=int(rng.integers(0, 14)))),)
    return SeasonRequest(
        OpeningWindow(earliest, likely),
        today,
        random_history(rng, monday),
        minutes_by_weekday=ORDINARY_WEEKS[int(rng.integers(0, len(ORDINARY_WEEKS)))],
        level=list(Level)[int(rng.integers(0, 3))],
        usual_min=None if rng.random() < 0.6 else float(rng.integers(0, 300)),
        long_day=None if rng.random() < 0.4 else int(rng.integers(0, 7)),
        injuries=injuries,
        illnesses=illnesses,
        away=away,
        began=None if rng.random() < 0.5 else today - dt.timedelta(days=int(rng.integers(0, 90))),
    )
