"""Session in, recoveries out: figures, what is missing, and simulated truth."""

import numpy as np
import pytest

from rideready.model.recovery import CutBy, Evidence, Grade, Mode
from rideready.model.rider import Rider
from rideready.model.session import Session
from rideready.recovery.measure import find_recoveries
from tests.support.sessions import Bout, bouts

RIDER = Rider(max_hr_bpm=190, resting_hr_bpm=55)


def codes(reasons: tuple[object, ...]) -> set[str]:
    return {getattr(reason, "code", "") for reason in reasons}


def test_a_noise_free_recovery_gives_its_own_drops() -> None:
    # From 170 towards 95 with tau 45 s: 75·(1 - e^(-t/45)) = 36.5, 55.2, 69.8 at 30, 60, 120 s.
    session, stops = bouts([Bout(240, 170, 200)], power=True)
    (found,) = find_recoveries(session, RIDER)
    assert found.end_of_effort_s == pytest.approx(stops[0], abs=1.5)
    assert found.hrr30_bpm == pytest.approx(36.5, abs=2)
    assert found.hrr60_bpm == pytest.approx(55.2, abs=1.5)
    assert found.hrr120_bpm == pytest.approx(69.8, abs=1.5)
    assert found.tau_s is not None
    assert found.tau_low_s is not None
    assert found.tau_high_s is not None
    assert found.tau_low_s < 45 < found.tau_high_s
    assert found.mode == Mode.STILL
    assert found.grade == Grade.GOOD
    assert found.peak_reserve == pytest.approx((170 - 55) / 135, abs=0.02)


def test_the_settle_time_is_at_the_rider_s_level() -> None:
    # 60 % of a reserve from 55 to 190 is 136 bpm; 95 + 75·e^(-t/45) = 136 at t = 27.2 s.
    session, _ = bouts([Bout(240, 170, 200)], power=True)
    (found,) = find_recoveries(session, RIDER)
    assert found.settle_s == pytest.approx(27.2, abs=3)
    assert not found.settle_is_censored


def test_a_recovery_cut_after_40_s_keeps_hrr30_and_says_why_not_more() -> None:
    session, _ = bouts([Bout(150, 170, 40), Bout(150, 170, 200)], noise_bpm=1.0, power=True)
    first = find_recoveries(session, RIDER)[0]
    assert first.cut_by == CutBy.NEXT_EFFORT
    assert first.hrr30_bpm is not None
    assert first.hrr60_bpm is None
    assert {"recovery.cut_by_effort", "recovery.no_hrr60"} <= codes(first.reasons)
    assert first.grade == Grade.ROUGH


def test_without_rider_numbers_drops_stand_and_reserve_and_settle_time_are_absent() -> None:
    session, _ = bouts([Bout(240, 170, 200)], noise_bpm=1.0)
    (found,) = find_recoveries(session, Rider())
    assert found.hrr60_bpm is not None
    assert found.peak_reserve is None
    assert found.settle_s is None
    assert found.evidence == Evidence.HEART_RATE
    assert found.mode == Mode.UNKNOWN


def test_recoveries_are_numbered_in_order_of_time() -> None:
    session, _ = bouts([Bout(150, 170, 120)] * 4, noise_bpm=1.0, power=True)
    found = find_recoveries(session, RIDER)
    assert [recovery.order for recovery in found] == [1, 2, 3, 4]
    assert np.diff([recovery.end_of_effort_s for recovery in found]).min() > 200


def test_shifting_the_pulse_of_heart_and_rider_alike_changes_no_drop() -> None:
    session, _ = bouts([Bout(240, 160, 200)], noise_bpm=1.0, power=True)
    raised = Session.from_arrays(session.t_s, session.hr_bpm + 10, power_w=session.channel("power_w"))
    (low,) = find_recoveries(session, Rider(max_hr_bpm=180, resting_hr_bpm=50))
    (high,) = find_recoveries(raised, Rider(max_hr_bpm=190, resting_hr_bpm=60))
    assert low.hrr60_bpm is not None
    assert high.hrr60_bpm == pytest.approx(low.hrr60_bpm, abs=0.2)


def test_a_session_without_heart_rate_has_no_recoveries() -> None:
    assert find_recoveries(Session(np.arange(600.0), {"power_w": np.full(600, 200.0)}), RIDER) == []
