"""The posterior against brute force with dense matrices, and its grid."""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pytest

from rideready.model.rider import Rider
from rideready.recovery.curves import lagged_unit_fall
from rideready.recovery.grids import PHI_WEIGHTS, FallGrid, fall_grid, falls_on, lay_grid
from rideready.recovery.levels import LevelPrior, level_prior
from rideready.recovery.noise_layout import inverse_ar1
from rideready.recovery.posterior import Evidence, _bound, _weigh, curve_weights
from rideready.recovery.refine import local_grid
from rideready.recovery.sampling import make_tables, sampling_tables, whole_seconds
from tests.support.falls import simulate_fall

Floats = npt.NDArray[np.float64]

SMALL = lay_grid(np.geomspace(25.0, 120.0, 5), np.array([0.0, 5.0, 10.0]), np.array([0.0, 6.0]))
UNEVEN_S = np.array([0.0, 2.0, 3.0, 7.0, 11.0, 12.0, 18.0, 25.0, 31.0, 40.0, 47.0, 55.0, 63.0, 70.0])


class BruteForce(NamedTuple):
    weight: Floats
    levels: Floats
    spread: Floats
    noise_sd_bpm: float


def brute_force(t: Floats, hr: Floats, grid: FallGrid, prior: LevelPrior) -> BruteForce:
    """Weight, mean and covariance of (c, P) of every curve, from dense matrices and 60 noise SDs."""
    before = np.linalg.inv(prior.precision)
    apart = np.abs(t[:, None] - t)
    log_sd = np.linspace(np.log(0.15), np.log(20.0), 60)
    log_sd_prior = -0.5 * ((log_sd - np.log(1.5)) / 0.6) ** 2
    m, noise_sd_bpm = len(grid.tau_s), 0.0
    weight, first, second = np.zeros(m), np.zeros((m, 2)), np.zeros((m, 2, 2))
    for k in range(m):
        g = lagged_unit_fall(t, tau_s=grid.tau_s[k], delay_s=grid.delay_s[k], lag_s=max(grid.lag_s[k], 1e-3))
        x = np.column_stack([1.0 - g, g])
        off = hr - x @ prior.mean
        for phi, share in zip(grid.phis, PHI_WEIGHTS, strict=True):
            total = x @ before @ x.T + np.exp(2 * log_sd)[:, None, None] * phi**apart
            gain = before @ x.T @ np.linalg.inv(total)
            log_likelihood = -0.5 * (
                off @ np.linalg.solve(total, np.broadcast_to(off[:, None], (60, len(t), 1)))[:, :, 0].T
                + np.linalg.slogdet(total)[1]
            )
            w = share * np.exp(log_likelihood + log_sd_prior + grid.log_prior[k] + 40.0)
            levels = prior.mean + gain @ off
            spread = before - gain @ x @ before
            weight[k] += w.sum()
            noise_sd_bpm += float(w @ np.exp(log_sd))
            first[k] += w @ levels
            second[k] += np.einsum("s,sij->ij", w, spread + levels[:, :, None] * levels[:, None, :])
    mean = first / weight[:, None]
    spread = second / weight[:, None, None] - mean[:, :, None] * mean[:, None, :]
    return BruteForce(weight / weight.sum(), mean, spread, noise_sd_bpm / weight.sum())


def test_weights_and_levels_agree_with_dense_matrices() -> None:
    rng = np.random.default_rng(3)
    fall = simulate_fall(rng, UNEVEN_S)
    tables = make_tables(SMALL, UNEVEN_S, falls_on(SMALL, UNEVEN_S))

    found = curve_weights(Evidence.of(fall.hr_bpm, tables), tables, level_prior(None))

    dense = brute_force(UNEVEN_S, fall.hr_bpm, SMALL, level_prior(None))
    everywhere = np.zeros_like(dense.weight)
    everywhere[found.kept] = found.weight
    # The noise SD integrated around its best value against sixty nodes, and hopeless pairs left out: 0.01 and 5 %.
    assert everywhere == pytest.approx(dense.weight, abs=0.01)
    heavy = found.weight > 0.02
    levels, spread = dense.levels[found.kept][heavy], dense.spread[found.kept][heavy]
    assert found.end_bpm[heavy] == pytest.approx(levels[:, 0], abs=0.5)
    assert found.peak_bpm[heavy] == pytest.approx(levels[:, 1], abs=0.3)
    end_variance, peak_variance, covariance = found.level_spreads()
    assert end_variance[heavy] == pytest.approx(spread[:, 0, 0], rel=0.05, abs=0.1)
    assert peak_variance[heavy] == pytest.approx(spread[:, 1, 1], rel=0.05, abs=0.1)
    assert covariance[heavy] == pytest.approx(spread[:, 0, 1], rel=0.05, abs=0.02)


