"""A field test beside the rider's earlier ones."""

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from rideready.model.fieldtest import FieldTestResult, Measure
from rideready.model.reason import Reason


@dataclass(frozen=True, slots=True)
class DatedResult:
    """A result with the local day it belongs to and the recorder it came from (None by hand)."""

    day: dt.date
    result: FieldTestResult
    device: str | None = None


class Direction(StrEnum):
    """What may be said about a change between two tests."""

    UP = "up"
    DOWN = "down"
    NO_CLEAR_CHANGE = "no clear change"
    NOT_YET = "cannot be said yet"


@dataclass(frozen=True, slots=True)
class Change:
    """One test against an earlier one, or against all earlier ones.

    Parameters
    ----------
    since
        Day of the earlier test (of the first of them, where it is against all).
    before, now
        The figure then (the median, where it is against all) and now, in its unit.
    detectable
        Change that stands out with 95 % confidence, same unit; None if it is not known.
    direction
        What may be said.
    """

    since: dt.date
    before: float
    now: float
    detectable: float | None
    direction: Direction

    @property
    def change(self) -> float:
        """Now less before, in the figure's unit."""
        return self.now - self.before


@dataclass(frozen=True, slots=True)
class HistoryComparison:
    """A test beside the rider's earlier ones of the same kind.

    Parameters
    ----------
    measure
        What is compared: the main figure.
    from_last, from_usual
        Against the last one, and against the median of all earlier ones; None without any.
    typical_error
        Of one test, from the rider's own tests or as given, in the figure's unit; None if not known.
    n_earlier
        Earlier tests with a figure.
    reasons
        What it comes to, and what to beware of.
    """

    measure: Measure | None
    from_last: Change | None
    from_usual: Change | None
    typical_error: float | None
    n_earlier: int
    reasons: tuple[Reason, ...]
