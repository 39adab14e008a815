"""Each fault does what its name says, where it says, and nowhere else."""

import numpy as np
import pytest

from rideready.simulate.faults import Artefact, Fault, FaultRate, draw_artefacts, write_artefact

N = 3600
STILL_LIMBS = np.full(N, np.nan)


def _rng() -> np.random.Generator:
    return np.random.default_rng(5)


def _written(fault: Fault, *, limb_per_min: float = 164.0) -> tuple[np.ndarray, np.ndarray]:
    values = 120.0 + np.arange(60.0)
    is_written = np.ones(60, dtype=np.bool_)
    write_artefact(Artefact(fault, 20, 29), values, is_written, _rng(), np.full(60, limb_per_min))
    outside = np.r_[0:20, 30:60]
    assert np.array_equal(values[outside], 120.0 + outside)
    assert is_written[outside].all()
    return values[20:30], is_written[20:30]


def test_absent_values_are_missing() -> None:
    values, is_written = _written(Fault.ABSENT)

    assert np.isnan(values).all()
    assert is_written.all()


def test_zeros_are_written_as_zero() -> None:
    values, is_written = _written(Fault.ZERO)

    assert np.array_equal(values, np.zeros(10))
    assert is_written.all()


def test_a_stuck_sensor_repeats_its_last_value() -> None:
    values, _ = _written(Fault.STUCK)

    assert np.array_equal(values, np.full(10, 140.0))


def test_a_hole_has_no_records() -> None:
    _, is_written = _written(Fault.HOLE)

    assert not is_written.any()


def test_a_spike_jumps_by_25_to_60_bpm() -> None:
    values, _ = _written(Fault.SPIKE)

    jumps = np.abs(values - (140.0 + np.arange(10)))
    assert np.all((jumps >= 24.5) & (jumps <= 60.5))
    assert np.ptp(jumps) == 0


def test_a_cadence_lock_follows_the_limbs_within_three_bpm() -> None:
    values, _ = _written(Fault.CADENCE_LOCK)

    # Flagging rule of thumb in science-values section 9: within 3 bpm of the cadence.
    assert np.all(np.abs(values - 164.0) <= 3)


def test_faults_strike_as_often_as_told() -> None:
    rng = _rng()
    rates = (FaultRate(Fault.ABSENT, 2.0, 3, 5),)

    counts = [len(draw_artefacts(rates, rng, STILL_LIMBS)) for _ in range(500)]

    # Poisson with mean 2: standard error sqrt(2 / 500). Faults that come too close to another are
    # dropped, some 1 % of them.
    assert np.mean(counts) == pytest.approx(2.0, abs=4 * np.sqrt(2 / 500) + 0.05)


def test_faults_keep_apart_and_leave_the_begin_alone() -> None:
    rng = _rng()
    rates = (FaultRate(Fault.ABSENT, 20.0, 5, 40), FaultRate(Fault.STUCK, 20.0, 20, 80))

    for _ in range(50):
        found = draw_artefacts(rates, rng, STILL_LIMBS)
        starts = np.array([a.start_s for a in found])
        ends = np.array([a.end_s for a in found])
        assert starts.min() >= 10
        assert ends.max() < N
        assert np.all(starts[1:] - ends[:-1] > 5)


def test_a_lock_needs_limbs_that_move_all_through_it() -> None:
    rng = _rng()
    rates = (FaultRate(Fault.CADENCE_LOCK, 30.0, 20, 40),)
    half_moving = np.where(np.arange(N) < N // 2, 82.0, 0.0)

    locks = [a for _ in range(30) for a in draw_artefacts(rates, rng, half_moving)]

    assert len(locks) > 100
    assert max(a.end_s for a in locks) < N // 2
    assert draw_artefacts(rates, rng, STILL_LIMBS) == ()
