"""The fit: intervals that hold, errors that stay small, odd windows, and what is refused."""

import warnings

import numpy as np
import numpy.typing as npt
import pytest
from scipy.optimize import OptimizeWarning, curve_fit
from scipy.stats import binom

from rideready.model.rider import Rider
from rideready.recovery.curves import recovery_curve
from rideready.recovery.kinetics import (
    FittedFall,
    drop_with_error,
    fit_all_with_posterior,
    fit_recoveries,
    fit_recovery,
    fit_with_posterior,
)
from rideready.recovery.predict import predict_drop, predict_fall
from tests.support.falls import Ranges, SimulatedFall, simulate_fall

Floats = npt.NDArray[np.float64]

#: Window to trials; issue 3 asks 92 to 98 % of intervals to hold the truth (99.5 % at 60 and 90 s).
TRIALS = {60: 120, 90: 120, 120: 150, 180: 150}


def fewest_hits(n: int, coverage: float) -> int:
    """Hits below which a true coverage this high would fall once in a thousand test runs."""
    return int(binom.ppf(0.001, n, coverage))


@pytest.fixture(scope="module")
def fitted() -> dict[int, list[tuple[SimulatedFall, FittedFall]]]:
    """Simulate recoveries over the ranges of issue 3, by window, and fit them."""
    result = {}
    for window, n in TRIALS.items():
        rng = np.random.default_rng([3, window])
        falls = [simulate_fall(rng, np.arange(window + 1.0)) for _ in range(n)]
        fits = fit_all_with_posterior([(f.t_s, f.hr_bpm) for f in falls])
        result[window] = [(fall, fit) for fall, fit in zip(falls, fits, strict=True) if fit is not None]
    return result


@pytest.mark.parametrize("window", TRIALS)
def test_the_interval_holds_the_true_tau_as_often_as_it_says(
    fitted: dict[int, list[tuple[SimulatedFall, FittedFall]]], window: int
) -> None:
    hits = [fit.fit.tau_low_s <= fall.tau_s <= fit.fit.tau_high_s for fall, fit in fitted[window]]

    assert len(hits) == TRIALS[window]
    assert sum(hits) >= fewest_hits(len(hits), 0.92)


def test_at_two_minutes_and_more_some_intervals_miss(
    fitted: dict[int, list[tuple[SimulatedFall, FittedFall]]],
) -> None:
    misses = [
        not fit.fit.tau_low_s <= fall.tau_s <= fit.fit.tau_high_s
        for window in (120, 180)
        for fall, fit in fitted[window]
    ]

    # A coverage of 98 % or less gives no miss at all in 300 trials once in 400 test runs.
    assert sum(misses) > 0


@pytest.mark.parametrize("window", [w for w in TRIALS if w > 60])
def test_the_drop_at_60_s_lies_within_its_error_as_often_as_it_should(
    fitted: dict[int, list[tuple[SimulatedFall, FittedFall]]], window: int
) -> None:
    hits = []
    for fall, fit in fitted[window]:
        drop, se = predict_drop(fit.posterior, 60.0)
        hits.append(abs(drop[0] - fall.drop_bpm(60.0)) < 1.96 * se[0])

    assert sum(hits) >= fewest_hits(len(hits), 0.92)


# Issue 3: 8 % at 180 s, 20 % at 90 s; measured on thousands: 5 % and 12 %.
@pytest.mark.parametrize(("window", "bound"), [(90, 0.20), (180, 0.08)])
def test_the_median_error_of_tau_stays_below_its_bound(
    fitted: dict[int, list[tuple[SimulatedFall, FittedFall]]], window: int, bound: float
) -> None:
    errors = [abs(fit.fit.tau_s / fall.tau_s - 1.0) for fall, fit in fitted[window]]

    assert np.median(errors) < bound


def test_intervals_narrow_with_the_window(
    fitted: dict[int, list[tuple[SimulatedFall, FittedFall]]],
) -> None:
    widths = {
        w: np.median([f.fit.tau_high_s / f.fit.tau_low_s for _, f in pairs]) for w, pairs in fitted.items()
    }

    assert widths[60] > widths[90] > widths[120] > widths[180]
    assert widths[180] < 1.6


def test_ordinary_least_squares_intervals_hold_far_less_often(
    fitted: dict[int, list[tuple[SimulatedFall, FittedFall]]],
) -> None:
    hits = []
    for fall, _ in fitted[180]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OptimizeWarning)
            found, spread = curve_fit(
                lambda t, end, height, tau: end + height * np.exp(-t / tau),
                fall.t_s,
                fall.hr_bpm,
                p0=[100.0, 60.0, 60.0],
                maxfev=5000,
            )
        hits.append(abs(found[2] - fall.tau_s) < 1.96 * np.sqrt(spread[2, 2]))

    # Delay and lag bias it and memory narrows it; 60 % leaves three standard errors of 150 trials.
    assert np.mean(hits) < 0.60


