"""What holds a rider back from training for a while."""

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from rideready.errors import BadInput
from rideready.model.exercise import Joint


class Clearance(StrEnum):
    """What the pre-exercise questions allow."""

    CLEAR = "clear"
    ASK_FIRST = "ask a doctor first"


class IllnessKind(StrEnum):
    """What kept the rider down."""

    FEVER = "fever"  # fever, or an infection of the whole body or the chest
    COLD = "cold"  # above the neck and without fever


@dataclass(frozen=True, slots=True)
class Illness:
    """One illness; raises `BadInput` if it ends before it begins.

    Parameters
    ----------
    kind
        With fever or without.
    first_day
        First day of it.
    last_day
        Last day with fever or symptoms; None while it lasts.
    """

    kind: IllnessKind
    first_day: dt.date
    last_day: dt.date | None = None

    def __post_init__(self) -> None:
        if self.last_day is not None and self.last_day < self.first_day:
            raise BadInput(f"it ends on {self.last_day}, before it begins on {self.first_day}", "illness")


@dataclass(frozen=True, slots=True)
class Injury:
    """A joint that hurts, and since when; it holds until the rider takes the tag away."""

    joint: Joint
    since: dt.date


@dataclass(frozen=True, slots=True)
class Away:
    """Days without training that are known beforehand; raises `BadInput` if they end before they begin.

    Parameters
    ----------
    first, last
        Both ends included.
    """

    first: dt.date
    last: dt.date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise BadInput(f"they end on {self.last}, before they begin on {self.first}", "days away")
