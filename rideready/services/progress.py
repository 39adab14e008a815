"""How far a week has come, target by target."""

import datetime as dt
from dataclasses import dataclass

from rideready.model.season import Phase
from rideready.model.week import SessionKind, WeekPlan
from rideready.plan.history import week_done_from


@dataclass(frozen=True, slots=True)
class TargetProgress:
    """One target of a week.

    Parameters
    ----------
    what
        Its name: ``minutes``, ``vigorous minutes``, ``circuits``, ``strength sessions``, ``burst practices``,
        ``long piece`` or ``mobility sessions``.
    unit
        ``min`` or ``sessions``. Of ``minutes`` they are moderate-equivalent, a vigorous one counted twice;
        of the long piece the longest counts.
    target, done, placed
        What the week asks for, what was done, and what is still placed on the days left.
    most
        The most the ramp allows; None where it does not bound.
    """

    what: str
    unit: str
    target: float
    done: float
    placed: float
    most: float | None = None

    @property
    def left(self) -> float:
        """What is still missing, whether it fits or not; 0 or more."""
        return max(self.target - self.done, 0.0)


@dataclass(frozen=True, slots=True)
class WeekProgress:
    """A week's targets and what has become of each, those of 0 left out."""

    start: dt.date
    phase: Phase
    targets: tuple[TargetProgress, ...]


def progress_of(plan: WeekPlan) -> WeekProgress:
    """Lay a week's targets beside what was done and what is still placed."""
    targets, done = plan.week.targets, week_done_from(plan.week.start, plan.done)
    placed = [session for day in plan.days for session in day.sessions]
    steady = {SessionKind.LONG, SessionKind.EASY}
    longest = max((session.minutes for session in placed if session.kind in steady), default=0)
    lines = (
        TargetProgress(
            "minutes",
            "min",
            targets.moderate_equivalent_min,
            done.moderate_equivalent_min,
            plan.moderate_equivalent_min,
            plan.week.limit_min,
        ),
        TargetProgress(
            "vigorous minutes",
            "min",
            targets.vigorous_min,
            done.vigorous_min,
            sum(session.vigorous_min for session in placed),
        ),
        _counted("circuits", targets.circuits, done.circuits, plan.count(SessionKind.CIRCUIT)),
        _counted("strength sessions", targets.strength, done.strength, plan.count(SessionKind.STRENGTH)),
        _counted(
            "burst practices", targets.burst_practices, done.burst_practices, plan.count(SessionKind.BURSTS)
        ),
        TargetProgress("long piece", "min", targets.long_piece_min, done.longest_min, longest),
        _counted("mobility sessions", targets.mobility, done.mobility, plan.count(SessionKind.MOBILITY)),
    )
    asked = tuple(line for line in lines if line.target or line.done)
    return WeekProgress(plan.week.start, plan.week.phase, asked)


def _counted(what: str, target: int, done: int, placed: int) -> TargetProgress:
    return TargetProgress(what, "sessions", target, done, placed)
