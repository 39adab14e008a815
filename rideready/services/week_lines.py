"""A week's targets line by line: asked for, done, still placed on its days."""

from collections.abc import Iterable
from dataclasses import dataclass

from rideready.model.week import PlannedSession, SessionKind, WeekPlan
from rideready.plan.history import week_done_from


@dataclass(frozen=True, slots=True)
class WeekLine:
    """One target of a week.

    Parameters
    ----------
    name
        Field of `Targets`.
    asked, done
        What the week asks for and what was done, minutes or sessions.
    placed
        What is placed on the days left.
    """

    name: str
    asked: float
    done: float
    placed: float

    @property
    def left(self) -> float:
        """What is still missing to what is asked for; 0 once it is reached."""
        return max(0.0, self.asked - self.done)


def week_lines(plan: WeekPlan) -> tuple[WeekLine, ...]:
    """Return a line for each thing the week asks for or holds, minutes first."""
    targets, done = plan.week.targets, week_done_from(plan.week.start, plan.done)
    placed = [session for day in plan.days for session in day.sessions]

    def count(kind: SessionKind) -> int:
        return sum(session.kind is kind for session in placed)

    lines = (
        WeekLine(
            "moderate_equivalent_min",
            targets.moderate_equivalent_min,
            done.moderate_equivalent_min,
            sum(session.moderate_equivalent_min for session in placed),
        ),
        WeekLine(
            "vigorous_min",
            targets.vigorous_min,
            done.vigorous_min,
            sum(session.vigorous_min for session in placed),
        ),
        WeekLine("circuits", targets.circuits, done.circuits, count(SessionKind.CIRCUIT)),
        WeekLine("burst_practices", targets.burst_practices, done.burst_practices, count(SessionKind.BURSTS)),
        WeekLine("strength", targets.strength, done.strength, count(SessionKind.STRENGTH)),
        WeekLine("mobility", targets.mobility, done.mobility, count(SessionKind.MOBILITY)),
        WeekLine("long_piece_min", targets.long_piece_min, done.longest_min, _longest(placed)),
    )
    return tuple(line for line in lines if line.asked or line.done or line.placed)


def _longest(placed: Iterable[PlannedSession]) -> float:
    """Return the longest steady piece still placed, minutes; 0 without one."""
    steady = {SessionKind.LONG, SessionKind.EASY}
    return max((float(session.minutes) for session in placed if session.kind in steady), default=0.0)
