"""Lag, smoothing, noise, spacing and rounding against closed forms and sampling theory."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rideready.simulate.devices import chest_strap, coarse_recorder, wrist_optical
from rideready.simulate.sensor import SensorTraits, lagged, noise_with_memory, sense, smoothed
from rideready.simulate.traits import STEP_S

CLEAN = SensorTraits("simulated test sensor", lag_s=0.0, noise_sd_bpm=0.0)


def _rng() -> np.random.Generator:
    return np.random.default_rng(11)


def _ramp(seconds: int) -> np.ndarray:
    """From 100 bpm up by 0.2 bpm a second."""
    return 100 + 0.2 * np.arange(round(seconds / STEP_S) + 1) * STEP_S


@pytest.mark.parametrize("lag_s", [0.5, 3.0, 8.0])
def test_a_step_comes_through_as_one_minus_exponential(lag_s: float) -> None:
    step = np.concatenate([np.full(100, 100.0), np.full(901, 160.0)])

    found = lagged(step, lag_s)

    t = np.arange(1, 902) * STEP_S
    assert found[100:] == pytest.approx(160 - 60 * np.exp(-t / lag_s), abs=1e-9)
    assert found[:100] == pytest.approx(np.full(100, 100.0))


def test_a_ramp_comes_through_late_by_the_lag() -> None:
    # The steady error of a first-order system on a ramp is slope times lag (any textbook of control);
    # the filter takes each step's end value, which is half a step early.
    ramp = _ramp(300)

    late = ramp[-1] - lagged(ramp, 6.0)[-1]

    assert late == pytest.approx(0.2 * 6.0, abs=0.2 * STEP_S)


def test_no_lag_and_no_smoothing_change_nothing() -> None:
    ramp = _ramp(60)

    assert np.array_equal(lagged(ramp, 0.0), ramp)
    assert smoothed(ramp, 0.0) == pytest.approx(ramp)


def test_smoothing_is_the_mean_of_the_last_seconds() -> None:
    ramp = _ramp(60)

    found = smoothed(ramp, 5.0)

    # The mean of the last 50 values of a ramp lies 24.5 steps back.
    assert found[100:] == pytest.approx(ramp[100:] - 0.2 * 24.5 * STEP_S)
    assert found.shape == ramp.shape


@pytest.mark.parametrize("phi", [0.0, 0.5, 0.8, 0.9])
def test_noise_has_the_told_spread_and_memory(phi: float) -> None:
    n, sd = 40_000, 1.5

    e = noise_with_memory(_rng(), n, sd_bpm=sd, phi=phi)

    # Large-sample standard errors of an AR(1) process (Box, Jenkins, from memory): of phi
    # sqrt((1 - phi^2) / n), of the standard deviation sd sqrt((1 + phi^2) / (1 - phi^2) / (2 n)).
    # Four of them: one false alarm in 16,000 seeds.
    found_phi = float(np.sum(e[1:] * e[:-1]) / np.sum(e[:-1] ** 2))
    assert found_phi == pytest.approx(phi, abs=4 * np.sqrt((1 - phi**2) / n))
    assert float(np.std(e)) == pytest.approx(sd, abs=4 * sd * np.sqrt((1 + phi**2) / (1 - phi**2) / (2 * n)))
    # The residuals have no memory left.
    rest = e[1:] - phi * e[:-1]
    assert abs(np.corrcoef(rest[1:], rest[:-1])[0, 1]) < 4 / np.sqrt(n)


def test_noise_is_stationary_from_the_first_second() -> None:
    rng = _rng()

    first = np.array([noise_with_memory(rng, 3, sd_bpm=2.0, phi=0.9)[0] for _ in range(4000)])

    # Standard error of a standard deviation: sd / sqrt(2 n); four of them.
    assert float(np.std(first)) == pytest.approx(2.0, abs=4 * 2.0 / np.sqrt(8000))


def test_no_seconds_give_no_noise() -> None:
    assert noise_with_memory(_rng(), 0, sd_bpm=1.0, phi=0.5).shape == (0,)


def test_a_clean_sensor_writes_the_rounded_truth_every_second() -> None:
    ramp = _ramp(60)

    found = sense(ramp, CLEAN, _rng())

    assert np.array_equal(found.t_s, np.arange(61.0))
    assert np.array_equal(found.hr_bpm, np.rint(100 + 0.2 * np.arange(61)))
    assert found.artefacts == ()


@pytest.mark.parametrize("spacing_s", [5, 10])
def test_a_coarse_sensor_writes_every_so_many_seconds(spacing_s: int) -> None:
    sensor = SensorTraits("simulated", lag_s=0.0, noise_sd_bpm=0.0, spacing_s=spacing_s)

    found = sense(_ramp(60), sensor, _rng())

    assert np.array_equal(found.t_s, np.arange(0.0, 61.0, spacing_s))


def test_writing_on_change_skips_repeats_but_not_for_too_long() -> None:
    sensor = SensorTraits("simulated", lag_s=0.0, noise_sd_bpm=0.0, longest_hold_s=4)

    found = sense(_ramp(20), sensor, _rng())

    # 0.2 bpm a second: the rounded value changes at 3, 8, 13, 18 s; each is held 4 s at most.
    assert np.array_equal(found.t_s, [0, 3, 7, 8, 12, 13, 17, 18])


@pytest.mark.parametrize(
    ("name", "value"),
    [("lag_s", 9.0), ("smoothing_s", -1.0), ("noise_sd_bpm", 11.0), ("noise_phi", 1.0), ("spacing_s", 0)],
)
def test_a_sensor_out_of_range_is_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=name):
        SensorTraits("simulated", **{name: value})  # type: ignore[arg-type]


@settings(deadline=None, max_examples=60)
@given(
    seed=st.integers(0, 10_000),
    seconds=st.integers(30, 1500),
    draw=st.sampled_from([chest_strap, wrist_optical, coarse_recorder]),
)
def test_any_sensor_writes_whole_bpm_at_rising_whole_seconds_from_zero(
    seed: int, seconds: int, draw: type
) -> None:
    rng = np.random.default_rng(seed)
    sensor = draw(rng)
    limb = np.full(seconds + 1, 160.0)

    found = sense(_ramp(seconds), sensor, rng, limb_per_min=limb)

    assert found.t_s[0] == 0
    assert np.all(np.diff(found.t_s) >= sensor.spacing_s)
    assert found.t_s[-1] <= seconds
    present = found.hr_bpm[np.isfinite(found.hr_bpm)]
    assert np.array_equal(present, np.rint(present))
    assert "simulated" in sensor.device


def test_the_same_generator_gives_the_same_recording() -> None:
    sensor = wrist_optical(_rng())
    first, second = (sense(_ramp(900), sensor, _rng()) for _ in range(2))

    assert np.array_equal(first.t_s, second.t_s)
    assert np.array_equal(first.hr_bpm, second.hr_bpm, equal_nan=True)
    assert first.artefacts == second.artefacts
