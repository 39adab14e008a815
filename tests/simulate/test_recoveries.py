"""Single recoveries against a numerical solution and exact values."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from rideready.simulate.recoveries import lagged_fall_bpm, simulated_recoveries


def _rng() -> np.random.Generator:
    return np.random.default_rng(21)


def _fall(t_s: np.ndarray, *, tau_s: float, delay_s: float, lag_s: float) -> np.ndarray:
    return lagged_fall_bpm(t_s, end_bpm=90, amplitude_bpm=95, tau_s=tau_s, delay_s=delay_s, lag_s=lag_s)


@pytest.mark.parametrize(
    ("t_s", "hr_bpm"),
    # science-values 1.2, curve A, computed with Python to three decimals.
    [(0, 185.000), (30, 142.137), (60, 118.613), (120, 98.618), (300, 90.235)],
)
def test_without_lag_it_is_the_plain_exponential(t_s: float, hr_bpm: float) -> None:
    found = _fall(np.array([t_s], dtype=float), tau_s=50, delay_s=0, lag_s=0)

    assert found[0] == pytest.approx(hr_bpm, abs=0.001)


@pytest.mark.parametrize(("tau_s", "lag_s"), [(50.0, 6.0), (30.0, 0.5), (110.0, 8.0), (20.0, 20.0)])
def test_with_lag_it_solves_the_equation_of_the_sensor(tau_s: float, lag_s: float) -> None:
    # scipy.integrate.solve_ivp on lag * dy/dt = true(t) - y, rtol 1e-10: correct to far below 1e-5 bpm.
    t = np.linspace(0, 180, 37)
    solved = solve_ivp(
        lambda u, y: (90 + 95 * np.exp(-u / tau_s) - y) / lag_s,
        (0, 180),
        [185.0],
        t_eval=t,
        rtol=1e-10,
        atol=1e-10,
    )

    assert _fall(t, tau_s=tau_s, delay_s=0, lag_s=lag_s) == pytest.approx(solved.y[0], abs=1e-5)


def test_the_formula_is_smooth_where_lag_meets_tau() -> None:
    t = np.linspace(0, 180, 50)
    near = _fall(t, tau_s=20.0, delay_s=0, lag_s=20.001)

    assert _fall(t, tau_s=20.0, delay_s=0, lag_s=20.0) == pytest.approx(near, abs=0.01)


@settings(max_examples=100)
@example(tau_s=20.0, delay_s=0.0, lag_s=2.2e-311)
@given(tau_s=st.floats(20, 120), delay_s=st.floats(0, 15), lag_s=st.floats(0, 8))
def test_more_lag_never_reads_lower(tau_s: float, delay_s: float, lag_s: float) -> None:
    t = np.arange(0.0, 181.0)
    true = _fall(t, tau_s=tau_s, delay_s=delay_s, lag_s=0)
    seen = _fall(t, tau_s=tau_s, delay_s=delay_s, lag_s=lag_s)

    assert np.all(seen >= true - 1e-9)
    assert np.all(np.diff(seen) <= 1e-9)
    assert seen[0] == pytest.approx(185.0)


def test_draws_stay_within_their_limits_and_fill_them() -> None:
    found = [r.truth for r in simulated_recoveries(_rng(), 2000)]

    limits = {
        "tau_s": (30, 110),
        "delay_s": (0, 15),
        "lag_s": (0, 8),
        "end_bpm": (75, 115),
        "amplitude_bpm": (40, 90),
        "noise_sd_bpm": (1.0, 2.5),
        "noise_phi": (0.5, 0.9),
        "window_s": (60, 180),
    }
    for name, (low, high) in limits.items():
        values = np.array([getattr(truth, name) for truth in found])
        # Evenly drawn: all inside, and both outer twentieths reached (missed once in 1e44 by chance).
        assert low <= values.min() < low + 0.05 * (high - low)
        assert high - 0.05 * (high - low) < values.max() <= high


def test_samples_are_whole_bpm_from_zero_to_the_end_of_the_window() -> None:
    for recovery in simulated_recoveries(_rng(), 50):
        assert np.array_equal(recovery.t_s, np.arange(recovery.truth.window_s + 1))
        assert np.array_equal(recovery.hr_bpm, np.rint(recovery.hr_bpm))


def test_noise_is_what_remains_beside_the_curve() -> None:
    drawn = simulated_recoveries(_rng(), 400, noise_sd_bpm=(1.5, 1.5), noise_phi=(0.8, 0.8), resolution_bpm=0)
    rests = []
    for r in drawn:
        truth = r.truth
        curve = lagged_fall_bpm(
            r.t_s,
            end_bpm=truth.end_bpm,
            amplitude_bpm=truth.amplitude_bpm,
            tau_s=truth.tau_s,
            delay_s=truth.delay_s,
            lag_s=truth.lag_s,
        )
        rests.append(r.hr_bpm - curve)
    n = sum(rest.size for rest in rests)
    pairs = np.concatenate([np.column_stack([rest[:-1], rest[1:]]) for rest in rests])

    # Standard errors as in test_sensor; four of them.
    assert np.std(np.concatenate(rests)) == pytest.approx(1.5, abs=4 * 1.5 * np.sqrt(1.64 / 0.36 / (2 * n)))
    phi = np.sum(pairs[:, 0] * pairs[:, 1]) / np.sum(pairs[:, 0] ** 2)
    assert phi == pytest.approx(0.8, abs=4 * np.sqrt(0.36 / n))


def test_the_true_drop_is_the_hearts_own_without_lag_or_noise() -> None:
    (found,) = simulated_recoveries(
        _rng(), 1, tau_s=(50, 50), delay_s=(0, 0), amplitude_bpm=(95, 95), lag_s=(8, 8)
    )

    # science-values 1.2: HRR60 of curve A is 66.387, to 0.001.
    assert found.truth.hrr60_bpm == pytest.approx(66.387, abs=0.001)


def test_a_delay_takes_its_time_off_the_true_drop() -> None:
    (found,) = simulated_recoveries(_rng(), 1, tau_s=(50, 50), delay_s=(10, 10), amplitude_bpm=(95, 95))

    # By hand: 95 (1 - e^(-50/50)) = 60.0515
    assert found.truth.hrr60_bpm == pytest.approx(60.0515, abs=0.001)


def test_spacing_thins_the_samples() -> None:
    (found,) = simulated_recoveries(_rng(), 1, window_s=(120, 120), spacing_s=5)

    assert np.array_equal(found.t_s, np.arange(0.0, 121.0, 5.0))


def test_the_same_generator_gives_the_same_recoveries() -> None:
    first, second = (simulated_recoveries(_rng(), 5) for _ in range(2))

    assert [r.truth for r in first] == [r.truth for r in second]
    assert all(np.array_equal(a.hr_bpm, b.hr_bpm) for a, b in zip(first, second, strict=True))
