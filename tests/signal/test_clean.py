"""Raw session in, clean seconds with reasons out."""

import numpy as np
import pytest

from rideready.model.clean import Flag
from rideready.model.session import Pause, Session
from rideready.signal.clean import clean
from rideready.signal.summary import left_out
from tests.support.recordings import recording


def noisy(n: int, level: float = 140.0) -> np.ndarray:
    return np.round(level + np.random.default_rng(3).normal(0, 1.0, n))


def test_an_even_clean_recording_comes_back_unchanged() -> None:
    hr = noisy(200)
    signal = clean(Session.from_arrays(np.arange(200.0), hr))
    assert (signal.hr_bpm == hr).all()
    assert signal.seconds_by_flag == {Flag.OK: 200}
    assert signal.clean_share == 1.0


def test_flagged_seconds_carry_no_heart_rate_and_the_raw_samples_stay() -> None:
    hr = noisy(200)
    hr[50:70] = 0
    session = Session.from_arrays(np.arange(200.0), hr.copy())
    signal = clean(session)
    assert (signal.flags[50:70] == Flag.ABSENT).all()
    assert np.isnan(signal.hr_bpm[50:70]).all()
    assert (session.hr_bpm == hr).all()


def test_the_second_of_a_spike_is_flagged_and_not_drawn_over() -> None:
    hr = noisy(200)
    hr[100] = 190
    signal = clean(Session.from_arrays(np.arange(200.0), hr))
    assert signal.flags[100] == Flag.SPIKE
    assert np.isnan(signal.hr_bpm[100])
    assert signal.seconds_by_flag == {Flag.OK: 199, Flag.SPIKE: 1}


def test_a_gap_under_the_bridge_is_drawn_and_a_longer_one_is_a_gap() -> None:
    t = np.delete(np.arange(100.0), [*range(20, 24), *range(50, 60)])
    signal = clean(Session.from_arrays(t, noisy(t.size)))
    assert np.isfinite(signal.hr_bpm[20:24]).all()
    assert (signal.flags[50:60] == Flag.GAP).all()
    assert signal.longest_bridge_s == 5.0


def test_a_gap_inside_a_pause_is_a_pause_and_does_not_count_against_the_sensor() -> None:
    t = np.delete(np.arange(100.0), range(40, 70))
    session = Session(t, {"hr_bpm": noisy(t.size)}, pauses=(Pause(39.0, 70.0),))
    signal = clean(session)
    assert (signal.flags[40:70] == Flag.PAUSED).all()
    assert signal.clean_share == 1.0


def test_a_locked_stretch_is_flagged_and_its_samples_are_not_kept() -> None:
    t = np.arange(300.0)
    cadence = 84 + 5 * np.sin(t / 20)
    hr = noisy(300, 130.0)
    hr[100:200] = np.round(cadence[100:200])
    signal = clean(Session.from_arrays(t, hr, cadence_rpm=cadence))
    assert (signal.flags[105:195] == Flag.CADENCE_LOCK).all()
    assert not ((signal.raw_t_s > 105) & (signal.raw_t_s < 195)).any()


def test_a_session_without_heart_rate_is_all_absent() -> None:
    signal = clean(Session(np.arange(10.0), {"power_w": np.full(10, 200.0)}))
    assert (signal.flags == Flag.ABSENT).all()
    assert signal.clean_share == 0.0
    assert (signal.power_w == 200.0).all()


def test_an_empty_session_gives_an_empty_signal() -> None:
    signal = clean(Session(np.empty(0), {}))
    assert signal.t_s.size == 0
    assert signal.clean_share == 0.0


def test_the_summary_names_minutes_and_reason_most_frequent_first() -> None:
    hr = noisy(600)
    hr[50:110] = 0
    hr[300] = 190
    reasons = left_out(clean(Session.from_arrays(np.arange(600.0), hr)))
    assert [reason.code for reason in reasons] == ["signal.absent", "signal.spike"]
    assert reasons[0].sentence == "1.0 min without a heart-rate value from the sensor."


@pytest.mark.parametrize(("name", "spacing_s"), [("recording-01.fit", 1.0), ("recording-05.fit", 6.0)])
def test_the_spacing_of_real_recordings_is_measured(name: str, spacing_s: float) -> None:
    # Counted by hand in the record messages of both files.
    from rideready.importers.registry import read_session

    assert clean(read_session(recording(name))).spacing_s == spacing_s
