"""Misfit: seldom alleged where the model holds, found where it plainly does not."""

import numpy as np
import numpy.typing as npt
import pytest
from scipy.stats import binom

from rideready.recovery.kinetics import fit_recoveries, fit_recovery
from rideready.recovery.misfit import runs_score, two_phase_gain
from rideready.recovery.posterior import Evidence
from rideready.recovery.sampling import sampling_tables
from tests.support.falls import Ranges, SimulatedFall, ar1_noise, simulate_fall

Floats = npt.NDArray[np.float64]

#: A fast phase as after maximal effort; the slow one is 4 to 8 times as slow.
TWO_PHASE = Ranges(tau_s=(20.0, 40.0), end_bpm=(80.0, 105.0), amplitude_bpm=(60.0, 100.0))


def simulate(seed: int, n: int, window: int, *, slow_share: float = 0.0) -> list[SimulatedFall]:
    rng = np.random.default_rng(seed)
    ranges = TWO_PHASE if slow_share else Ranges()
    return [
        simulate_fall(rng, np.arange(window + 1.0), ranges=ranges, slow_share=slow_share) for _ in range(n)
    ]


def codes(falls: list[SimulatedFall]) -> list[str]:
    fits = fit_recoveries([(f.t_s, f.hr_bpm) for f in falls])
    return [fit.misfit.code for fit in fits if fit is not None and fit.misfit is not None]


def test_a_fall_of_one_phase_is_seldom_accused() -> None:
    found = codes(simulate(1, 150, 180))

    # A false-alarm rate of 2 % (1 % for two phases) exceeds this once in a thousand runs.
    assert len(found) <= binom.ppf(0.999, 150, 0.02)
    assert found.count("kinetics.two_phase") <= binom.ppf(0.999, 150, 0.01)


def test_a_fall_of_two_phases_over_five_minutes_is_usually_found() -> None:
    falls = simulate(2, 40, 300, slow_share=0.4)

    found = codes(falls)

    assert found.count("kinetics.two_phase") > len(falls) / 2


def test_two_plain_phases_are_said_in_words() -> None:
    t = np.arange(0.0, 301.0)
    noise = ar1_noise(np.random.default_rng(3), t, sd_bpm=0.5, phi=0.5)
    hr = np.round(85.0 + 55.0 * np.exp(-t / 30.0) + 40.0 * np.exp(-t / 180.0) + noise)

    misfit = fit_recovery(t, hr).misfit

    assert misfit is not None
    assert misfit.code == "kinetics.two_phase"
    assert "a fast and then a slow phase" in misfit.sentence


def gains(falls: list[SimulatedFall]) -> Floats:
    tables = sampling_tables(tuple(falls[0].t_s.tolist()))
    return np.array(
        [two_phase_gain(f.t_s, f.hr_bpm, tables=tables, data=Evidence.of(f.hr_bpm, tables)) for f in falls]
    )


def test_the_criterion_prefers_one_phase_where_there_is_one() -> None:
    assert np.median(gains(simulate(4, 30, 300))) < -2.0


def test_two_phases_that_fit_hardly_better_are_not_alleged() -> None:
    falls = simulate(5, 40, 180, slow_share=0.4)

    gained = gains(falls)

    close = np.flatnonzero((gained > -4.0) & (gained <= 2.0))
    assert len(close) > 0
    assert "kinetics.two_phase" not in codes([falls[i] for i in close])


def test_a_pulse_that_jumps_in_mid_recovery_is_found_by_its_runs() -> None:
    t = np.arange(0.0, 301.0)
    noise = ar1_noise(np.random.default_rng(5), t, sd_bpm=1.2, phi=0.6)
    hr = np.round(95.0 + 70.0 * np.exp(-t / 50.0) + np.where(t > 180, 12.0, 0.0) + noise)

    misfit = fit_recovery(t, hr).misfit

    assert misfit is not None
    assert misfit.code == "kinetics.runs"
    values = dict(misfit.values)
    assert float(values["crossings"]) < float(values["expected"])


def test_noise_with_memory_crosses_zero_about_as_often_as_expected() -> None:
    t = np.arange(0.0, 181.0)
    rng = np.random.default_rng(6)

    scores = [
        runs_score(t, np.round(ar1_noise(rng, t, sd_bpm=2.0, phi=0.8)) + 0.2, noise_phi=0.8)[0]
        for _ in range(200)
    ]

    assert np.median(scores) == pytest.approx(0.0, abs=0.6)


def test_uneven_spacing_uses_the_fitted_memory() -> None:
    steps = np.tile([1.0, 3.0, 2.0], 20)
    t = np.concatenate([[0.0], np.cumsum(steps)])
    residuals = np.random.default_rng(8).normal(0, 2, len(t))

    _, crossings, expected = runs_score(t, residuals, noise_phi=0.8)

    assert expected == pytest.approx(np.sum(np.arccos(0.8**steps)) / np.pi)
    assert crossings == np.sum(residuals[1:] * residuals[:-1] < 0)


def test_one_long_run_scores_far_below_zero() -> None:
    t = np.arange(0.0, 121.0)
    bow = 3.0 * np.sin(2 * np.pi * t / 120.0) + np.random.default_rng(9).normal(0, 0.5, 121)

    score, crossings, expected = runs_score(t, bow, noise_phi=0.5)

    assert score < -2.5
    assert crossings < expected / 2


@pytest.mark.parametrize("residuals", [np.tile([0.3, 0.3, 0.3, -0.3], 20), np.full(10, 4.0)])
def test_tiny_or_few_residuals_are_no_misfit(residuals: Floats) -> None:
    score, _, _ = runs_score(np.arange(float(len(residuals))), residuals, noise_phi=0.5)

    assert score == 0.0
