"""What came out of a field test."""

from dataclasses import dataclass
from enum import StrEnum

from rideready.model.reason import Reason


class FieldTest(StrEnum):
    """The tests this program knows, by the word to type."""

    HARVARD = "harvard"
    YMCA = "ymca"
    QUEENS_COLLEGE = "queens-college"
    BURSTS = "bursts"
    RIDE = "ride"

    @property
    def label(self) -> str:
        """The test as the literature calls it; ours by a plain name."""
        return _LABELS[self]


_LABELS = {
    FieldTest.HARVARD: "Harvard step test",
    FieldTest.YMCA: "YMCA 3-minute step test",
    FieldTest.QUEENS_COLLEGE: "Queens College step test",
    FieldTest.BURSTS: "Repeat-burst test",
    FieldTest.RIDE: "Submaximal ride test",
}


class Counting(StrEnum):
    """How the pulse was taken."""

    BY_HAND = "by hand"
    RECORDING = "from a recording"


class Measure(StrEnum):
    """What a figure of a test is."""

    FITNESS_INDEX = "fitness index"
    MINUTE_COUNT = "beats in the minute after"
    RECOVERY_PULSE = "pulse 5 to 20 s after"
    OXYGEN_UPTAKE = "maximal oxygen uptake"
    DROP_45 = "median drop in 45 s"
    DROP_45_CHANGE = "change of the drop from burst to burst"
    START_PULSE = "pulse at the start of a burst"
    DROP_60 = "drop in 60 s"

    @property
    def unit(self) -> str:
        """Unit, empty for a pure number."""
        return _UNITS[self]

    @property
    def fitter_is(self) -> int:
        """Say which way goes with more fitness: 1 for more, -1 for less.

        No proof of it: a pulse falls further in overreaching too.
        """
        return -1 if self in {Measure.MINUTE_COUNT, Measure.RECOVERY_PULSE, Measure.START_PULSE} else 1


_UNITS = {
    Measure.FITNESS_INDEX: "",
    Measure.MINUTE_COUNT: "beats",
    Measure.RECOVERY_PULSE: "bpm",
    Measure.OXYGEN_UPTAKE: "ml/kg/min",
    Measure.DROP_45: "bpm",
    Measure.DROP_45_CHANGE: "bpm a burst",
    Measure.START_PULSE: "bpm",
    Measure.DROP_60: "bpm",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a test.

    Parameters
    ----------
    measure
        What it is; the unit goes with it.
    value
        The figure.
    low, high
        Ends of its 95 % interval; None where its error is not known, as for pulse counted by hand.
    """

    measure: Measure
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class PulseCount:
    """Beats counted over a stretch after the stop.

    Parameters
    ----------
    start_s, length_s
        Begin of the stretch, s after the stop, and its length, s.
    beats
        How many; whole by hand, a fraction from a recording.
    se_beats
        Standard error; None by hand.
    """

    start_s: float
    length_s: float
    beats: float
    se_beats: float | None = None

    @property
    def rate_bpm(self) -> float:
        """Mean heart rate over the stretch, bpm."""
        return 60.0 * self.beats / self.length_s


@dataclass(frozen=True, slots=True)
class BandReading:
    """Where a figure lies in one published table.

    Parameters
    ----------
    source
        The table, as author and year.
    label
        Its word for the band.
    could_be
        Every band within the figure's 95 % interval, best first; ``label`` alone if the figure is exact.
    is_chosen
        Whether this program goes by it, where several tables conflict.
    notes
        What the reader should know of this reading, such as a count between two bands.
    """

    source: str
    label: str
    could_be: tuple[str, ...]
    is_chosen: bool = True
    notes: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Burst:
    """One burst of the repeat-burst test.

    Parameters
    ----------
    order
        1 for the first; a burst that left no trace in the pulse leaves a number out.
    end_s
        Where it ended, s from the start of the session.
    start_bpm
        Heart rate as it began, bpm; None if it was not recorded.
    peak_bpm
        Heart rate as it ended, bpm.
    hrr45_bpm, hrr45_se_bpm
        Drop 45 s later and its standard error, bpm; None if it could not be read.
    """

    order: int
    end_s: float
    start_bpm: float | None
    peak_bpm: float
    hrr45_bpm: float | None
    hrr45_se_bpm: float | None


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the submaximal ride test, its first minute left out.

    Parameters
    ----------
    share_of_maximum, target_bpm
        What it asks for, fraction of the maximum and bpm.
    held_bpm
        Median heart rate, bpm; None if less than half of it was recorded.
    share_within
        Share of its recorded seconds within 2 bpm of the target, 0 to 1; None likewise.
    is_held
        Whether the median lies within 2 bpm of the target.
    power_w
        Mean power, W; None if not recorded.
    """

    share_of_maximum: float
    target_bpm: float
    held_bpm: float | None
    share_within: float | None
    is_held: bool
    power_w: float | None


@dataclass(frozen=True, slots=True)
class FieldTestResult:
    """What one field test says.

    Parameters
    ----------
    test, counting
        Which test, and how the pulse was taken.
    figures
        The main one first; empty if nothing could be measured, and ``reasons`` say why.
    bands
        Readings in published tables, the chosen one first; empty where none applies.
    counts, bursts, stages
        What the figures rest on.
    stop_s
        Where the effort ended, s from the start of the session; None by hand.
    was_by_protocol
        Whether nothing showed that differs from the protocol; only such tests compare well.
    reasons
        What limits the figures, and what to beware of.
    """

    test: FieldTest
    counting: Counting
    figures: tuple[Figure, ...]
    bands: tuple[BandReading, ...] = ()
    counts: tuple[PulseCount, ...] = ()
    bursts: tuple[Burst, ...] = ()
    stages: tuple[Stage, ...] = ()
    stop_s: float | None = None
    was_by_protocol: bool = True
    reasons: tuple[Reason, ...] = ()

    @property
    def main(self) -> Figure | None:
        """The figure that stands for the test; None if it could not be measured."""
        return self.figures[0] if self.figures else None
