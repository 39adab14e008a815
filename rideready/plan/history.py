"""The weeks really done, and after them the weeks planned, as the ramp and the floor read them."""

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from rideready.model.season import SeasonRequest, Targets, WeekDone
from rideready.model.week import DoneSession, SessionKind
from rideready.plan.calendar_weeks import monday_of, weeks_between
from rideready.plan.floor import FloorWeek
from rideready.plan.ramp import MEMORY_WEEKS, Ramp, ramp_from, vigorous_limit, weeks_since_easier

# Of a usual week that the rider only tells of, this share is taken to have been one steady piece, at most 45 min.
_USUAL_LONG_SHARE = 0.25
_USUAL_LONG_MOST_MIN = 45.0
# A week under way is taken to end on its targets unless too few days are left, at a third of the week a day.
_SHARE_OF_A_DAY = 1 / 3


@dataclass(slots=True)
class Series:
    """Weeks up to the one that is planned next, oldest first; grows as weeks are planned.

    Parameters
    ----------
    first
        Monday of the first.
    minutes, vigorous_min, longest_min
        One figure a week.
    floor_weeks
        The same weeks as the floor reads them.
    """

    first: dt.date
    minutes: list[float] = field(default_factory=list)
    vigorous_min: list[float] = field(default_factory=list)
    longest_min: list[float] = field(default_factory=list)
    floor_weeks: list[FloorWeek] = field(default_factory=list)

    def add(self, week: FloorWeek, vigorous_min: float) -> None:
        """Put one more week at the end."""
        self.minutes.append(week.minutes)
        self.vigorous_min.append(vigorous_min)
        self.longest_min.append(week.longest_min)
        self.floor_weeks.append(week)

    def ramp(self, start_min: float, *, before: dt.date | None = None) -> Ramp:
        """Read the ramp from the last weeks, or from those before a Monday."""
        count = len(self.minutes)
        if before is not None:
            count = min(count, max(weeks_between(self.first, before), 0))
        return ramp_from(self.minutes[:count], start_min=start_min)

    def vigorous_limit(self, start_min: float) -> float:
        """Read how many vigorous minutes the next week may hold."""
        return vigorous_limit(self.vigorous_min, start_min=start_min)

    def vigorous_before(self, monday: dt.date) -> float:
        """Read the most vigorous minutes of the two weeks before a Monday."""
        count = min(len(self.minutes), max(weeks_between(self.first, monday), 0))
        return max(self.vigorous_min[max(count - 2, 0) : count], default=0.0)

    def longest_lately(self) -> float:
        """Read the longest steady piece of the last four weeks, minutes."""
        return max(self.longest_min[-4:], default=0.0)

    def burst_weeks_lately(self) -> int:
        """Count the weeks with burst practice among the last four."""
        return sum(week.burst_practices > 0 for week in self.floor_weeks[-4:])


def week_done_from(start: dt.date, sessions: Sequence[DoneSession]) -> WeekDone:
    """Add up what was done from a Monday to its Sunday.

    Parameters
    ----------
    start
        The Monday.
    sessions
        Sessions of any days; those of other weeks are left out.

    Returns
    -------
    WeekDone
        Minutes and numbers of sessions; the longest piece is the longest steady or long one.
    """
    here = [session for session in sessions if 0 <= (session.day - start).days < 7]
    count = Counter(session.kind for session in here)
    steady = (s.minutes for s in here if s.kind in {SessionKind.LONG, SessionKind.EASY})
    return WeekDone(
        start,
        sum(session.moderate_equivalent_min for session in here),
        sum(session.vigorous_min for session in here),
        count[SessionKind.CIRCUIT],
        count[SessionKind.STRENGTH],
        count[SessionKind.MOBILITY],
        count[SessionKind.BURSTS],
        max(steady, default=0.0),
    )


def series_of(request: SeasonRequest) -> Series:
    """Line up the last eight complete weeks before today's.

    Parameters
    ----------
    request
        Its history. A week missing between two recorded ones counts as nothing done; weeks before the
        first recorded one count as what the rider calls usual, or as nothing.

    Returns
    -------
    Series
        Eight weeks.
    """
    this_monday = monday_of(request.today)
    done = {week.start: week for week in request.history if week.start < this_monday}
    recorded_from = min(done, default=this_monday)
    series = Series(this_monday - dt.timedelta(weeks=MEMORY_WEEKS))
    usual = request.usual_min or 0.0
    for n in range(MEMORY_WEEKS):
        monday = series.first + dt.timedelta(weeks=n)
        week = done.get(monday, WeekDone(monday))
        if monday < recorded_from:
            week = WeekDone(monday, usual, longest_min=min(_USUAL_LONG_SHARE * usual, _USUAL_LONG_MOST_MIN))
        series.add(FloorWeek.of(week), week.vigorous_min)
    return series


def run_of_weeks(request: SeasonRequest, series: Series, *, at_most: int) -> int:
    """Count the weeks kept up since the last easier or lost one, no further back than the first plan.

    Parameters
    ----------
    request
        Its ``began``; None counts through the history.
    series
        The weeks done.
    at_most
        Where to stop.

    Returns
    -------
    int
        0 to ``at_most``.
    """
    weeks = series.minutes
    run = weeks_since_easier(weeks, at_most=at_most)
    if request.began is None:
        return run
    return min(run, max(weeks_between(monday_of(request.began), monday_of(request.today)), 0))


def expected_of(
    targets: Targets, start: dt.date, done: WeekDone | None, today: dt.date
) -> tuple[FloorWeek, float]:
    """Say what a planned week will give: its targets, or in a week under way what is done and still likely.

    Parameters
    ----------
    targets
        What the week asks for.
    start
        Its Monday.
    done
        What was done in it so far, if it is under way.
    today
        The day of planning.

    Returns
    -------
    FloorWeek, float
        What it gives towards the floor, and its vigorous minutes.
    """
    still_open = min(max(7 - (today - start).days, 0) * _SHARE_OF_A_DAY, 1.0)
    so_far = done or WeekDone(start)

    def likely(target: float, reached: float) -> float:
        return max(reached, min(target, reached + target * still_open))

    week = FloorWeek(
        start,
        likely(targets.moderate_equivalent_min, so_far.moderate_equivalent_min),
        int(likely(targets.strength_days, so_far.circuits + so_far.strength)),
        int(likely(targets.circuits, so_far.circuits)),
        int(likely(targets.burst_practices, so_far.burst_practices)),
        likely(targets.long_piece_min, so_far.longest_min),
    )
    return week, likely(targets.vigorous_min, so_far.vigorous_min)
