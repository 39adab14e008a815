"""Plans to hand over; the riders are invented."""

import datetime as dt
import functools
from dataclasses import replace
from typing import Any

from rideready.model.circuit import CircuitRequest, RestBy
from rideready.model.exercise import Equipment, Level
from rideready.model.rider import Rider
from rideready.model.season import OpeningWindow, SeasonRequest
from rideready.plan.season import plan_season
from rideready.share.fit_plan import Adopter, FittedPlan, fit_plan
from rideready.share.plan_file import GivenCircuit, GivenWeek, PlanFile

MONDAY = dt.date(2026, 10, 5)
WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))
PLAN_ID = "3b1f4c62-8a0e-4d0b-9c55-0e4cf1f0a8d1"
CIRCUITS = (
    ("Goblet squat", "Kettlebell row", "Push-up", "Suitcase carry", "Dead bug"),
    ("Kettlebell swing", "Band row", "Push-up", "Mountain climber", "Side shuffle"),
)


@functools.cache
def a_plan(*, revision: int = 1, giver: str = "Runa Vell", usual_min: float = 200.0) -> PlanFile:
    """Return the plan of a rider used to so many minutes a week."""
    season = plan_season(SeasonRequest(WINDOW, MONDAY, usual_min=usual_min))
    weeks = tuple(GivenWeek(w.start, w.phase, w.is_easier, w.targets) for w in season.weeks)
    circuits = tuple(GivenCircuit(names, 10, RestBy.PULSE, 0.6, 45.0) for names in CIRCUITS)
    return PlanFile(PLAN_ID, revision, MONDAY, giver, WINDOW, weeks, circuits)


def a_beginner(name: str = "Tam Oster", *, rider: Rider | None = None, **season: Any) -> Adopter:
    """Return somebody who starts, with a mat and a band."""
    request = SeasonRequest(WINDOW, MONDAY, level=Level.BEGINNER)
    circuit = CircuitRequest(
        MONDAY,
        rider=rider or Rider(),
        level=Level.BEGINNER,
        equipment=frozenset({Equipment.MAT, Equipment.BAND}),
    )
    return Adopter(replace(request, **season), circuit, name)


@functools.cache
def a_fitted_plan() -> FittedPlan:
    """Return the plan as the beginner follows it, pulse known."""
    return fit_plan(a_plan(), a_beginner(rider=Rider(max_hr_bpm=191, resting_hr_bpm=67)))
