"""Two season plans side by side."""

import datetime as dt
from dataclasses import dataclass

from rideready.model.reason import Reason
from rideready.model.season import Season, Targets


@dataclass(frozen=True, slots=True)
class WeekChange:
    """How one week differs between two plans, and why.

    Parameters
    ----------
    start
        Its Monday.
    before, after
        What each plan asks for; None where a plan has no such week.
    reasons
        Why; never empty.
    """

    start: dt.date
    before: Targets | None
    after: Targets | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two plans side by side.

    Parameters
    ----------
    before, after
        The two plans; neither is saved.
    causes
        What made the difference, in the rider's terms.
    consequences
        What is given up or won up to opening day.
    weeks
        Every week from the later plan's first on whose targets differ, in order.
    """

    before: Season
    after: Season
    causes: tuple[Reason, ...]
    consequences: tuple[Reason, ...]
    weeks: tuple[WeekChange, ...]
