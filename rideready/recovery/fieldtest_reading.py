"""Score a step test from a recording: find the stop, count the beats, put the figure beside the norms."""

from dataclasses import replace

import numpy as np

from rideready.model.clean import CleanSignal
from rideready.model.fieldtest import Counting, FieldTest, FieldTestResult, Figure, Measure
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.recovery.beat_count import LAG_SE_S, RecordedCount, count_beats
from rideready.recovery.fieldtests import check_stepped
from rideready.recovery.step_formulas import (
    HARVARD_COUNTS_S,
    HARVARD_FULL_S,
    QUEENS_COUNT_S,
    YMCA_COUNT_S,
    harvard_index,
)
from rideready.recovery.step_results import Taken, harvard_result, queens_college_result, ymca_result
from rideready.recovery.stepping import KEPT_WITHIN_S, Asked, Stepping, find_stepping

#: What each step test asks of the stepping.
ASKED = {
    FieldTest.HARVARD: Asked(HARVARD_FULL_S, 30.0, 330.0, is_hard=True),
    FieldTest.YMCA: Asked(180.0, 150.0, 210.0, is_hard=False),
    FieldTest.QUEENS_COLLEGE: Asked(180.0, 150.0, 210.0, is_hard=False),
}
#: When each counts: begin after the stop and length, s.
COUNTS_S = {
    FieldTest.HARVARD: HARVARD_COUNTS_S,
    FieldTest.YMCA: (YMCA_COUNT_S,),
    FieldTest.QUEENS_COLLEGE: (QUEENS_COUNT_S,),
}
#: A stop less clear than this is said to be unclear, s.
UNCLEAR_S = 5.0
_Z95 = 1.96


def read_step_test(
    signal: CleanSignal,
    test: FieldTest,
    rider: Rider,
    *,
    stop_s: float | None = None,
    stepped_s: float | None = None,
) -> FieldTestResult:
    """Score a step test from a recording.

    Parameters
    ----------
    signal
        Clean signal of the session, from `rideready.signal.clean.clean`.
    test
        Which step test: Harvard, YMCA or Queens College.
    rider
        Whose test; age and sex choose norms and equation.
    stop_s
        Where the stepping stopped, s from the start of the session, if the rider says so.
    stepped_s
        How long it lasted, s, if the rider says so; only the Harvard index needs it.

    Returns
    -------
    FieldTestResult
        Figures with 95 % intervals; none, with reasons, where the stop or the count cannot be had.

    Raises
    ------
    ValueError
        If the test is not a step test.
    BadInput
        If the stop given lies outside the recording, or the length cannot be meant.
    """
    if test not in ASKED:
        raise ValueError(f"{test.label} is not a step test")
    if stepped_s is not None:
        check_stepped(stepped_s)
    found = find_stepping(signal, ASKED[test], stop_s=stop_s)
    if not isinstance(found, Stepping):
        return _nothing(test, (found,))
    counts = [
        count_beats(signal, found.stop_s, start_s=start, length_s=length, stop_se_s=found.stop_se_s)
        for start, length in COUNTS_S[test]
    ]
    reasons = [*found.reasons, *(c.reason for c in counts if c.reason is not None)]
    reasons += _unclear(found, counts)
    counted = tuple(c.count for c in counts if c.count is not None)
    taken = Taken(Counting.RECORDING, found.stop_s, found.was_as_asked, tuple(dict.fromkeys(reasons)))
    if len(counted) < len(counts):
        nothing = _nothing(test, taken.reasons)
        return replace(nothing, counts=counted, stop_s=found.stop_s)
    if test is FieldTest.HARVARD:
        return _harvard(found, counts, rider, taken, stepped_s)
    (count,) = counted
    if test is FieldTest.YMCA:
        figure = _with_error(Measure.MINUTE_COUNT, count.beats, count.se_beats or 0.0)
        return ymca_result(figure, counted, rider, taken)
    per_minute = 60.0 / count.length_s
    figure = _with_error(Measure.RECOVERY_PULSE, count.rate_bpm, per_minute * (count.se_beats or 0.0))
    return queens_college_result(figure, counted, rider, taken)


def _harvard(
    found: Stepping, counts: list[RecordedCount], rider: Rider, taken: Taken, stepped_s: float | None
) -> FieldTestResult:
    """Return the index with its error: from the stepping's length, the place of the counts and their own."""
    counted = tuple(c.count for c in counts if c.count is not None)
    seconds, seconds_se = _length(found, stepped_s)
    if seconds is None:
        nothing = _nothing(FieldTest.HARVARD, (*taken.reasons, because("fieldtest.length_unknown")))
        return replace(nothing, counts=counted, stop_s=found.stop_s)
    index = harvard_index(seconds, [count.beats for count in counted])
    total = sum(count.beats for count in counted)
    # All counts move together with the stop and the lag; their own errors do not.
    from_place = sum(c.per_second for c in counts) * float(np.hypot(found.stop_se_s, LAG_SE_S))
    own = sum(c.own_se_beats**2 for c in counts)
    relative = np.sqrt((seconds_se / seconds) ** 2 + (from_place**2 + own) / total**2)
    if seconds < HARVARD_FULL_S:
        early = because("fieldtest.stopped_early", seconds=seconds, full=HARVARD_FULL_S)
        taken = replace(taken, reasons=(*taken.reasons, early))
    return harvard_result(
        _with_error(Measure.FITNESS_INDEX, index, index * float(relative)), counted, rider, taken
    )


def _length(found: Stepping, stepped_s: float | None) -> tuple[float | None, float]:
    """Return how long the stepping lasted and its standard error, s; the full length where it was kept."""
    if stepped_s is not None:
        return stepped_s, 0.0
    if found.lasted_s is None or found.lasted_se_s is None:
        return None, 0.0
    if abs(found.lasted_s - HARVARD_FULL_S) <= KEPT_WITHIN_S:
        return HARVARD_FULL_S, 0.0
    return min(found.lasted_s, HARVARD_FULL_S), found.lasted_se_s


def _unclear(found: Stepping, counts: list[RecordedCount]) -> list[Reason]:
    if found.stop_se_s <= UNCLEAR_S:
        return []
    worst = max(abs(c.per_second) for c in counts)
    return [because("fieldtest.stop_unclear", se_s=found.stop_se_s, se_beats=worst * found.stop_se_s)]


def _with_error(measure: Measure, value: float, se: float) -> Figure:
    return Figure(measure, value, value - _Z95 * se, value + _Z95 * se)


def _nothing(test: FieldTest, reasons: tuple[Reason, ...]) -> FieldTestResult:
    return FieldTestResult(test, Counting.RECORDING, (), was_by_protocol=False, reasons=reasons)
