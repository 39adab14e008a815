"""A pulse near the cadence proves nothing; one that follows it does."""

import numpy as np
import pytest

from rideready.signal.cadence_lock import locked_seconds

T = np.arange(300.0)
CADENCE = 84 + 5 * np.sin(T / 20)


@pytest.mark.parametrize("multiple", [0.5, 1.0, 2.0])
def test_a_pulse_that_follows_a_multiple_of_the_cadence_is_locked(multiple: float) -> None:
    hr = np.full(300, 130.0)
    hr[100:200] = np.round(multiple * CADENCE[100:200])
    cadence = CADENCE * 1.8 if multiple == 0.5 else CADENCE
    hr[100:200] = np.round(multiple * cadence[100:200])
    locked = locked_seconds(hr, cadence)
    assert locked[102:198].all()
    assert not locked[:98].any()
    assert not locked[202:].any()


def test_a_steady_pulse_at_a_steady_cadence_is_an_ordinary_run() -> None:
    hr, cadence = np.full(300, 160.0) + np.sin(T), np.full(300, 80.0)
    assert not locked_seconds(hr, cadence).any()


def test_a_pulse_that_jumps_on_to_a_steady_cadence_is_locked() -> None:
    hr = np.full(300, 130.0)
    hr[100:160] = 168
    locked = locked_seconds(hr, np.full(300, 84.0))
    assert locked[100:160].all()
    assert np.count_nonzero(locked) == 60


def test_under_half_a_minute_is_left_alone() -> None:
    hr = np.full(300, 130.0)
    hr[100:125] = 168
    assert not locked_seconds(hr, np.full(300, 84.0)).any()


def test_no_cadence_locks_nothing() -> None:
    assert not locked_seconds(np.full(300, 130.0), np.full(300, np.nan)).any()
