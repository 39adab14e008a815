"""Load and resting pulse of the same weeks."""

import datetime as dt

import numpy as np
import pytest

from rideready.recovery.same_weeks import same_weeks

MONDAY = dt.date(2026, 8, 24)
END = MONDAY + dt.timedelta(days=83)  # a Sunday, the last day of the twelfth week


def weekly(loads: list[float]) -> dict[dt.date, float]:
    """Date the loads of successive weeks, the last one ending on `END`."""
    return {MONDAY + dt.timedelta(weeks=12 - len(loads) + k): load for k, load in enumerate(loads)}


def daily(pulses: list[float]) -> dict[dt.date, float]:
    """Date the resting pulses of successive days, the last one on `END`."""
    return {END - dt.timedelta(days=len(pulses) - 1 - k): pulse for k, pulse in enumerate(pulses)}


@pytest.mark.parametrize(
    ("loads", "ratio", "jumped"),
    [
        ([300, 300, 300, 300, 450, 450], 1.5, True),
        ([300, 300, 300, 300, 380, 380], 1.267, False),
        ([300, 300, 300, 300, 150, 150], 0.5, False),
        ([0, 600, 0, 600, 390, 390], 1.3, True),
    ],
)
def test_a_jump_is_two_weeks_at_least_three_tenths_above_the_four_before(
    loads: list[float], ratio: float, *, jumped: bool
) -> None:
    found = same_weeks(END, weekly_load=weekly(loads))
    assert found.load_ratio == pytest.approx(ratio, abs=1e-3)
    assert found.load_jumped is jumped


def test_a_week_that_is_not_over_does_not_count() -> None:
    loads = weekly([300, 300, 300, 300, 450, 450]) | {END + dt.timedelta(days=1): 20.0}
    found = same_weeks(END + dt.timedelta(days=3), weekly_load=loads)
    assert found.load_ratio is not None
    assert found.load_ratio > 1.3


@pytest.mark.parametrize("loads", [[], [400], [300, 400], [0, 0, 0, 0, 300, 300]])
def test_without_usual_weeks_to_compare_with_there_is_no_ratio(loads: list[float]) -> None:
    assert same_weeks(END, weekly_load=weekly(loads)).load_ratio is None


@pytest.mark.parametrize(("shift", "shifted"), [(6.0, True), (-6.0, True), (2.5, False)])
def test_a_resting_pulse_that_leaves_its_own_variation_is_named(shift: float, *, shifted: bool) -> None:
    noise = np.tile([0.0, 1.0, -1.0, 0.5], 11)[:42]
    pulses = list(52 + noise + shift * (np.arange(42) >= 28))
    found = same_weeks(END, resting_pulse=daily(pulses))
    assert found.pulse_shift_bpm == pytest.approx(shift, abs=0.5)
    assert found.pulse_shifted is shifted


def test_an_unsteady_resting_pulse_has_to_shift_further() -> None:
    steady, unsteady = np.tile([-1.0, 1.0], 21), np.tile([-9.0, 9.0], 21)
    shift = 5.0 * (np.arange(42) >= 28)
    assert same_weeks(END, resting_pulse=daily(list(52 + steady + shift))).pulse_shifted
    assert not same_weeks(END, resting_pulse=daily(list(52 + unsteady + shift))).pulse_shifted


def test_two_pulses_are_too_few() -> None:
    found = same_weeks(END, resting_pulse=daily([52, 53]))
    assert found.pulse_shift_bpm is None
    assert not found.pulse_shifted


def test_what_came_after_the_last_session_is_not_looked_at() -> None:
    pulses = daily([52.0, 53.0] * 21)
    later = {END + dt.timedelta(days=k): 70.0 for k in range(1, 10)}
    assert same_weeks(END, resting_pulse=pulses | later) == same_weeks(END, resting_pulse=pulses)
