"""A circuit asked for, a circuit written, a circuit done."""

import datetime as dt
from dataclasses import dataclass, field
from enum import StrEnum

from rideready.errors import BadInput
from rideready.model.exercise import Equipment, Exercise, Impact, Joint, Level, Muscle
from rideready.model.reason import Reason
from rideready.model.rider import Rider


class RestBy(StrEnum):
    """What ends the rest between two rounds."""

    PULSE = "pulse"
    CLOCK = "clock"


class Start(StrEnum):
    """In what state the rider comes to the circuit."""

    COLD = "cold"
    FROM_CARDIO = "from cardio"


class Complaint(StrEnum):
    """What the rider reports that bears on hard training."""

    FEVER = "fever"
    INFECTION = "infection"
    CHEST_PAIN = "chest pain"
    FAINTNESS = "faintness"
    HIGH_BLOOD_PRESSURE = "high blood pressure"
    ASTHMA = "asthma"


def _check(name: str, value: float | None, low: float, high: float) -> None:
    if value is not None and not low <= value <= high:
        raise BadInput(f"{name} is {value:g}; it should lie between {low:g} and {high:g}", "circuit")


@dataclass(frozen=True, slots=True)
class RestChoice:
    """How the rider wants to rest between rounds.

    Parameters
    ----------
    by
        Pulse (go on once it is low enough) or clock.
    reserve
        By pulse: go on below this fraction of the reserve, 0.2 to 0.9; None takes the rider's
        settle level.
    cap_s
        By pulse: go on after this long all the same, 15 to 600 s.
    clock_s
        By clock, and where no pulse level can be had: how long to rest, 5 to 600 s.

    Raises
    ------
    BadInput
        If a value lies outside its range.
    """

    by: RestBy = RestBy.PULSE
    reserve: float | None = None
    cap_s: float = 90.0
    clock_s: float = 45.0

    def __post_init__(self) -> None:
        _check("the pulse level to rest to, as a fraction of the reserve,", self.reserve, 0.2, 0.9)
        _check("the longest rest (s)", self.cap_s, 15, 600)
        _check("the rest (s)", self.clock_s, 5, 600)


@dataclass(frozen=True, slots=True)
class RestRecoveries:
    """How the pulse came down in a circuit's rests.

    Parameters
    ----------
    settled_share
        Share of the rests in which the pulse fell below the level before the next round, 0 to 1.
    median_rest_s
        Median length of the rests, s; None if unknown.
    """

    settled_share: float
    median_rest_s: float | None = None

    def __post_init__(self) -> None:
        _check("the share of rests", self.settled_share, 0, 1)
        _check("the median rest (s)", self.median_rest_s, 0, 3600)


@dataclass(frozen=True, slots=True)
class CircuitLog:
    """One circuit that was done.

    Parameters
    ----------
    date
        Local day.
    exercises
        Names, in any order. Names the library does not know are kept and count for nothing.
    top_count
        Reps of the first round.
    rounds_done
        Rounds finished, 0 to ``top_count``.
    rpe
        How hard it felt, 0 (rest) to 10 (maximal); None if not said.
    full_top_count
        Top count it would have had but for lack of time; None if it was not shortened.
    weights_kg
        Name and weight of the exercises done with a known weight, kg.
    recoveries
        What was seen in the rests; None without a recording.

    Raises
    ------
    BadInput
        If a value lies outside its range.
    """

    date: dt.date
    exercises: tuple[str, ...]
    top_count: int
    rounds_done: int
    rpe: float | None = None
    full_top_count: int | None = None
    weights_kg: tuple[tuple[str, float], ...] = ()
    recoveries: RestRecoveries | None = None

    def __post_init__(self) -> None:
        _check("the top count", self.top_count, 1, 30)
        _check("the number of rounds done", self.rounds_done, 0, self.top_count)
        _check("the rating (RPE)", self.rpe, 0, 10)

    @property
    def is_finished(self) -> bool:
        """Whether every round was done."""
        return self.rounds_done >= self.top_count

    @property
    def counts_done(self) -> int:
        """Ladder counts done of each exercise: the rounds from the top down."""
        return sum(range(self.top_count - self.rounds_done + 1, self.top_count + 1))