def test_the_band_holds_the_true_curve(fitted: dict[int, list[tuple[SimulatedFall, FittedFall]]]) -> None:
    inside = []
    for fall, fit in fitted[120]:
        _, low, high = predict_fall(fit.posterior, fall.t_s)
        inside.append(np.mean((low <= fall.shown_bpm) & (fall.shown_bpm <= high)))

    # Pointwise; neighbours depend on each other, so the bound is that of the recoveries, not the seconds.
    assert np.mean(inside) > fewest_hits(len(inside), 0.92) / len(inside)
    assert np.mean(inside) < 0.995


@pytest.mark.parametrize(("tau_s", "delay_s", "lag_s"), [(25, 5, 0), (47.3, 7.3, 3), (60, 0, 0), (91, 11, 8)])
def test_a_fall_without_noise_gives_its_parameters_back(tau_s: float, delay_s: float, lag_s: float) -> None:
    t = np.arange(0.0, 181.0)
    hr = recovery_curve(t, end_bpm=95, amplitude_bpm=80, tau_s=tau_s, delay_s=delay_s, lag_s=lag_s)

    fit = fit_recovery(t, hr)

    assert fit.tau_s == pytest.approx(tau_s, rel=0.02)
    assert fit.tau_low_s < tau_s < fit.tau_high_s
    assert fit.end_bpm == pytest.approx(95, abs=0.3)
    assert fit.amplitude_bpm == pytest.approx(80, abs=0.5)
    assert fit.delay_s + fit.lag_s == pytest.approx(delay_s + lag_s, abs=0.5)
    assert fit.noise_sd_bpm > 0.2  # a watch's figures are never better than their rounding, 0.29
    assert fit.misfit is None


def test_whole_bpm_are_taken_as_rounded_and_not_as_exact() -> None:
    t = np.arange(0.0, 181.0)
    hr = np.round(recovery_curve(t, end_bpm=95, amplitude_bpm=80, tau_s=60, delay_s=7.3, lag_s=3))

    fit = fit_recovery(t, hr)

    assert fit.noise_sd_bpm > 0.25  # 12 ** -0.5 is 0.289
    assert fit.tau_low_s < 60 < fit.tau_high_s


def test_the_fitted_parameters_make_a_curve_through_the_data() -> None:
    fall = simulate_fall(np.random.default_rng(8), np.arange(0.0, 71.0))

    fit = fit_recovery(fall.t_s, fall.hr_bpm)

    curve = recovery_curve(
        fall.t_s,
        end_bpm=fit.end_bpm,
        amplitude_bpm=fit.amplitude_bpm,
        tau_s=fit.tau_s,
        delay_s=fit.delay_s,
        lag_s=fit.lag_s,
    )
    assert np.mean(curve - fall.hr_bpm) == pytest.approx(0.0, abs=0.5)
    assert np.std(curve - fall.hr_bpm) < 1.5 * fall.noise_sd_bpm


def test_no_interval_is_narrower_than_four_percent() -> None:
    t = np.arange(0.0, 301.0)

    fit = fit_recovery(t, recovery_curve(t, end_bpm=90, amplitude_bpm=95, tau_s=50))

    # A normal of log-SD 1 % runs over exp(2 * 1.96 * 0.01) = 1.04 from end to end.
    assert 1.039 < fit.tau_high_s / fit.tau_low_s < 1.07


def test_uneven_spacing_gives_intervals_that_hold() -> None:
    rng = np.random.default_rng(11)
    falls = []
    for _ in range(100):
        t = np.cumsum(rng.integers(1, 7, 100)).astype(float) - 1.0
        falls.append(simulate_fall(rng, t[t <= 180]))

    fits = fit_recoveries([(f.t_s, f.hr_bpm) for f in falls])

    hits = [
        fit is not None and fit.tau_low_s <= f.tau_s <= fit.tau_high_s
        for f, fit in zip(falls, fits, strict=True)
    ]
    assert sum(hits) >= fewest_hits(100, 0.92)


def test_missing_values_are_left_out() -> None:
    fall = simulate_fall(np.random.default_rng(5), np.arange(0.0, 121.0))
    keep = np.random.default_rng(6).random(121) > 0.3
    keep[[0, -1]] = True
    holed = np.where(keep, fall.hr_bpm, np.nan)

    fit = fit_recovery(fall.t_s, holed)

    assert fit == fit_recovery(fall.t_s[keep], fall.hr_bpm[keep])
    assert fit.n_samples == keep.sum()


def test_a_fraction_of_a_second_shifts_the_delay_and_nothing_else() -> None:
    fall = simulate_fall(np.random.default_rng(21), np.arange(0.0, 151.0))

    on_time = fit_recovery(fall.t_s, fall.hr_bpm)
    later = fit_recovery(fall.t_s + 0.4, fall.hr_bpm)

    assert later.tau_s == on_time.tau_s
    assert later.delay_s == pytest.approx(on_time.delay_s + 0.4)


