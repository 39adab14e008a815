"""A test beside earlier ones. Detectable changes by hand; false alarms by simulation."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import t as student

from rideready.model.fieldtest import Counting, FieldTest, FieldTestResult, Figure, Measure
from rideready.model.fieldtest_history import DatedResult, Direction, HistoryComparison
from rideready.recovery.fieldtest_history import compare_with_earlier

FIRST = dt.date(2026, 9, 1)


def dated(
    value: float, week: int, *, half: float | None = None, measure: Measure = Measure.DROP_60
) -> DatedResult:
    """Return a ride test of one week, with an interval of ``half`` either way."""
    ends = (None, None) if half is None else (value - half, value + half)
    result = FieldTestResult(FieldTest.RIDE, Counting.RECORDING, (Figure(measure, value, *ends),))
    return DatedResult(FIRST + dt.timedelta(weeks=week), result)


def history(*values: float, measure: Measure = Measure.DROP_60) -> list[DatedResult]:
    return [dated(value, week, measure=measure) for week, value in enumerate(values)]


def compared(now: float, *before: float, known_error: float | None = None) -> HistoryComparison:
    return compare_with_earlier(dated(now, 50), history(*before), known_error=known_error)


def codes(found: HistoryComparison) -> list[str]:
    return [reason.code for reason in found.reasons]


def test_the_first_test_has_nothing_to_compare_with() -> None:
    found = compared(40)
    assert (found.from_last, found.from_usual, found.n_earlier) == (None, None, 0)
    assert codes(found) == ["fieldtest.first_one"]


def test_a_known_typical_error_gives_its_detectable_change_against_the_last_test() -> None:
    # TE 3.0: MDC 8.316 between two single tests (Hopkins 2000).
    found = compared(48.4, 40, known_error=3.0)
    assert found.from_last is not None
    assert found.from_last.detectable == pytest.approx(8.316, abs=5e-4)
    assert found.from_last.direction is Direction.UP
    assert compared(48.2, 40, known_error=3.0).from_last == replace(
        found.from_last, now=48.2, direction=Direction.NO_CLEAR_CHANGE
    )


def test_a_fall_is_told_from_a_rise() -> None:
    found = compared(31, 40, known_error=3.0)
    assert found.from_last is not None
    assert found.from_last.direction is Direction.DOWN
    assert found.from_last.change == -9


def test_against_the_median_of_several_less_change_is_needed() -> None:
    found = compared(47, 40, 41, 39, 40, 40, 41, known_error=3.0)
    assert found.from_last is not None
    assert found.from_usual is not None
    assert found.from_usual.before == 40
    # The median of 6 varies like the mean of 12 / pi: 8.316 * sqrt((1 + pi / 12) / 2).
    assert found.from_usual.detectable == pytest.approx(8.316 * np.sqrt((1 + np.pi / 12) / 2), abs=1e-3)
    assert found.from_usual.direction is Direction.UP
    assert found.from_last.direction is Direction.NO_CLEAR_CHANGE
    assert found.from_usual.since == FIRST


def test_the_riders_own_error_comes_from_steps_and_few_steps_need_a_larger_change() -> None:
    found = compared(60, 30, 32, 31, 35, 33)
    steps = np.diff([30, 32, 31, 35, 33])
    error = steps.std(ddof=1) / np.sqrt(2)
    assert found.typical_error == pytest.approx(error)
    assert found.from_last is not None
    assert found.from_last.detectable == pytest.approx(student.ppf(0.975, 3) * np.sqrt(2) * error)


def test_a_steady_gain_does_not_count_as_error() -> None:
    assert compared(40, 30, 32, 34, 36).typical_error == pytest.approx(0.0)


def test_before_four_tests_no_direction_is_given() -> None:
    found = compared(60, 30, 32, 31)
    assert found.typical_error is None
    assert found.from_usual is not None
    assert found.from_usual.direction is Direction.NOT_YET
    assert found.from_usual.detectable is None
    assert codes(found) == ["fieldtest.error_unknown"]


def false_alarms(n_earlier: int, *, trials: int = 400) -> float:
    rng = np.random.default_rng(n_earlier)
    called = 0
    for _ in range(trials):
        *before, now = rng.normal(40, 4, n_earlier + 1)
        found = compared(float(now), *before)
        assert found.from_usual is not None
        called += found.from_usual.direction in {Direction.UP, Direction.DOWN}
    return called / trials


@pytest.mark.parametrize("n_earlier", [4, 8])
def test_without_any_change_at_most_one_in_twenty_is_called(n_earlier: int) -> None:
    # 400 trials at 5 % have a standard error of 1.1 %; over 40,000 the rates were 3.5 and 4.4 %.
    assert 0.005 < false_alarms(n_earlier) < 0.05 + 2 * 0.011


def test_only_tests_of_the_same_kind_and_an_earlier_day_are_looked_at() -> None:
    other_kind = DatedResult(FIRST, replace(dated(90, 0).result, test=FieldTest.BURSTS))
    other_measure = dated(90, 0, measure=Measure.DROP_45)
    nothing = DatedResult(FIRST, replace(dated(90, 0).result, figures=()))
    found = compare_with_earlier(
        dated(40, 2), [other_kind, other_measure, nothing, dated(90, 3), dated(90, 2), dated(38, 1)]
    )
    assert found.n_earlier == 1
    assert found.from_last is not None
    assert found.from_last.before == 38


def test_earlier_tests_in_any_order_are_put_in_order() -> None:
    found = compare_with_earlier(dated(40, 9), [dated(33, 5), dated(31, 1), dated(32, 3)])
    assert found.from_last is not None
    assert found.from_last.before == 33


def test_a_test_without_a_figure_hands_on_its_own_reasons() -> None:
    nothing = DatedResult(FIRST, FieldTestResult(FieldTest.RIDE, Counting.RECORDING, ()))
    found = compare_with_earlier(nothing, history(40, 41))
    assert (found.measure, found.from_last) == (None, None)


def off_protocol(one: DatedResult) -> DatedResult:
    return replace(one, result=replace(one.result, was_by_protocol=False))


def test_tests_off_the_protocol_are_left_out_and_said() -> None:
    found = compare_with_earlier(off_protocol(dated(40, 9)), [dated(33, 5), off_protocol(dated(60, 6))])
    assert found.n_earlier == 1
    assert {"fieldtest.off_protocol_now", "fieldtest.off_protocol_before"} <= set(codes(found))


def test_another_way_of_counting_and_another_recorder_are_said() -> None:
    by_hand = DatedResult(FIRST, replace(dated(40, 0).result, counting=Counting.BY_HAND))
    found = compare_with_earlier(
        replace(dated(40, 9), device="strap"), [by_hand, replace(dated(41, 1), device="wrist")]
    )
    assert {"fieldtest.counting_differs", "fieldtest.device_differs"} <= set(codes(found))
    alike = compare_with_earlier(
        replace(dated(40, 9), device="strap"), [replace(dated(41, 1), device="strap")]
    )
    assert not {"fieldtest.counting_differs", "fieldtest.device_differs"} & set(codes(alike))


@pytest.mark.parametrize(
    ("measure", "now", "code"),
    [
        (Measure.DROP_60, 60, "fieldtest.overreaching"),
        (Measure.DROP_60, 20, "fieldtest.slower_caution"),
        (Measure.MINUTE_COUNT, 20, "fieldtest.overreaching"),  # fewer beats are better
        (Measure.MINUTE_COUNT, 60, "fieldtest.slower_caution"),
    ],
)
def test_a_clear_change_comes_with_its_caution(measure: Measure, now: float, code: str) -> None:
    earlier: Sequence[DatedResult] = history(40, 41, 39, 40, measure=measure)
    found = compare_with_earlier(dated(now, 50, measure=measure), earlier)
    assert codes(found)[:2] == ["fieldtest.changed", code]


def test_no_clear_change_says_what_would_have_stood_out() -> None:
    found = compared(41, 40, 42, 39, 40)
    assert codes(found) == ["fieldtest.not_changed"]
    assert (
        "Drop in 60 s: 41 bpm now, 40 bpm as the middle of your 4 earlier tests" in found.reasons[0].sentence
    )


def test_a_difference_smaller_than_the_reading_errors_is_said_while_nothing_else_is_known() -> None:
    near = compare_with_earlier(dated(43, 2, half=4), [dated(40, 1, half=4)])
    far = compare_with_earlier(dated(46, 2, half=4), [dated(40, 1, half=4)])
    unknown = compare_with_earlier(dated(40.5, 2), [dated(40, 1, half=4)])
    assert "fieldtest.within_measuring_error" in codes(near)
    assert "fieldtest.within_measuring_error" not in codes(far)
    assert "fieldtest.within_measuring_error" not in codes(unknown)
