"""Power, cadence and speed tell where the work stopped, and what came after."""

import numpy as np
import pytest

from rideready.model.clean import CleanSignal
from rideready.model.recovery import Evidence, Mode
from rideready.model.session import FloatArray, Session
from rideready.recovery.stops import find_stop, mode_after, resumed_at, steady_until, work_stops
from rideready.signal.clean import clean


def signal(**channels: FloatArray) -> CleanSignal:
    n = len(next(iter(channels.values())))
    heart = {"hr_bpm": np.full(n, 140.0) + np.arange(n, dtype=np.float64) % 3}
    return clean(Session(np.arange(float(n)), heart | channels))


def pulse_alone() -> CleanSignal:
    return clean(Session(np.arange(300.0), {"hr_bpm": np.full(300, 140.0) + np.arange(300.0) % 3}))


def stepped(work: float, rest: float, *, n: int = 300, at: int = 150, seed: int = 2) -> FloatArray:
    noise = np.random.default_rng(seed).normal(0, 0.05, n)
    return np.where(np.arange(n) < at, work, rest) * (1 + noise)


@pytest.mark.parametrize(
    ("name", "evidence", "work", "rest"),
    [
        ("power_w", Evidence.POWER, 220.0, 20.0),
        ("cadence_rpm", Evidence.CADENCE, 85.0, 0.0),
        ("speed_m_s", Evidence.SPEED, 3.5, 1.0),
    ],
)
def test_a_drop_near_the_knee_is_the_stop(name: str, evidence: Evidence, work: float, rest: float) -> None:
    stop = find_stop(signal(**{name: stepped(work, rest)}), 158.0, not_before_s=0.0)
    assert stop is not None
    assert stop.evidence == evidence
    assert abs(stop.at_s - 150) <= 1.0


def test_power_speaks_before_cadence_and_speed() -> None:
    both = signal(power_w=stepped(220, 0), speed_m_s=stepped(8, 0, at=140))
    stop = find_stop(both, 155.0, not_before_s=0.0)
    assert stop is not None
    assert stop.evidence == Evidence.POWER


def test_a_slower_pace_that_is_still_work_is_no_stop() -> None:
    assert find_stop(signal(power_w=stepped(220, 180)), 155.0, not_before_s=0.0) is None


def test_a_stop_long_before_the_knee_belongs_to_something_else() -> None:
    assert find_stop(signal(power_w=stepped(220, 0)), 200.0, not_before_s=0.0) is None


def test_a_stop_while_the_pulse_still_climbs_is_another_one() -> None:
    assert find_stop(signal(power_w=stepped(220, 0)), 158.0, not_before_s=152.0) is None


def test_work_taken_up_again_ends_the_window() -> None:
    power = np.concatenate([stepped(220, 0, n=200), np.full(100, 215.0)])
    stop = find_stop(signal(power_w=power), 155.0, not_before_s=0.0)
    assert stop is not None
    back_s = resumed_at(signal(power_w=power), stop, until_s=290.0)
    assert back_s == pytest.approx(200, abs=4)
    assert resumed_at(signal(power_w=stepped(220, 0)), stop, until_s=290.0) is None


def test_every_sustained_stop_of_power_is_found_once() -> None:
    power = np.tile(np.concatenate([np.full(60, 220.0), np.full(60, 25.0)]), 3)
    stops = work_stops(signal(power_w=power))
    assert [round(stop.at_s) for stop in stops] == [60, 180, 300]
    assert work_stops(signal(speed_m_s=power)) == []


def test_a_hole_in_the_recording_is_no_stop() -> None:
    power = np.full(300, 220.0)
    power[100:180] = np.nan
    assert work_stops(signal(power_w=power)) == []


@pytest.mark.parametrize(
    ("channels", "mode"),
    [
        ({"speed_m_s": 0.1}, Mode.STILL),
        ({"speed_m_s": 1.3}, Mode.MOVING),
        ({"power_w": 25.0}, Mode.MOVING),
        ({"power_w": 0.0, "cadence_rpm": 60.0}, Mode.MOVING),
        ({"power_w": 0.0, "cadence_rpm": 0.0}, Mode.STILL),
    ],
)
def test_the_minute_after_tells_still_from_moving(channels: dict[str, float], mode: Mode) -> None:
    table = {name: np.full(200, value) for name, value in channels.items()}
    assert mode_after(signal(**table), 100.0, window_s=90.0) == mode


def test_without_any_channel_the_mode_is_unknown() -> None:
    assert mode_after(signal(altitude_m=np.zeros(200)), 100.0, window_s=90.0) == Mode.UNKNOWN


def standing_then_walking(*, at_s: int) -> CleanSignal:
    cadence = np.concatenate([np.full(100, 80.0), np.zeros(at_s), np.full(200 - at_s, 54.0)])
    return signal(cadence_rpm=cadence)


def test_walking_off_after_standing_ends_what_one_curve_describes() -> None:
    until_s = steady_until(standing_then_walking(at_s=75), 100.0, window_s=180.0, mode=Mode.STILL)
    assert until_s == 75.0


def test_standing_after_walking_on_ends_it_too() -> None:
    cadence = np.concatenate([np.full(100, 80.0), np.full(90, 54.0), np.zeros(110)])
    until_s = steady_until(signal(cadence_rpm=cadence), 100.0, window_s=180.0, mode=Mode.MOVING)
    assert until_s == 90.0


def test_a_few_steps_are_no_change() -> None:
    cadence = np.concatenate([np.full(100, 80.0), np.zeros(70), np.full(9, 54.0), np.zeros(121)])
    assert steady_until(signal(cadence_rpm=cadence), 100.0, window_s=180.0, mode=Mode.STILL) == 180.0


def test_slowing_down_is_no_change() -> None:
    cadence = np.concatenate([np.full(100, 80.0), np.full(14, 40.0), np.zeros(186)])
    assert steady_until(signal(cadence_rpm=cadence), 100.0, window_s=180.0, mode=Mode.STILL) == 180.0


def test_without_a_channel_the_whole_window_counts() -> None:
    assert steady_until(pulse_alone(), 100.0, window_s=180.0, mode=Mode.UNKNOWN) == 180.0