@pytest.mark.parametrize(("step_s", "noise_bpm"), [(5.0, 2.5), (5.0, 0.6), (2.0, 1.5)])
def test_weights_hold_at_any_noise_and_number_of_samples(step_s: float, noise_bpm: float) -> None:
    t = np.arange(0.0, 101.0, step_s)
    curve = 100.0 + 60.0 * lagged_unit_fall(t, tau_s=45.0, delay_s=4.0, lag_s=2.0)
    hr = curve + np.random.default_rng(5).normal(0.0, noise_bpm, len(t))
    tables = make_tables(SMALL, t, falls_on(SMALL, t))

    found = curve_weights(Evidence.of(hr, tables), tables, level_prior(None))

    dense = brute_force(t, hr, SMALL, level_prior(None))
    everywhere = np.zeros_like(dense.weight)
    everywhere[found.kept] = found.weight
    # What integrating the noise SD around its best value costs: a fiftieth where one curve holds half.
    assert everywhere == pytest.approx(dense.weight, abs=0.02)
    assert found.noise_sd_bpm == pytest.approx(dense.noise_sd_bpm, rel=0.03)


@pytest.mark.parametrize("last_s", [25.0, 60.0, 180.0])
def test_no_curve_weighs_more_than_the_bound_that_decides_what_is_looked_at(last_s: float) -> None:
    t = np.arange(0.0, last_s + 1.0)
    prior, tables = level_prior(Rider(resting_hr_bpm=52.0)), sampling_tables(tuple(t.tolist()))
    for seed in range(5):
        data = Evidence.of(simulate_fall(np.random.default_rng(seed), t).hr_bpm, tables)
        bound = _bound(data, tables, prior)

        cells, highest = _weigh(data, tables, prior, bound, np.ones_like(bound.log_mass, dtype=np.bool_))

        told = cells.weight.max(axis=1) > 1e-30  # below, single precision makes them 0
        heaviest = highest + np.log(cells.weight[told].max(axis=1))
        # Few samples are weighed with a noise of each curve's own, which the bound knows to some hundredths.
        assert np.all(heaviest <= bound.log_mass[cells.phi[told], cells.tau[told]] + 0.1)
        assert highest > bound.log_mass.max() - 6.0  # and it is near enough to rule most out


def test_sums_by_stretches_are_the_sums_over_all_samples() -> None:
    with_holes = np.delete(np.arange(2.0, 122.0), [20, 21, 50, 90])
    grid = fall_grid()
    hr = simulate_fall(np.random.default_rng(4), with_holes).hr_bpm

    quick, plain = (
        sampling_tables(tuple(with_holes.tolist())),
        make_tables(grid, with_holes, falls_on(grid, with_holes)),
    )

    assert quick.noise.inside.any()
    assert quick.fall_fall == pytest.approx(plain.fall_fall, rel=1e-9, abs=1e-9)
    assert quick.ones_fall == pytest.approx(plain.ones_fall, rel=1e-9, abs=1e-9)
    assert quick.times_falls(hr) == pytest.approx(plain.times_falls(hr), rel=1e-9, abs=1e-7)


