"""Rises and falls are found, ripples are not."""

import numpy as np
import pytest

from rideready.recovery.turns import Fall, find_falls, noise_sd_bpm, smooth_5s, steep_starts
from tests.support.sessions import Bout, bouts


def test_a_5_s_mean_of_a_line_is_the_line_and_unknown_seconds_stay_unknown() -> None:
    hr = np.arange(100.0, 120.0)
    hr[10] = np.nan
    smooth = smooth_5s(hr)
    assert smooth[5] == 105.0
    assert np.isnan(smooth[10])
    assert smooth[11] == pytest.approx((109 + 111 + 112 + 113) / 4)


@pytest.mark.parametrize("sd_bpm", [1.0, 2.5])
def test_the_noise_is_measured_to_a_quarter(sd_bpm: float) -> None:
    session, _ = bouts([Bout(900, 150, 5)], noise_bpm=sd_bpm, start_bpm=150)
    assert noise_sd_bpm(session.hr_bpm) == pytest.approx(sd_bpm, rel=0.25)


def test_each_bout_gives_one_fall() -> None:
    session, stops = bouts([Bout(180, 170, 120), Bout(120, 165, 120)], noise_bpm=1.5)
    falls = find_falls(session.hr_bpm)
    assert len(falls) == 2
    assert [fall.is_closed for fall in falls] == [True, False]
    for fall, stop in zip(falls, stops, strict=True):
        assert abs(fall.top - stop) <= 30


def test_ripples_on_a_plateau_give_no_fall() -> None:
    session, _ = bouts([Bout(1200, 160, 3)], noise_bpm=1.0, start_bpm=160)
    assert find_falls(session.hr_bpm) == []


def test_a_recording_without_heart_rate_has_no_falls() -> None:
    assert find_falls(np.full(100, np.nan)) == []


def test_a_fall_with_a_level_minute_in_it_has_two_descents() -> None:
    slower = 130 + 35 * np.exp(-np.arange(150) / 20)
    hr = np.concatenate([np.full(60, 165.0), slower, 95 + 35 * np.exp(-np.arange(120) / 30)])
    starts = steep_starts(smooth_5s(hr), Fall(0, 60, hr.size - 1, is_closed=False))
    assert len(starts) == 2
    assert abs(starts[0] - 60) <= 12
    assert abs(starts[1] - 210) <= 15


def test_a_smooth_fall_has_one_descent() -> None:
    hr = np.concatenate([np.full(60, 165.0), 95 + 70 * np.exp(-np.arange(200) / 45)])
    assert len(steep_starts(smooth_5s(hr), Fall(0, 60, hr.size - 1, is_closed=False))) == 1
