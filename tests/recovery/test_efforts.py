"""Each effort is found once, at its end; dips and ripples are not."""

import numpy as np
import pytest

from rideready.model.recovery import CutBy, Evidence
from rideready.model.session import Session
from rideready.recovery.efforts import find_efforts
from rideready.signal.clean import clean
from tests.support.sessions import Bout, bouts


def test_from_heart_rate_alone_each_end_lies_within_5_s_of_the_knee() -> None:
    session, stops = bouts([Bout(180, 170, 150, delay_s=d) for d in (0, 5, 10, 15)], noise_bpm=1.0)
    efforts = find_efforts(clean(session))
    assert len(efforts) == 4
    for effort, stop, delay_s in zip(efforts, stops, (0, 5, 10, 15), strict=True):
        assert effort.evidence == Evidence.HEART_RATE
        assert abs(effort.end_s - (stop + delay_s)) <= 5
        assert effort.peak_bpm == pytest.approx(170, abs=4)


def test_with_power_each_end_lies_within_2_s_of_the_stop() -> None:
    session, stops = bouts([Bout(180, 170, 150, delay_s=d) for d in (0, 8, 15)], noise_bpm=1.5, power=True)
    efforts = find_efforts(clean(session))
    assert [effort.evidence for effort in efforts] == [Evidence.POWER] * 3
    assert np.abs(np.array([e.end_s for e in efforts]) - stops).max() <= 2.0


def test_a_plateau_with_ripples_ends_once() -> None:
    session, stops = bouts([Bout(900, 165, 150)], noise_bpm=2.0)
    efforts = find_efforts(clean(session))
    assert len(efforts) == 1
    assert abs(efforts[0].end_s - stops[0]) <= 5


def test_small_dips_and_steady_work_give_none() -> None:
    session, _ = bouts([Bout(300, 150, 20, rest_bpm=140), Bout(300, 150, 20, rest_bpm=140)], noise_bpm=1.0)
    assert find_efforts(clean(session)) == []


def test_a_fall_of_less_than_12_bpm_in_a_minute_gives_none() -> None:
    session, _ = bouts([Bout(300, 150, 60, rest_bpm=140, tau_s=20)] * 2, noise_bpm=0.5)
    assert find_efforts(clean(session)) == []


def test_slow_drift_down_is_no_end_of_an_effort() -> None:
    t = np.arange(1800.0)
    hr = np.round(150 - 25 * t / 1800 + np.random.default_rng(4).normal(0, 1.2, t.size))
    assert find_efforts(clean(Session.from_arrays(t, hr))) == []


def test_the_next_effort_ends_the_window() -> None:
    session, stops = bouts([Bout(120, 170, 45), Bout(120, 170, 200)], noise_bpm=1.0, power=True)
    first, second = find_efforts(clean(session))
    assert first.cut_by == CutBy.NEXT_EFFORT
    assert first.window_s == pytest.approx(45, abs=8)
    assert second.end_s == pytest.approx(stops[1], abs=2)


def test_a_long_hole_ends_the_window_and_a_short_one_does_not() -> None:
    session, stops = bouts([Bout(180, 170, 240)])
    stop = int(stops[0])
    for hole_s, cut_by in ((20, CutBy.END), (60, CutBy.GAP)):
        keep = (session.t_s <= stop + 40) | (session.t_s > stop + 40 + hole_s)
        (effort,) = find_efforts(clean(Session.from_arrays(session.t_s[keep], session.hr_bpm[keep])))
        assert effort.cut_by == cut_by


def test_an_effort_whose_turn_was_not_recorded_is_not_reported() -> None:
    session, stops = bouts([Bout(180, 170, 240)])
    keep = (session.t_s <= stops[0] - 5) | (session.t_s > stops[0] + 60)
    assert find_efforts(clean(Session.from_arrays(session.t_s[keep], session.hr_bpm[keep]))) == []


def test_a_fall_too_slow_for_a_knee_ends_where_power_stops() -> None:
    session, stops = bouts(
        [Bout(300, 150, 300, rest_bpm=125, tau_s=100, delay_s=40)], noise_bpm=1.0, power=True
    )
    (effort,) = find_efforts(clean(session))
    assert effort.evidence == Evidence.POWER
    assert effort.end_s == pytest.approx(stops[0], abs=2)


def test_a_session_without_heart_rate_has_no_efforts() -> None:
    assert find_efforts(clean(Session(np.arange(100.0), {"power_w": np.full(100, 200.0)}))) == []


def test_an_empty_session_has_no_efforts() -> None:
    assert find_efforts(clean(Session(np.empty(0), {}))) == []