def test_a_fraction_of_a_second_shifts_the_predicted_curve_with_it() -> None:
    fall = simulate_fall(np.random.default_rng(22), np.arange(0.0, 151.0))

    on_time = fit_with_posterior(fall.t_s, fall.hr_bpm)
    later = fit_with_posterior(fall.t_s + 0.4, fall.hr_bpm)

    ahead, _, _ = predict_fall(later.posterior, fall.t_s + 0.4)
    assert ahead == pytest.approx(predict_fall(on_time.posterior, fall.t_s)[0], abs=1e-9)


def test_times_off_the_second_give_nearly_the_same_figures() -> None:
    t = np.arange(0.0, 151.0)
    odd = np.sort(t + np.random.default_rng(2).uniform(-0.3, 0.3, len(t)))

    fits = [
        fit_recovery(x, recovery_curve(x, end_bpm=100, amplitude_bpm=70, tau_s=55, delay_s=6, lag_s=4))
        for x in (t, odd)
    ]

    assert fits[1].tau_s == pytest.approx(fits[0].tau_s, rel=0.02)


def test_level_seconds_before_the_end_of_the_effort_sharpen_the_drop() -> None:
    fall = simulate_fall(np.random.default_rng(31), np.arange(0.0, 91.0))
    before = np.arange(-10.0, 0.0)
    level = np.round(fall.shown_bpm[0] + np.random.default_rng(32).normal(0, 1, 10))

    alone = drop_with_error(fall.t_s, fall.hr_bpm, 60.0)
    led_in = drop_with_error(np.concatenate([before, fall.t_s]), np.concatenate([level, fall.hr_bpm]), 60.0)

    assert led_in[1] < alone[1]
    assert abs(led_in[0] - fall.drop_bpm(60.0)) < 3 * led_in[1]


def test_a_known_standing_pulse_narrows_the_interval_of_a_short_window() -> None:
    rng = np.random.default_rng(41)
    falls = [
        simulate_fall(rng, np.arange(0.0, 61.0), ranges=Ranges(end_bpm=(95.0, 105.0))) for _ in range(20)
    ]
    windows = [(f.t_s, f.hr_bpm) for f in falls]

    def width(rider: Rider | None) -> float:
        fits = fit_recoveries(windows, rider=rider)
        return float(np.mean([np.log(f.tau_high_s / f.tau_low_s) for f in fits if f is not None]))

    assert width(Rider(standing_hr_bpm=78.0)) < width(None)


def test_a_batch_gives_what_single_fits_give_in_its_own_order() -> None:
    rng = np.random.default_rng(51)
    falls = [simulate_fall(rng, np.arange(0.0, w + 1.0)) for w in (150, 60, 150, 90)]

    batch = fit_recoveries([(f.t_s, f.hr_bpm) for f in falls])

    assert batch == [fit_recovery(f.t_s, f.hr_bpm) for f in falls]


@pytest.mark.parametrize(
    ("t_s", "sentence"),
    [
        ([0.0, 10.0, 20.0, 30.0, 40.0], "at least 6 heart rates, got 5"),
        ([0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0], "at least 20 s, got 12"),
        ([], "at least 6 heart rates, got 0"),
    ],
)
def test_a_window_too_short_to_fit_is_refused_and_none_in_a_batch(t_s: list[float], sentence: str) -> None:
    hr = [150.0] * len(t_s)

    with pytest.raises(ValueError, match=sentence):
        fit_recovery(t_s, hr)
    assert fit_recoveries([(t_s, hr)]) == [None]


def test_times_that_do_not_increase_are_refused() -> None:
    with pytest.raises(ValueError, match="times must increase"):
        fit_recovery([0, 10, 10, 20, 30, 40, 50], [150] * 7)


def test_rows_of_different_length_are_refused() -> None:
    with pytest.raises(ValueError, match="equal length"):
        fit_recovery([0, 10, 20], [150, 140])


def test_a_drop_outside_the_window_is_refused() -> None:
    t = np.arange(0.0, 46.0)

    with pytest.raises(ValueError, match="from 0 to 45 s"):
        drop_with_error(t, 100.0 + 60.0 * np.exp(-t / 40.0), 60.0)


def test_a_pulse_that_does_not_fall_gives_the_widest_interval() -> None:
    flat = fit_recovery(np.arange(0.0, 121.0), np.full(121, 120.0))

    assert flat.tau_high_s / flat.tau_low_s > 3
    assert abs(flat.amplitude_bpm) < 20


def test_a_drop_without_noise_is_exact() -> None:
    t = np.arange(0.0, 181.0)

    drop, se = predict_drop(
        fit_with_posterior(t, recovery_curve(t, end_bpm=90.0, amplitude_bpm=95.0, tau_s=50.0)).posterior,
        [30.0, 60.0, 120.0],
    )

    # Science sheet, section 1.2: 42.863, 66.387, 86.382.
    assert drop == pytest.approx([42.863, 66.387, 86.382], abs=0.15)
    assert np.all(se < 0.5)
