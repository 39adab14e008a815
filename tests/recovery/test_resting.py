"""Logged resting pulses."""

import datetime as dt

import numpy as np
import pytest

from rideready.model.maximum import RestingSummary, SustainedPulse
from rideready.recovery.resting import resting_conflicts, summarise_resting

TODAY = dt.date(2026, 10, 1)


def log(values: dict[int, float]) -> dict[dt.date, float]:
    """Pulses by days ago."""
    return {TODAY - dt.timedelta(days=ago): bpm for ago, bpm in values.items()}


def codes(summary: RestingSummary) -> list[str]:
    return [reason.code for reason in summary.reasons]


def test_the_median_and_the_range_of_the_last_four_weeks() -> None:
    found = summarise_resting(log({0: 52, 3: 54, 9: 50, 20: 56, 27: 53, 28: 90, 60: 91}), TODAY)
    assert (found.median_bpm, found.low_bpm, found.high_bpm, found.n) == (53, 50, 56, 5)
    assert found.first_day == TODAY - dt.timedelta(days=27)
    assert found.reasons == ()


def test_days_to_come_and_empty_values_do_not_count() -> None:
    found = summarise_resting(log({-1: 90, 0: 52, 1: np.nan, 2: 54, 3: 53}), TODAY)
    assert (found.median_bpm, found.n) == (53, 3)


def test_two_pulses_are_too_few_for_a_median() -> None:
    found = summarise_resting(log({0: 52, 3: 54}), TODAY)
    assert (found.median_bpm, found.low_bpm, found.high_bpm, found.n) == (None, None, None, 2)
    assert codes(found) == ["rest.too_few"]


def test_an_empty_log_gives_an_empty_summary() -> None:
    found = summarise_resting({}, TODAY)
    assert (found.n, found.first_day, found.shift_bpm, found.has_shifted) == (0, None, None, False)


@pytest.mark.parametrize(("step", "code"), [(8.0, "rest.rose"), (-8.0, "rest.fell")])
def test_a_shift_of_the_last_two_weeks_is_called_by_its_direction(step: float, code: str) -> None:
    days = {ago: 52.0 + ago % 3 + (step if ago < 14 else 0.0) for ago in range(42)}
    found = summarise_resting(log(days), TODAY)
    assert found.has_shifted
    assert found.shift_bpm == pytest.approx(step)
    assert codes(found) == [code]
    assert f"{abs(step):.0f} bpm" in found.reasons[0].sentence


def test_a_shift_within_the_daily_variation_is_not_called() -> None:
    days = {ago: 52.0 + 3 * (ago % 3) + (1.0 if ago < 14 else 0.0) for ago in range(42)}
    found = summarise_resting(log(days), TODAY)
    assert found.shift_bpm == pytest.approx(1.0)
    assert not found.has_shifted
    assert found.reasons == ()


def summary(median: float) -> RestingSummary:
    return summarise_resting(log(dict.fromkeys(range(5), median)), TODAY)


@pytest.mark.parametrize(
    ("entered", "logged", "seen", "expected"),
    [
        (None, 60, 40, []),
        (54, 55, 56, []),
        (54, 57.9, None, []),
        (54, 58, None, ["rest.entered_differs"]),
        (60, 56, None, ["rest.entered_differs"]),
        (54, 54, 50.1, []),
        (54, 54, 50, ["rest.seen_lower"]),
        (60, 55, 52, ["rest.entered_differs", "rest.seen_lower"]),
    ],
)
def test_conflicts_with_log_and_recordings_are_shown(
    entered: float | None, logged: float, seen: float | None, expected: list[str]
) -> None:
    lowest = None if seen is None else SustainedPulse(seen, 0.5, 0.0)
    found = resting_conflicts(entered, summary(logged), lowest=lowest)
    assert [reason.code for reason in found] == expected


def test_too_few_logged_pulses_conflict_with_nothing() -> None:
    assert resting_conflicts(54, summarise_resting(log({0: 80}), TODAY)) == ()


def test_a_conflict_says_which_number_stays_in_use() -> None:
    (reason,) = resting_conflicts(54, summary(60))
    assert "median of the 5 you logged since 2026-09-27 is 60" in reason.sentence
    assert "Until you change it, 54 is used" in reason.sentence
