"""A circuit as it was recorded, beside the circuit as it was written."""

from dataclasses import dataclass
from statistics import median

from rideready.model.circuit import RestRecoveries
from rideready.model.reason import Reason


@dataclass(frozen=True, slots=True)
class RoundMatch:
    """One round in a recording.

    Parameters
    ----------
    reps
        Reps of each exercise it stands for.
    start_s, end_s
        Where the pulse begins to rise and where it peaks, s from the start of the session.
    planned_s
        How long it was planned to be, s.
    peak_bpm
        Heart rate at its end, bpm.
    rest_s
        Time until the next round, s; None after the last.
    drop_bpm
        How far the pulse fell in that rest, bpm; None after the last.
    settle_s
        Time into the rest until the pulse was down to the rest level, s; None if it did not get there
        before the next round, if there is no level, and after the last.
    """

    reps: int
    start_s: float
    end_s: float
    planned_s: float
    peak_bpm: float
    rest_s: float | None
    drop_bpm: float | None
    settle_s: float | None


@dataclass(frozen=True, slots=True)
class CircuitMatch:
    """A recording matched to its circuit. None means not measurable; ``reasons`` say why.

    Parameters
    ----------
    start_s, end_s
        Where the circuit begins and ends, warm-up and cool-down left out, s from the start of the session.
    planned_minutes, minutes
        Its planned and its real length, from the first rep to the last, min.
    rounds
        The rounds, first to last; empty if they cannot be told apart.
    level_bpm
        Rest level, bpm; None if there is none.
    floor_bpm
        Pulse floor, bpm; None if there is none.
    share_above_floor
        Share of the circuit's clean seconds at or above the floor, rests included, 0 to 1.
    clean_share
        Share of the circuit's seconds with a trustworthy heart rate, 0 to 1.
    reasons
        What could not be told, and what to beware of.
    """

    start_s: float | None
    end_s: float | None
    planned_minutes: float
    minutes: float | None
    rounds: tuple[RoundMatch, ...]
    level_bpm: float | None
    floor_bpm: float | None
    share_above_floor: float | None
    clean_share: float
    reasons: tuple[Reason, ...]

    @property
    def recoveries(self) -> RestRecoveries | None:
        """How the pulse came down in the rests, for the log; None without rounds or without a level."""
        rests = [each for each in self.rounds if each.rest_s is not None]
        if not rests or self.level_bpm is None:
            return None
        settled = sum(each.settle_s is not None for each in rests) / len(rests)
        return RestRecoveries(settled, float(median(each.rest_s or 0.0 for each in rests)))
