"""A programme becomes one recorded session with its truth."""

import datetime as dt

import numpy as np
import pytest

from rideready.model.session import Kind, Pause
from rideready.simulate.channels import Place
from rideready.simulate.faults import Fault, FaultRate
from rideready.simulate.programme import Activity, Motion, Piece, Posture
from rideready.simulate.recorder import Occasion, SimulatedSession, record
from rideready.simulate.sensor import SensorTraits
from rideready.simulate.traits import HeartTraits

LOCKING = SensorTraits("simulated", faults=(FaultRate(Fault.CADENCE_LOCK, 60.0, 30, 40),))
HEART = HeartTraits(54, 181, tau_spread=0.0, longest_delay_s=0.0, slow_share=0.0, drift_bpm=0.0)
CLEAN = SensorTraits("simulated test sensor", lag_s=0.0, noise_sd_bpm=0.0)
START = dt.datetime(2026, 9, 1, 15, 0, tzinfo=dt.UTC)

RIDE = Piece(200, 0.9, motion=Motion(230.0, 90.0), posture=Posture.SEATED)
SIT = Piece(120, 0.26, Activity.STILL, Posture.SEATED, Motion(0.0, 0.0))
AWAY = Piece(50, 0.4, Activity.MOVING, is_recorded=False)


def _recorded(*pieces: Piece, hidden: tuple[str, ...] = ()) -> SimulatedSession:
    occasion = Occasion("test", Kind.BIKE, START, "Europe/Oslo", Place(284, 12, 14), hidden)
    return record(pieces, HEART, CLEAN, occasion, np.random.default_rng(4))


def test_a_clean_recording_is_the_rounded_truth() -> None:
    found = _recorded(RIDE, SIT)

    assert np.array_equal(found.session.t_s, np.arange(321.0))
    assert np.array_equal(found.session.hr_bpm, np.rint(found.true_hr_bpm[::10]))
    assert found.session.device == "simulated test sensor"
    assert (found.session.start_utc, found.session.zone) == (START, "Europe/Oslo")


def test_truth_and_recording_share_one_clock() -> None:
    found = _recorded(RIDE, SIT)
    (recovery,) = found.truth

    # The last second of the ride is the highest, and the pulse falls from there.
    assert recovery.stop_s == 200
    assert found.session.t_s[np.argmax(found.session.hr_bpm)] <= 200
    assert found.session.hr_bpm[200] - found.session.hr_bpm[260] == round(recovery.hrr60_bpm or 0)


def test_a_stopped_recorder_writes_nothing_but_time_goes_on() -> None:
    found = _recorded(RIDE, SIT, AWAY, RIDE)

    assert found.session.pauses == (Pause(320.0, 370.0),)
    t = found.session.t_s
    assert not np.any((t > 320) & (t < 370))
    assert t[-1] == 570
    assert found.session.hr_bpm[t == 370] == np.rint(found.true_hr_bpm[3700])


def test_hidden_channels_show_neither_in_the_session_nor_in_the_truth() -> None:
    found = _recorded(RIDE, SIT, hidden=("power_w", "cadence_rpm", "temperature_c"))

    assert set(found.session.channels) == {"hr_bpm"}
    assert found.truth[0].channels == ()
    assert _recorded(RIDE, SIT).truth[0].channels == ("power_w", "cadence_rpm")


def test_laps_are_pressed_at_both_ends_of_a_hard_ride() -> None:
    assert _recorded(RIDE, SIT, RIDE, SIT).laps_s == (0.0, 200.0, 320.0, 520.0)
    assert _recorded(SIT, RIDE, SIT).laps_s == (0.0, 120.0, 320.0)


@pytest.mark.parametrize(("kind", "per_min"), [(Kind.RUN, 164), (Kind.BIKE, 82)])
def test_a_lock_follows_both_feet_of_a_runner_and_the_crank_of_a_cyclist(kind: Kind, per_min: int) -> None:
    run = Piece(600, 0.6, motion=Motion(None, 82.0, 2.5))
    occasion = Occasion("test", kind, START, "Europe/Oslo", Place(284, 12, 14))

    found = record([run], HEART, LOCKING, occasion, np.random.default_rng(4))

    assert len(found.artefacts) >= 3
    for lock in found.artefacts:
        seen = found.session.hr_bpm[lock.start_s : lock.end_s + 1]
        # Cadence wavers by 1.5 %; 130 bpm is the pulse.
        assert np.median(seen) == pytest.approx(per_min, abs=0.05 * per_min)
