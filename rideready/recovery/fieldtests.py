"""Score a step test whose pulse was counted by hand."""

from collections.abc import Sequence
from itertools import pairwise

from rideready.errors import BadInput
from rideready.model.fieldtest import FieldTestResult, Figure, Measure, PulseCount
from rideready.model.reason import because
from rideready.model.rider import Rider
from rideready.recovery.step_formulas import (
    HARVARD_COUNTS_S,
    HARVARD_FULL_S,
    QUEENS_COUNT_S,
    YMCA_COUNT_S,
    harvard_index,
    harvard_short_index,
)
from rideready.recovery.step_results import Taken, harvard_result, queens_college_result, ymca_result

#: Pulse rates a person can have in these counts, bpm.
_SLOWEST_BPM, _FASTEST_BPM = 40.0, 220.0
#: The shortest stepping that says anything, s (ours).
_LEAST_STEPPING_S = 30.0
_BY_HAND = Taken()


def score_harvard(seconds: float, counts: Sequence[float], rider: Rider) -> FieldTestResult:
    """Score a Harvard step test counted by hand.

    Parameters
    ----------
    seconds
        How long the stepping lasted, s, 30 to 300.
    counts
        Shape (3,) for the full test, (1,) for its short form: beats in 30 s from 60 (120, 180) s after the stop.
    rider
        Whose test.

    Returns
    -------
    FieldTestResult
        Index and its bands by both published tables.

    Raises
    ------
    BadInput
        If a number cannot be meant.

    References
    ----------
    Brouha 1943, Res Q 14:31-36.
    """
    if len(counts) not in {1, 3}:
        raise BadInput(
            f"{len(counts)} counts were given",
            "Harvard step test",
            "Give three counts of 30 s, or the first alone for the short form",
        )
    check_stepped(seconds)
    spans = HARVARD_COUNTS_S[: len(counts)]
    taken = tuple(
        _counted("Harvard step test", start, length, beats)
        for (start, length), beats in zip(spans, counts, strict=True)
    )
    index = (
        harvard_index(seconds, counts) if len(counts) == 3 else harvard_short_index(seconds, float(counts[0]))
    )
    reasons = []
    if seconds < HARVARD_FULL_S:
        reasons.append(because("fieldtest.stopped_early", seconds=seconds, full=HARVARD_FULL_S))
    if any(later > earlier for earlier, later in pairwise(counts)):
        reasons.append(because("fieldtest.counts_rise"))
    figure = Figure(Measure.FITNESS_INDEX, index)
    return harvard_result(figure, taken, rider, Taken(reasons=tuple(reasons)))


def check_stepped(seconds: float) -> None:
    """Refuse a length of stepping, s, that the Harvard test cannot have; raises `BadInput`."""
    if not _LEAST_STEPPING_S <= seconds <= HARVARD_FULL_S:
        raise BadInput(
            f"it cannot have lasted {seconds:g} s",
            "Harvard step test",
            "Give the seconds you stepped, 30 to 300; the test ends at 300",
        )


def score_ymca(beats: float, rider: Rider) -> FieldTestResult:
    """Score a YMCA 3-minute step test counted by hand.

    Parameters
    ----------
    beats
        Beats in the minute after, from at most 5 s after the stop.
    rider
        Age and sex choose the column of the norms; without them there is a count and no band.

    Returns
    -------
    FieldTestResult
        Count and band; a count in a gap of the table says so.

    Raises
    ------
    BadInput
        If the count cannot be meant.

    References
    ----------
    Golding 2000, YMCA Fitness Testing and Assessment Manual, 4th ed.
    """
    count = _counted("YMCA step test", *YMCA_COUNT_S, beats)
    return ymca_result(Figure(Measure.MINUTE_COUNT, beats), (count,), rider, _BY_HAND)


def score_queens_college(count_15_s: float, rider: Rider) -> FieldTestResult:
    """Score a Queens College step test counted by hand.

    Parameters
    ----------
    count_15_s
        Beats 5 to 20 s after the stop.
    rider
        Sex chooses the equation; without it there is a pulse and no oxygen uptake.

    Returns
    -------
    FieldTestResult
        Oxygen uptake with its error of 16 % either way, and the pulse it comes from.

    Raises
    ------
    BadInput
        If the count cannot be meant.

    References
    ----------
    McArdle, Katch, Pechar, Jacobson, Ruck 1972, Med Sci Sports 4:182-6.
    """
    count = _counted("Queens College step test", *QUEENS_COUNT_S, count_15_s)
    return queens_college_result(Figure(Measure.RECOVERY_PULSE, count.rate_bpm), (count,), rider, _BY_HAND)


def _counted(test: str, start_s: float, length_s: float, beats: float) -> PulseCount:
    """Return a count by hand, or say why it cannot be one."""
    least, most = _SLOWEST_BPM * length_s / 60, _FASTEST_BPM * length_s / 60
    if not least <= beats <= most:
        raise BadInput(
            f"{beats:g} beats in {length_s:g} s cannot be meant",
            test,
            f"Give the beats you counted, {least:.0f} to {most:.0f}",
        )
    return PulseCount(start_s, length_s, float(beats))
