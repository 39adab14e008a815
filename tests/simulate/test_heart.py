"""True curves against closed forms and published facts."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from rideready.simulate.heart import TrueCurve, true_curve
from rideready.simulate.programme import Activity, Piece, Posture
from rideready.simulate.traits import HeartTraits

#: A heart without chance, delay, slow phase or drift.
PLAIN = HeartTraits(50, 190, tau_spread=0.0, longest_delay_s=0.0, slow_share=0.0, drift_bpm=0.0)

_STOP = Piece(300, 0.3, Activity.STILL, Posture.SEATED)


def _rng() -> np.random.Generator:
    return np.random.default_rng(7)


def _demand(heart: HeartTraits, hr_bpm: float) -> float:
    return (hr_bpm - heart.resting_bpm) / heart.reserve_bpm


def test_a_rise_is_an_exponential_towards_the_level() -> None:
    curve = true_curve([Piece(120, 0.8)], replace(PLAIN, tau_rise_s=30.0), _rng(), start_demand=0.2)

    # By hand: 162 - 84 e^-1 = 131.0981 after 30 s, 162 - 84 e^-2 = 150.6318 after 60 s.
    assert curve.at(0) == pytest.approx(78.0)
    assert curve.at(30) == pytest.approx(131.0981, abs=1e-4)
    assert curve.at(60) == pytest.approx(150.6318, abs=1e-4)


@pytest.mark.parametrize(
    ("activity", "posture", "peak_bpm", "end_bpm", "hrr60_bpm"),
    [
        (Activity.STILL, Posture.SEATED, 147, 89, 39.50),
        (Activity.MOVING, Posture.SEATED, 147, 88, 32.75),
        (Activity.STILL, Posture.LYING, 147, 79, 57.57),
        (Activity.STILL, Posture.LYING_LEGS_UP, 148, 79, 60.59),
    ],
)
def test_postures_give_the_published_drops(
    activity: Activity, posture: Posture, peak_bpm: float, end_bpm: float, hrr60_bpm: float
) -> None:
    """Barak et al. 2011, J Sports Sci Med 10:369-375, 21 athletes.

    The paper prints level, end and time constant; the drop follows as (HRex - HR0)(1 - e^(-60/T)),
    computed with Python to two decimals, hence the tolerance.
    """
    heart = replace(PLAIN, tau_fall_s=52.5)
    work, rest = _demand(heart, peak_bpm), _demand(heart, end_bpm)
    programme = [Piece(10, work), Piece(300, rest, activity, posture)]

    (recovery,) = true_curve(programme, heart, _rng(), start_demand=work).recoveries

    assert recovery.hrr60_bpm == pytest.approx(hrr60_bpm, abs=0.01)


def _onset_shift(curve: TrueCurve, stop_s: float) -> tuple[float, float]:
    """Fit one exponential to 5 min, once from the stop and once from 5 s later; tau and its change in %."""
    taus = []
    for onset in (0.0, 5.0):
        t = np.arange(0, 300 - onset, 5.0)
        y = np.array([curve.at(stop_s + onset + u) for u in t])
        fitted, _ = curve_fit(lambda t, a, b, tau: b + a * np.exp(-t / tau), t, y, p0=(60, 90, 60))
        taus.append(float(fitted[2]))
    return taus[0], 100 * (taus[1] / taus[0] - 1)


def test_one_exponential_fits_worse_after_maximal_than_after_light_work() -> None:
    """Pierpont, Stolpman, Gornick 2000, J Auton Nerv Syst 80:169-74 (nine people).

    When the fit starts 5 s later, tau moves by -13 % after maximal and by -4 % after submaximal work.
    The order and the sign are asserted; the simulated heart moves less, by about -3 and -1 %.
    """
    rng = _rng()
    shifts = {}
    for demand in (0.6, 0.99):
        curves = [true_curve([Piece(500, demand), _STOP], HeartTraits(54, 181), rng) for _ in range(30)]
        shifts[demand] = np.mean([_onset_shift(curve, 500) for curve in curves], axis=0)

    assert shifts[0.99][1] < shifts[0.6][1] < 0
    # Time constants of 60 to above 120 s after maximal work: from memory.
    assert 60 < shifts[0.99][0] < 120
    assert shifts[0.6][0] < 60


def test_drift_lifts_steady_work_slowly_and_never_past_the_maximum() -> None:
    heart = replace(PLAIN, drift_bpm=14.0)
    steady = true_curve([Piece(3600, 0.6)], heart, _rng())
    flat_out = true_curve([Piece(3600, 1.0)], heart, _rng())

    risen = steady.at(3600) - steady.at(600)
    # By hand: drift is 14 * 0.6 * (1 - e^(-t/1200)) and shows by 1 - 0.6: 3.3600 * (e^-0.5 - e^-3) = 1.8707
    assert risen == pytest.approx(1.8707, abs=1e-3)
    assert flat_out.hr_bpm.max() <= heart.max_bpm + 1e-9


def test_harder_efforts_delay_the_fall_longer() -> None:
    rng = _rng()
    hard = [_delay(rng, 0.95) for _ in range(400)]
    easy = [_delay(rng, 0.6) for _ in range(400)]

    # Drawn evenly from 0 to 15 s and from 0 to 3 s; four standard errors of the mean.
    assert np.mean(hard) == pytest.approx(7.5, abs=4 * 15 / np.sqrt(12 * 400))
    assert np.mean(easy) == pytest.approx(1.5, abs=4 * 3 / np.sqrt(12 * 400))
    assert max(hard) <= 15
    assert max(easy) <= 3


def _delay(rng: np.random.Generator, demand: float) -> float:
    (recovery,) = true_curve(
        [Piece(10, demand), _STOP], replace(PLAIN, longest_delay_s=15.0), rng, start_demand=demand
    ).recoveries
    return recovery.knee_s - recovery.stop_s


def test_only_near_maximal_efforts_fall_in_two_phases() -> None:
    heart = HeartTraits(54, 181)
    (light,) = true_curve([Piece(400, 0.7), _STOP], heart, _rng()).recoveries
    (hard,) = true_curve([Piece(400, 0.99), _STOP], heart, _rng()).recoveries

    assert light.slow_share == 0
    assert hard.slow_share == pytest.approx(0.35 * 0.95, abs=0.02)


def test_the_same_generator_gives_the_same_curve() -> None:
    programme = [Piece(200, 0.9), _STOP]
    first = true_curve(programme, HeartTraits(54, 181), _rng())
    second = true_curve(programme, HeartTraits(54, 181), _rng())

    assert np.array_equal(first.hr_bpm, second.hr_bpm)
    assert first.recoveries == second.recoveries


_PIECES = st.lists(
    st.builds(
        Piece,
        duration_s=st.integers(5, 200),
        demand=st.floats(0, 1),
        activity=st.sampled_from(Activity),
        posture=st.sampled_from(Posture),
    ),
    min_size=1,
    max_size=8,
)


@settings(deadline=None, max_examples=60)
@given(programme=_PIECES, seed=st.integers(0, 1000))
def test_any_programme_gives_a_continuous_curve_inside_the_reserve(programme: list[Piece], seed: int) -> None:
    heart = HeartTraits(54, 181)
    curve = true_curve(programme, heart, np.random.default_rng(seed))

    assert curve.t_s[-1] == pytest.approx(sum(piece.duration_s for piece in programme))
    assert curve.hr_bpm.min() >= heart.resting_bpm - 1e-9
    assert curve.hr_bpm.max() <= heart.max_bpm + 1e-9
    # The steepest step possible is the whole reserve over the shortest time constant, 0.1 s long.
    assert np.abs(np.diff(curve.hr_bpm)).max() < 0.1 * heart.reserve_bpm / 20
