"""Counting beats in a recording: the integral, its error, and when there is none."""

import numpy as np
import pytest

from rideready.model.reason import because
from rideready.recovery.beat_count import LAG_SE_S, USUAL_LAG_S, count_beats
from tests.support.heart_rates import clean_signal

#: A pulse that falls from 150 by one beat a minute each second, from the stop at 50 s on.
RAMP = np.concatenate([np.full(50, 150.0), 150.0 - np.arange(100.0)])


def test_a_steady_pulse_gives_its_rate_times_the_minutes() -> None:
    counted = count_beats(clean_signal(np.full(200, 132.0)), 40.0, start_s=60.0, length_s=30.0, stop_se_s=2.0)
    assert counted.count is not None
    assert counted.count.beats == pytest.approx(66.0)
    assert counted.count.rate_bpm == pytest.approx(132.0)
    assert counted.count.se_beats == pytest.approx(0.0)
    assert counted.reason is None


def test_a_falling_pulse_is_integrated_from_the_lagged_window() -> None:
    counted = count_beats(clean_signal(RAMP), 50.0, start_s=2.5, length_s=60.0, stop_se_s=2.0)
    middle_s = 2.5 + USUAL_LAG_S + 30.0
    assert counted.count is not None
    # A line's integral is its value in the middle times the minutes.
    assert counted.count.beats == pytest.approx(150.0 - middle_s, abs=0.01)
    assert counted.count.start_s == 2.5


def test_an_unsure_stop_makes_the_count_unsure_by_the_beats_it_falls_per_second() -> None:
    counted = count_beats(clean_signal(RAMP), 50.0, start_s=2.5, length_s=60.0, stop_se_s=4.0)
    assert counted.per_second == pytest.approx(1.0)
    assert counted.count is not None
    assert counted.count.se_beats == pytest.approx(float(np.hypot(4.0, LAG_SE_S)), abs=0.05)


def test_noise_adds_to_the_error() -> None:
    rng = np.random.default_rng(1)
    noisy = count_beats(
        clean_signal(120.0 + 4.0 * rng.standard_normal(200)), 50.0, start_s=2.5, length_s=60.0, stop_se_s=0.0
    )
    assert noisy.count is not None
    assert noisy.own_se_beats > 1.0


def test_ten_missing_seconds_are_bridged_and_said() -> None:
    hr_bpm = RAMP.copy()
    hr_bpm[70:80] = np.nan
    counted = count_beats(clean_signal(hr_bpm), 50.0, start_s=2.5, length_s=60.0, stop_se_s=2.0)
    assert counted.count is not None
    assert counted.missing_s == 10
    assert counted.reason == because("fieldtest.small_hole", missing=10.0)


@pytest.mark.parametrize("missing", [11, 40])
def test_eleven_missing_seconds_leave_no_count(missing: int) -> None:
    hr_bpm = RAMP.copy()
    hr_bpm[70 : 70 + missing] = np.nan
    counted = count_beats(clean_signal(hr_bpm), 50.0, start_s=2.5, length_s=60.0, stop_se_s=2.0)
    assert counted.count is None
    assert counted.reason == because("fieldtest.hole", missing=float(missing), length=60.0, start=2.5)


def test_a_bridged_hole_leaves_the_count_of_a_line_and_widens_its_error() -> None:
    hr_bpm = RAMP.copy()
    hr_bpm[80:90] = np.nan
    whole, bridged = (
        count_beats(clean_signal(values), 50.0, start_s=2.5, length_s=60.0, stop_se_s=2.0)
        for values in (RAMP, hr_bpm)
    )
    assert whole.count is not None
    assert bridged.count is not None
    assert bridged.count.beats == pytest.approx(whole.count.beats, abs=0.01)
    # A bridge is unsure by 3 bpm: half a beat in 10 s.
    assert bridged.own_se_beats == pytest.approx(float(np.hypot(whole.own_se_beats, 0.5)), abs=0.05)


def test_a_hole_at_the_edge_of_the_window_is_bridged_from_beyond_it() -> None:
    hr_bpm = RAMP.copy()
    hr_bpm[112:120] = np.nan  # the window ends at 115.5
    counted = count_beats(clean_signal(hr_bpm), 50.0, start_s=2.5, length_s=60.0, stop_se_s=2.0)
    assert counted.count is not None
    assert counted.missing_s == 4


def test_a_recording_that_ends_too_early_says_by_how_much() -> None:
    counted = count_beats(clean_signal(RAMP[:105]), 50.0, start_s=2.5, length_s=60.0, stop_se_s=2.0)
    assert counted.count is None
    assert counted.reason is not None
    # 50 + 2.5 + 60 and the lag of 3 s are 115.5; the last second is 104.
    assert dict(counted.reason.values)["short"] == 12
