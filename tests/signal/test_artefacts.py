"""Each kind of bad sample is found with its reason, and honest work is left alone."""

import numpy as np
import pytest

from rideready.model.clean import Flag
from rideready.model.session import FloatArray
from rideready.signal.artefacts import flag_samples


def steady(n: int = 120, *, seed: int = 1) -> FloatArray:
    """Steady work at 140 bpm with whole-bpm noise."""
    return np.round(140 + np.random.default_rng(seed).normal(0, 1.2, n))


@pytest.mark.parametrize("value", [np.nan, 0.0, 255.0])
def test_nan_zero_and_the_invalid_byte_are_absent(value: float) -> None:
    hr = steady()
    hr[50:53] = value
    flags = flag_samples(np.arange(120.0), hr)
    assert (flags[50:53] == Flag.ABSENT).all()
    assert (np.delete(flags, [50, 51, 52]) == Flag.OK).all()


@pytest.mark.parametrize("value", [24.0, 241.0])
def test_values_outside_25_to_240_bpm_are_implausible(value: float) -> None:
    hr = steady()
    hr[60] = value
    assert flag_samples(np.arange(120.0), hr)[60] == Flag.IMPLAUSIBLE


def test_the_limits_themselves_are_plausible() -> None:
    assert (flag_samples(np.arange(2.0), np.array([25.0, 240.0])) == Flag.OK).all()


def test_a_jump_of_two_seconds_is_a_spike() -> None:
    hr = steady()
    hr[70:72] = 180
    flags = flag_samples(np.arange(120.0), hr)
    assert (flags[70:72] == Flag.SPIKE).all()
    assert np.count_nonzero(flags) == 2


def test_the_worked_hampel_window_flags_its_outlier_only() -> None:
    # Hampel 1974, J Am Stat Assoc 69:383-393; window worked by hand: median 123, MAD 2, limit 8.9.
    hr = np.array([120.0, 121, 122, 180, 123, 124, 125])
    flags = flag_samples(np.arange(7.0), hr)
    assert flags[3] == Flag.SPIKE
    assert np.count_nonzero(flags) == 1


def test_a_fast_honest_fall_is_no_spike_and_no_dropout() -> None:
    # The fastest published mean fall, supine with legs up: tau 28.5 s (Barak et al. 2011), from 185 to 79.
    t = np.arange(90.0)
    hr = np.round(79 + 106 * np.exp(-t / 28.5))
    assert (flag_samples(t, hr) == Flag.OK).all()


def test_a_stretch_between_two_opposite_breaks_is_a_dropout() -> None:
    hr = steady()
    hr[40:60] = 85 + np.arange(20) % 3
    flags = flag_samples(np.arange(120.0), hr)
    assert (flags[40:60] == Flag.DROPOUT).all()
    assert (flags[:37] == Flag.OK).all()
    assert (flags[63:] == Flag.OK).all()


def test_a_break_without_return_is_flagged_on_both_sides() -> None:
    hr = np.concatenate([steady(60), steady(60, seed=2) - 40])
    flags = flag_samples(np.arange(120.0), hr)
    assert (flags[57:63] == Flag.DROPOUT).all()
    assert np.count_nonzero(flags) <= 8


def test_one_value_for_half_a_minute_is_stuck_in_a_lively_recording() -> None:
    hr = steady()
    hr[40:80] = 141
    flags = flag_samples(np.arange(120.0), hr)
    assert (flags[45:79] == Flag.STUCK).all()
    assert (flags[:39] == Flag.OK).all()


def test_a_smoothed_recording_that_often_holds_a_value_is_not_stuck() -> None:
    hr = np.repeat(140.0 + np.array([0, 1, 2, 1, 0, -1] * 3), 18)
    assert (flag_samples(np.arange(float(hr.size)), hr) == Flag.OK).all()


def test_sparse_samples_are_no_witnesses_against_their_neighbours() -> None:
    t = 10.0 * np.arange(20.0)
    hr = np.array([150.0, 151, 150, 150] * 2 + [152, 150.0] + [120.0] + [110.0] * 5 + [109, 108, 110, 110])
    assert (flag_samples(t, hr) == Flag.OK).all()


def test_a_lone_value_between_distant_samples_is_no_spike() -> None:
    t = 8.0 * np.arange(20.0)
    hr = np.array([150.0, 151, 149, 150] * 5)
    hr[10] = 130
    assert flag_samples(t, hr)[10] == Flag.OK
