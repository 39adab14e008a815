"""Predictions from a posterior of one or two curves, worked by hand."""

import numpy as np
import pytest

from rideready.recovery.predict import FallPosterior, predict_drop, predict_fall

#: One curve: tau 50 s, no delay, no lag; c 90 ± 3, P 170 ± 2, covariance 1.5.
ONE_CURVE = FallPosterior(
    tau_s=np.array([50.0]),
    delay_s=np.array([0.0]),
    lag_s=np.array([0.0]),
    weight=np.array([1.0]),
    end_bpm=np.array([90.0]),
    peak_bpm=np.array([170.0]),
    end_variance=np.array([9.0]),
    peak_variance=np.array([4.0]),
    covariance=np.array([1.5]),
)
#: Two curves that differ in the end level only and have no other doubt: 80 or 100 bpm, 1 to 3.
TWO_LEVELS = FallPosterior(
    tau_s=np.array([50.0, 50.0]),
    delay_s=np.zeros(2),
    lag_s=np.zeros(2),
    weight=np.array([0.25, 0.75]),
    end_bpm=np.array([80.0, 100.0]),
    peak_bpm=np.array([170.0, 170.0]),
    end_variance=np.zeros(2),
    peak_variance=np.zeros(2),
    covariance=np.zeros(2),
)
#: exp(-60/50)
LEFT = 0.30119421


def test_the_drop_and_its_error_follow_from_both_levels_and_their_covariance() -> None:
    drop, se = predict_drop(ONE_CURVE, [0.0, 60.0])

    assert drop == pytest.approx([0.0, 80.0 * (1 - LEFT)], abs=1e-6)
    assert se == pytest.approx([0.0, np.sqrt(9.0 + 4.0 - 3.0) * (1 - LEFT)], abs=1e-6)


def test_the_band_is_1_96_standard_deviations_wide_on_either_side() -> None:
    middle, low, high = predict_fall(ONE_CURVE, [0.0, 60.0])

    variance = (1 - LEFT) ** 2 * 9.0 + LEFT**2 * 4.0 + 2 * LEFT * (1 - LEFT) * 1.5
    assert middle == pytest.approx([170.0, 90.0 + 80.0 * LEFT], abs=1e-6)
    assert high - middle == pytest.approx([1.959964 * 2.0, 1.959964 * np.sqrt(variance)], abs=1e-5)
    assert middle - low == pytest.approx(high - middle)


def test_doubt_between_curves_adds_to_the_error() -> None:
    drop, se = predict_drop(TWO_LEVELS, 6000.0)

    # 90 with a quarter, 70 with three: mean 75, variance 0.25·15² + 0.75·5² = 75.
    assert drop[0] == pytest.approx(75.0)
    assert se[0] == pytest.approx(np.sqrt(75.0))


def test_the_curve_is_level_before_the_end_of_the_effort() -> None:
    middle, _, _ = predict_fall(ONE_CURVE, [-30.0, -1.0, 0.0])

    assert middle == pytest.approx(170.0)