@dataclass(frozen=True, slots=True)
class CircuitRequest:
    """What a circuit has to fit.

    Parameters
    ----------
    date
        The rider's local day; also draws the day's small preferences, so days differ.
    rider
        Whose pulse numbers the rest is given in.
    level
        Hardest level of exercise wanted.
    equipment
        What is at hand; exercises that need nothing are always possible.
    avoid_joints
        Joints to spare.
    exclude
        Names of exercises not wanted.
    highest_impact
        Hardest landing wanted.
    top_count
        Reps of the first round, 2 to 20; None lets the log decide, 10 without a log.
    exercises
        How many exercises, 4 to 8.
    minutes
        Time at hand, warm-up and cool-down included, min; None for no limit.
    start
        Cold, or straight from the cardio piece.
    rest
        How to rest between rounds.
    trained_hard
        Muscle groups trained hard within the last 48 h; those of logged circuits are added.
    complaints
        What the rider reports today.
    log
        Circuits done, in any order; those after ``date`` are not looked at.
    alternative
        0 for the best circuit, 1 for the next best, and so on, up to 5.

    Raises
    ------
    BadInput
        If a value lies outside its range.
    """

    date: dt.date
    rider: Rider = field(default_factory=Rider)
    level: Level = Level.INTERMEDIATE
    equipment: frozenset[Equipment] = frozenset()
    avoid_joints: frozenset[Joint] = frozenset()
    exclude: frozenset[str] = frozenset()
    highest_impact: Impact = Impact.HIGH
    top_count: int | None = None
    exercises: int = 5
    minutes: float | None = None
    start: Start = Start.COLD
    rest: RestChoice = RestChoice()
    trained_hard: frozenset[Muscle] = frozenset()
    complaints: frozenset[Complaint] = frozenset()
    log: tuple[CircuitLog, ...] = ()
    alternative: int = 0

    def __post_init__(self) -> None:
        _check("the top count", self.top_count, 2, 20)
        _check("the number of exercises", self.exercises, 4, 8)
        _check("the time at hand (min)", self.minutes, 1, 600)
        _check("the number of the alternative", self.alternative, 0, 5)


@dataclass(frozen=True, slots=True)
class CircuitStation:
    """One exercise of a circuit.

    Parameters
    ----------
    exercise
        What is done.
    reps
        Reps round by round; of each side where ``exercise.sides`` says so.
    work_s
        Time of all its reps, both sides included, s.
    weight_kg
        Weight to take, if the log knows one; else None.
    reasons
        Why it was picked.
    """

    exercise: Exercise
    reps: tuple[int, ...]
    work_s: float
    weight_kg: float | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class TimedMove:
    """A move of the warm-up or the cool-down.

    Parameters
    ----------
    exercise
        What is done.
    seconds
        For how long, both sides included, s.
    """

    exercise: Exercise
    seconds: float


@dataclass(frozen=True, slots=True)
class Rest:
    """The rest between two rounds.

    Parameters
    ----------
    by
        Pulse or clock.
    expected_s
        How long it is taken to last in the time stated, s.
    at_most_s
        How long it may last, s.
    reserve, level_bpm
        By pulse: go on below this fraction of the reserve, and the same in bpm; else None.
    """

    by: RestBy
    expected_s: float
    at_most_s: float
    reserve: float | None = None
    level_bpm: float | None = None


@dataclass(frozen=True, slots=True)
class Circuit:
    """A descending-rep circuit: every exercise ``top_count`` times, then one rep fewer each round.

    Parameters
    ----------
    date
        The day it was written for.
    top_count
        Reps of the first round.
    full_top_count
        Top count it would have had but for lack of time.
    stations
        The exercises in order.
    warm_up, cool_down
        Moves before and after.
    rest
        The rest between rounds.
    change_s
        Time to walk from one exercise to the next, s.
    minutes, minutes_at_most
        Length with warm-up and cool-down, with rests as expected and with every rest at its longest, min.
    expected_rpe
        How hard it should feel, 0 to 10.
    load
        Expected session-RPE load, ``expected_rpe * minutes`` (Foster et al. 2001).
    reasons
        What decided it, and what to beware of.
    """

    date: dt.date
    top_count: int
    full_top_count: int
    stations: tuple[CircuitStation, ...]
    warm_up: tuple[TimedMove, ...]
    cool_down: tuple[TimedMove, ...]
    rest: Rest
    change_s: float
    minutes: float
    minutes_at_most: float
    expected_rpe: float
    load: float
    reasons: tuple[Reason, ...]

    @property
    def rounds(self) -> tuple[int, ...]:
        """Reps of each exercise, round by round."""
        return tuple(range(self.top_count, 0, -1))

    @property
    def total_reps(self) -> int:
        """Ladder counts of all exercises together; a rep of each side counts once."""
        return len(self.stations) * sum(self.rounds)

    @property
    def round_s(self) -> tuple[float, ...]:
        """Planned length of each round without the rest after it, s."""
        of_a_count = sum(station.exercise.seconds_of_a_count for station in self.stations)
        return tuple(reps * of_a_count + (len(self.stations) - 1) * self.change_s for reps in self.rounds)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the exercises in order."""
        return tuple(station.exercise.name for station in self.stations)
