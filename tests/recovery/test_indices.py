"""Drops, T30 and settle time against curves whose values are known."""

from dataclasses import replace

import numpy as np
import pytest

from rideready.model.reason import because
from rideready.model.recovery import RecoveryFit
from rideready.recovery.indices import Reading, drop_after, level_at, settle_time, t30

T = np.arange(181.0)
#: end 90, amplitude 95, tau 50 s; checked by hand at 30, 60 and 120 s: 142.137, 118.613, 98.618.
CURVE = 90 + 95 * np.exp(-T / 50)


#: A fit of the curve above.
FIT = RecoveryFit(
    tau_s=50,
    tau_low_s=40,
    tau_high_s=60,
    end_bpm=90,
    amplitude_bpm=95,
    delay_s=0,
    lag_s=0,
    noise_sd_bpm=1,
    noise_phi=0.8,
    window_s=60,
    n_samples=60,
)


@pytest.mark.parametrize(("at_s", "level_bpm"), [(30.0, 142.137), (60.0, 118.613), (120.0, 98.618)])
def test_a_level_is_read_to_a_third_of_a_beat(at_s: float, level_bpm: float) -> None:
    reading = level_at(T, CURVE, at_s)
    assert reading is not None
    assert reading.value == pytest.approx(level_bpm, abs=0.35)


def test_the_error_of_a_level_covers_its_scatter() -> None:
    # 400 recoveries with AR(1) noise, SD 1.5, phi 0.8, rounded: the scatter is known to about 4 %.
    rng = np.random.default_rng(8)
    errors, claimed = [], []
    for _ in range(400):
        noise = rng.normal(0, 1.5, T.size)
        for i in range(1, T.size):
            noise[i] = 0.8 * noise[i - 1] + 0.6 * noise[i]
        reading = level_at(T, np.round(CURVE + noise), 60.0)
        assert reading is not None
        errors.append(reading.value - 118.613)
        claimed.append(reading.se)
    assert np.mean(claimed) == pytest.approx(np.std(errors), rel=0.15)
    assert abs(np.mean(errors)) < 0.3


def test_a_level_needs_samples_on_both_sides() -> None:
    assert level_at(T[:61], CURVE[:61], 60.0) is not None
    assert level_at(T[:50], CURVE[:50], 60.0) is None
    hole = (T < 54) | (T > 66)
    assert level_at(T[hole], CURVE[hole], 60.0) is None


def test_ten_second_spacing_still_gives_the_one_minute_level() -> None:
    reading = level_at(T[5::10], CURVE[5::10], 60.0)
    assert reading is not None
    assert reading.value == pytest.approx(118.613, abs=1.0)


def test_a_drop_adds_the_two_errors_in_quadrature() -> None:
    drop = drop_after(Reading(185.0, 3.0), Reading(118.0, 4.0))
    assert drop == Reading(67.0, 5.0)
    assert drop_after(Reading(185.0, 3.0), None) is None


def test_t30_needs_a_value_in_each_5_s_and_a_fall() -> None:
    assert t30(T, CURVE) == pytest.approx(113.866, abs=0.01)
    sparse = T[::6]
    assert t30(sparse, CURVE[::6]) is None
    assert t30(T, CURVE[::-1]) is None


def test_the_settle_time_is_where_the_curve_crosses_and_stays() -> None:
    # 90 + 95·exp(-t/50) = 120 at t = 50·ln(95/30) = 57.6 s.
    settle = settle_time(T, CURVE, settle_bpm=120.0, window_s=180.0, fit=None)
    assert settle is not None
    assert settle.settle_s == pytest.approx(58, abs=1)
    assert not settle.is_extrapolated
    assert not settle.is_censored


def test_a_dip_of_3_s_is_not_settled() -> None:
    hr = CURVE.copy()
    hr[20:23] = 100
    settle = settle_time(T, hr, settle_bpm=120.0, window_s=180.0, fit=None)
    assert settle is not None
    assert settle.settle_s == pytest.approx(58, abs=1)


def test_a_level_beyond_the_window_is_extrapolated_and_marked() -> None:
    settle = settle_time(T[:41], CURVE[:41], settle_bpm=120.0, window_s=40.0, fit=FIT)
    assert settle is not None
    assert settle.is_extrapolated
    assert settle.settle_s == pytest.approx(58, abs=1)


def test_a_level_under_the_end_of_the_fall_is_censored_at_the_window() -> None:
    settle = settle_time(T, CURVE, settle_bpm=85.0, window_s=180.0, fit=FIT)
    assert settle is not None
    assert settle.is_censored
    assert settle.settle_s == 180.0


def test_a_curve_that_does_not_fit_is_not_extrapolated() -> None:
    odd = replace(FIT, misfit=because("recovery.no_tau"))
    settle = settle_time(T[:41], CURVE[:41], settle_bpm=120.0, window_s=40.0, fit=odd)
    assert settle is not None
    assert settle.is_censored


def test_an_effort_that_ends_below_the_level_has_no_settle_time() -> None:
    assert settle_time(T, CURVE, settle_bpm=190.0, window_s=180.0, fit=None) is None
