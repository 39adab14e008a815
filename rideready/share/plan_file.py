"""A plan as a value that travels: what it holds, and how it is written down.

It holds an opening window, weeks, circuits and intensities as fractions of a reserve, never a heart
rate, a place, a device, a note or a state of health; ``plan.schema.json`` beside this file says the same
for other programs.
"""

import datetime as dt
import hashlib
import json
from dataclasses import asdict, dataclass, replace
from typing import Any

from rideready.intensity import IntensityClass
from rideready.model.circuit import RestBy
from rideready.model.rider import Rider
from rideready.model.season import OpeningWindow, Phase, Targets
from rideready.plan.effort import effort_in

#: What a plan file calls itself, and the version of its layout.
FORMAT = "rideready-plan"
VERSION = 1

# Garber et al. 2011, Med Sci Sports Exerc 43:1334-59: fractions of the reserve between which each class lies.
RESERVE_BOUNDS = {
    IntensityClass.LIGHT: (0.30, 0.40),
    IntensityClass.MODERATE: (0.40, 0.60),
    IntensityClass.VIGOROUS: (0.60, 0.90),
    IntensityClass.NEAR_MAXIMAL: (0.90, 1.00),
}


@dataclass(frozen=True, slots=True)
class GivenWeek:
    """One week as the giver planned it: its Monday, what it is for, and what it asks."""

    start: dt.date
    phase: Phase
    is_easier: bool
    targets: Targets


@dataclass(frozen=True, slots=True)
class GivenCircuit:
    """One circuit as the giver planned it.

    Parameters
    ----------
    exercises
        Names in order.
    top_count
        Reps of the first round.
    rest_by
        What ends a rest.
    rest_reserve
        By pulse: fraction of the reserve below which the next round begins; None by clock.
    rest_s
        By clock, and where no pulse is to be had: how long, s.
    """

    exercises: tuple[str, ...]
    top_count: int
    rest_by: RestBy
    rest_reserve: float | None
    rest_s: float


@dataclass(frozen=True, slots=True)
class PlanFile:
    """A plan to hand over.

    Parameters
    ----------
    plan_id
        Which plan, the same in every revision of it.
    revision
        1 for the first, one more whenever the plan has changed.
    made
        Day on which this revision was made.
    giver
        Who gives it; empty if that is not said.
    window
        When the season may open.
    weeks
        From the week it was made in to that of the likely opening day.
    circuits
        The circuits of its first circuit days; may be empty.
    """

    plan_id: str
    revision: int
    made: dt.date
    giver: str
    window: OpeningWindow
    weeks: tuple[GivenWeek, ...]
    circuits: tuple[GivenCircuit, ...]


def plan_document(plan: PlanFile) -> dict[str, Any]:
    """Lay a plan out as JSON of ``plan.schema.json``.

    Parameters
    ----------
    plan
        The plan.
    """
    return {
        "format": FORMAT,
        "version": VERSION,
        "plan": {"id": plan.plan_id, "revision": plan.revision, "made": plan.made.isoformat()},
        **({"giver": plan.giver} if plan.giver else {}),
        "window": {"earliest": plan.window.earliest.isoformat(), "likely": plan.window.likely.isoformat()},
        "intensities": [_intensity(one) for one in RESERVE_BOUNDS],
        "weeks": [
            {
                "start": week.start.isoformat(),
                "phase": str(week.phase),
                "is_easier": week.is_easier,
                **asdict(week.targets),
            }
            for week in plan.weeks
        ],
        "circuits": [
            {
                "exercises": list(circuit.exercises),
                "top_count": circuit.top_count,
                "rest_by": str(circuit.rest_by),
                "rest_reserve": circuit.rest_reserve,
                "rest_s": circuit.rest_s,
            }
            for circuit in plan.circuits
        ],
    }


def plan_text(plan: PlanFile) -> str:
    """Write a plan file."""
    return json.dumps(plan_document(plan), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def plan_from_document(document: dict[str, Any]) -> PlanFile:
    """Make a plan of a document that keeps to the schema.

    Raises
    ------
    ValueError
        If a day is none, or weeks do not follow each other from a Monday to the likely opening day.
    BadInput
        If the likely opening day lies before the earliest.
    """
    about, window = document["plan"], document["window"]
    weeks = tuple(_week(week) for week in document["weeks"])
    plan = PlanFile(
        about["id"],
        about["revision"],
        dt.date.fromisoformat(about["made"]),
        document.get("giver", ""),
        OpeningWindow(dt.date.fromisoformat(window["earliest"]), dt.date.fromisoformat(window["likely"])),
        weeks,
        tuple(_circuit(circuit) for circuit in document["circuits"]),
    )
    mondays = [weeks[0].start + dt.timedelta(weeks=n) for n in range(len(weeks))]
    if weeks[0].start.weekday() != 0 or [week.start for week in weeks] != mondays:
        raise ValueError("its weeks do not follow each other from a Monday on")
    if not 0 <= (plan.window.likely - weeks[-1].start).days < 7:
        raise ValueError("its last week is not that of the likely opening day")
    return plan


def content_digest(plan: PlanFile) -> str:
    """Tell plans apart by what they ask, whatever their revision, date and giver."""
    document = plan_document(replace(plan, giver=""))
    document["plan"] = {"id": plan.plan_id}
    return hashlib.sha256(json.dumps(document, sort_keys=True).encode()).hexdigest()


def _intensity(which: IntensityClass) -> dict[str, Any]:
    aim, (low, high) = effort_in(which, Rider()), RESERVE_BOUNDS[which]
    return {
        "label": which.label,
        "reserve_low": low,
        "reserve_high": high,
        "rpe_low": aim.rpe_low,
        "rpe_high": aim.rpe_high,
        "talk": aim.talk.sentence,
    }


def _week(document: dict[str, Any]) -> GivenWeek:
    targets = {name: document[name] for name in Targets.__dataclass_fields__}
    return GivenWeek(
        dt.date.fromisoformat(document["start"]),
        Phase(document["phase"]),
        document["is_easier"],
        Targets(**targets),
    )


def _circuit(document: dict[str, Any]) -> GivenCircuit:
    return GivenCircuit(
        tuple(document["exercises"]),
        document["top_count"],
        RestBy(document["rest_by"]),
        document["rest_reserve"],
        document["rest_s"],
    )
