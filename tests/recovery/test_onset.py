"""The start of a rise."""

import numpy as np
import pytest

from rideready.recovery.onset import find_onset
from tests.support.falls import ar1_noise


def rise(start: int, *, seed: int, height: float = 60.0, tau_s: float = 30.0) -> np.ndarray:
    t_s = np.arange(300.0)
    curve = 75.0 + height * (1 - np.exp(-np.maximum(t_s - start, 0.0) / tau_s))
    noise = ar1_noise(np.random.default_rng(seed), t_s, sd_bpm=1.5, phi=0.8)
    return np.asarray(np.round(curve + noise))


def test_the_start_of_a_rise_is_found_and_its_error_is_honest() -> None:
    found = [find_onset(rise(90, seed=seed), earliest_s=30, latest_s=150, until_s=280) for seed in range(12)]
    errors = np.array([f.at_s - 90 for f in found if f is not None])
    scores = np.array([(f.at_s - 90) / np.hypot(f.se_s, 0.5) for f in found if f is not None])
    assert errors.size == 12
    assert np.abs(errors).max() < 6
    assert abs(errors.mean()) < 1.5
    assert np.mean(np.abs(scores) < 1.96) >= 0.8


@pytest.mark.parametrize("height", [0.0, 6.0])
def test_a_pulse_that_hardly_rises_has_no_start(height: float) -> None:
    assert find_onset(rise(90, seed=3, height=height), earliest_s=30, latest_s=150, until_s=280) is None


def test_a_start_before_the_recording_is_not_invented() -> None:
    assert find_onset(rise(0, seed=4), earliest_s=0, latest_s=120, until_s=280) is None


def test_a_start_whose_quiet_was_not_recorded_is_not_invented() -> None:
    hr_bpm = rise(90, seed=5)
    hr_bpm[:92] = np.nan
    assert find_onset(hr_bpm, earliest_s=30, latest_s=150, until_s=280) is None


def test_a_hole_in_the_rise_is_stepped_over() -> None:
    hr_bpm = rise(90, seed=6)
    hr_bpm[120:135] = np.nan
    found = find_onset(hr_bpm, earliest_s=30, latest_s=150, until_s=280)
    assert found is not None
    assert found.at_s == pytest.approx(90, abs=5)
