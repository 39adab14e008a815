"""The floor: the least that makes opening day safe and fun, and when a plan reaches it."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from rideready.model.season import FloorLine, FloorStatus, WeekDone
from rideready.plan.guidance import LEAST_WEEKLY_MIN, STRENGTH_DAYS
from rideready.plan.sizes import FLOOR_LONG_MIN

# The floor is ours; no study sets one. It is read over the last four complete weeks and asks for
# - two weeks with at least 150 moderate-equivalent minutes: the least of health guidance (WHO 2020), held, not
#   touched once. In mountain terrain riding takes 25.7 (SD 6.6) mL/kg/min (Pereira, Durocher, Burr 2019, J Phys
#   Act Health 16:857), hours on end, which is moderate to vigorous work for most adults;
# - two weeks with two strength days (WHO 2020; a circuit is one): a machine weighs 200 kg;
# - three circuits, since grip fails before the legs do: handgrip was down 7 % after 21 min, leg power was not
#   (Pereira 2019);
# - two burst practices, the shape of riding in deep snow;
# - one steady piece of 45 min, to have been on the move that long at all.
# Strength and circuits are what gets a machine out of a hole without getting hurt; the rest is what keeps the
# head clear while it happens.
FLOOR_WEEKS = 4
_WEEKS_NEEDED = 2
_CIRCUITS_NEEDED = 3
_BURST_PRACTICES_NEEDED = 2

WEEKS_OF_MINUTES = f"weeks with {LEAST_WEEKLY_MIN} min"
WEEKS_OF_STRENGTH = f"weeks with {STRENGTH_DAYS} strength days"
CIRCUITS = "circuits"
BURST_PRACTICES = "burst practices"
LONG_PIECE = "minutes of the longest steady piece"


@dataclass(frozen=True, slots=True)
class FloorWeek:
    """What one week gives towards the floor, done or planned."""

    start: dt.date
    minutes: float
    strength_days: int
    circuits: int
    burst_practices: int
    longest_min: float

    @classmethod
    def of(cls, done: WeekDone) -> "FloorWeek":
        """Read it from a week that was done."""
        return cls(
            done.start,
            done.moderate_equivalent_min,
            done.circuits + done.strength,
            done.circuits,
            done.burst_practices,
            done.longest_min,
        )

    @property
    def ends(self) -> dt.date:
        """The Monday after it."""
        return self.start + dt.timedelta(days=7)


def floor_lines(weeks: Sequence[FloorWeek], on: dt.date) -> tuple[FloorLine, ...]:
    """Say how the floor stands on a day, from the four weeks that have ended by then.

    Parameters
    ----------
    weeks
        Weeks done and planned, each Monday once, in any order; a missing one counts as nothing.
    on
        The day.

    Returns
    -------
    tuple of FloorLine
        Each thing the floor asks for, in a fixed order.
    """
    oldest, newest = on - dt.timedelta(days=7 * FLOOR_WEEKS + 6), on - dt.timedelta(days=7)
    last = [week for week in weeks if oldest <= week.start <= newest]
    return (
        FloorLine(WEEKS_OF_MINUTES, _WEEKS_NEEDED, sum(w.minutes >= LEAST_WEEKLY_MIN for w in last)),
        FloorLine(WEEKS_OF_STRENGTH, _WEEKS_NEEDED, sum(w.strength_days >= STRENGTH_DAYS for w in last)),
        FloorLine(CIRCUITS, _CIRCUITS_NEEDED, sum(w.circuits for w in last)),
        FloorLine(BURST_PRACTICES, _BURST_PRACTICES_NEEDED, sum(w.burst_practices for w in last)),
        FloorLine(LONG_PIECE, FLOOR_LONG_MIN, max((w.longest_min for w in last), default=0.0)),
    )


def floor_status(
    weeks: Sequence[FloorWeek], today: dt.date, earliest: dt.date, likely: dt.date
) -> FloorStatus:
    """Say whether the floor is reached by the earliest opening day, and from when on.

    Parameters
    ----------
    weeks
        Weeks done and planned.
    today
        The day of planning.
    earliest, likely
        The opening window.

    Returns
    -------
    FloorStatus
        ``reached_by`` is the first day from which it is reached without a break up to the earliest
        opening day; if it is not reached then, the first later day on which it is.
    """
    judged = max(earliest, today)
    lines = floor_lines(weeks, judged)
    is_sure = all(line.is_met for line in lines)
    ends = sorted({max(week.ends, today) for week in weeks if week.ends <= likely} | {today, judged})
    met = {day: all(line.is_met for line in floor_lines(weeks, day)) for day in ends}
    if is_sure:
        reached = judged
        for day in reversed([day for day in ends if day <= judged]):
            if not met[day]:
                break
            reached = day
        return FloorStatus(reached, is_sure, lines)
    later = [day for day in ends if day > judged and met[day]]
    return FloorStatus(later[0] if later else None, is_sure, lines)