def test_the_inverse_correlation_is_tridiagonal_and_exact_at_uneven_times() -> None:
    phis = np.array([0.0, 0.5, 0.965])

    diagonal, beside, log_det = inverse_ar1(UNEVEN_S, phis)

    for i, phi in enumerate(phis):
        dense = phi ** np.abs(UNEVEN_S[:, None] - UNEVEN_S)
        inverse = np.diag(diagonal[i]) + np.diag(beside[i], 1) + np.diag(beside[i], -1)
        assert inverse @ dense == pytest.approx(np.eye(len(UNEVEN_S)), abs=1e-9)
        assert log_det[i] == pytest.approx(np.linalg.slogdet(dense)[1], abs=1e-9)


def test_products_in_tables_are_those_of_dense_matrices() -> None:
    tables = sampling_tables(tuple(UNEVEN_S.tolist()))
    inverse = np.linalg.inv(tables.grid.phis[5] ** np.abs(UNEVEN_S[:, None] - UNEVEN_S))
    ones = np.ones(len(UNEVEN_S))

    for k in (0, 700, 1400):
        g = tables.falls[:, k]
        assert tables.fall_fall[5, k] == pytest.approx(g @ inverse @ g)
        assert tables.ones_fall[5, k] == pytest.approx(ones @ inverse @ g)


def test_the_quick_curves_of_the_grid_are_the_curves() -> None:
    grid, t = fall_grid(), np.array([0.0, 4.5, 17.0, 90.0, 260.0])

    quick = falls_on(grid, t)

    slow = lagged_unit_fall(t[:, None], tau_s=grid.tau_s, delay_s=grid.delay_s, lag_s=grid.lag_s)
    assert quick == pytest.approx(slow, abs=1e-4)  # a lag of 0 is taken as 1 ms


@pytest.mark.parametrize(
    ("times", "fraction"), [([0.0, 1.0, 4.0], 0.0), ([0.37, 1.37, 4.37], 0.37), ([-3.25, 0.75, 2.75], 0.75)]
)
def test_times_whole_seconds_apart_share_a_fraction(times: list[float], fraction: float) -> None:
    part, whole = whole_seconds(np.array(times))

    assert part == pytest.approx(fraction)
    assert whole + part == pytest.approx(np.array(times))
    assert np.all(whole == np.round(whole))


def test_times_at_odd_fractions_stay_as_they_are() -> None:
    part, same = whole_seconds(np.array([0.0, 1.3, 2.9]))

    assert part == 0.0
    assert same.tolist() == [0.0, 1.3, 2.9]


def test_the_end_level_is_expected_higher_for_a_higher_standing_pulse() -> None:
    low, high = (level_prior(Rider(standing_hr_bpm=bpm)) for bpm in (60.0, 90.0))

    # At a peak of 170: standing plus 28 % of the way up.
    assert low.offset_bpm + low.share * 170.0 == pytest.approx(60 + 0.28 * 110)
    assert high.offset_bpm + high.share * 170.0 == pytest.approx(90 + 0.28 * 80)


def test_a_known_resting_pulse_narrows_the_prior() -> None:
    assert level_prior(Rider(resting_hr_bpm=55.0)).sd_bpm < level_prior(None).sd_bpm


def test_a_finer_grid_lies_around_the_posterior_and_inside_the_old_limits() -> None:
    t = np.arange(0.0, 181.0)
    tables = sampling_tables(tuple(t.tolist()))
    hr = 95.0 + 80.0 * lagged_unit_fall(t, tau_s=47.0, delay_s=5.0, lag_s=2.0)
    weights = curve_weights(Evidence.of(hr, tables), tables, level_prior(None))

    finer = local_grid(weights)

    assert finer.tau_nodes_s[0] < 47.0 < finer.tau_nodes_s[-1]
    assert finer.delay_nodes_s[0] < 5.0 < finer.delay_nodes_s[-1]
    assert np.ptp(np.diff(np.log(finer.tau_nodes_s))) == pytest.approx(0.0, abs=1e-9)
    assert finer.tau_nodes_s[1] / finer.tau_nodes_s[0] < 0.6 * (300.0 / 11.0) ** (1 / 27) + 0.4
    assert finer.lag_nodes_s[0] >= 0.0
