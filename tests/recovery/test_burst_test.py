"""The repeat-burst test, against hand-made and simulated truth."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import linregress
from scipy.stats import t as student

from rideready.model.fieldtest import FieldTestResult, Measure
from rideready.model.session import Kind, Session
from rideready.recovery.burst_test import read_burst_test
from rideready.signal.clean import clean
from rideready.simulate import workouts
from rideready.simulate.channels import Place
from rideready.simulate.recorder import Occasion, SimulatedSession, record
from rideready.simulate.traits import HeartTraits
from rideready.simulate.workouts import Strength
from tests.support.falls import ar1_noise
from tests.support.field_tests import plain_strap
from tests.support.heart_rates import clean_signal

#: Seconds before the first hand-made burst.
LEAD_S = 60


def by_hand(drops_bpm: list[float], *, still_s: int = 60, seed: int = 1) -> np.ndarray:
    """Pulse of bursts from 120 to 170 bpm whose drops in 45 s are given; falls are exponential, tau 40 s."""
    hr = [np.full(LEAD_S, 120.0)]
    low = 120.0
    for drop in drops_bpm:
        hr.append(170.0 - (170.0 - low) * np.exp(-np.arange(1, 46) / 12.0))
        top = hr[-1][-1]
        fall = drop / (1 - np.exp(-45 / 40)) * (1 - np.exp(-np.arange(1, still_s + 1) / 40.0))
        hr.append(top - fall)
        low = float(hr[-1][-1])
    joined = np.concatenate([*hr, np.full(60, low)])
    noise = ar1_noise(np.random.default_rng(seed), np.arange(joined.size, dtype=float), sd_bpm=0.4, phi=0.6)
    return np.asarray(joined + noise)


def with_power(hr_bpm: np.ndarray, n: int, *, still_s: int = 60, rest_w: float = 0.0) -> Session:
    t_s = np.arange(hr_bpm.size, dtype=float)
    since = t_s - LEAD_S
    is_hard = (since >= 0) & (since < n * (45 + still_s)) & (since % (45 + still_s) < 45)
    power = np.where(is_hard, 320.0, rest_w)
    return Session.from_arrays(t_s, hr_bpm, power_w=power, cadence_rpm=np.where(is_hard, 95.0, rest_w))


def codes(result: FieldTestResult) -> list[str]:
    return [reason.code for reason in result.reasons]


DROPS = [40.0, 38.0, 37.0, 36.0, 34.0, 33.0]


@pytest.fixture(scope="module")
def tiring() -> FieldTestResult:
    return read_burst_test(clean(with_power(by_hand(DROPS), 6)))


def test_every_burst_is_found_with_its_start_peak_and_drop(tiring: FieldTestResult) -> None:
    assert [burst.order for burst in tiring.bursts] == [1, 2, 3, 4, 5, 6]
    assert [burst.end_s for burst in tiring.bursts] == pytest.approx(
        [LEAD_S + 45 + 105 * k for k in range(6)], abs=1.5
    )
    assert [burst.hrr45_bpm for burst in tiring.bursts] == pytest.approx(DROPS, abs=2.0)
    assert tiring.bursts[0].start_bpm == pytest.approx(120, abs=1.5)
    assert all(burst.peak_bpm == pytest.approx(168.5, abs=2.5) for burst in tiring.bursts)


def test_the_main_figure_is_the_median_drop_with_its_interval(tiring: FieldTestResult) -> None:
    drops = [burst.hrr45_bpm for burst in tiring.bursts if burst.hrr45_bpm is not None]
    main = tiring.main
    assert main is not None
    assert main.measure is Measure.DROP_45
    assert main.value == pytest.approx(np.median(drops))
    half = student.ppf(0.975, 5) * np.sqrt(np.pi / 2) * np.std(drops, ddof=1) / np.sqrt(6)
    assert (main.low, main.high) == pytest.approx((main.value - half, main.value + half))


def test_the_change_from_burst_to_burst_is_the_least_squares_slope_of_scipy(tiring: FieldTestResult) -> None:
    change = tiring.figures[1]
    fit = linregress([b.order for b in tiring.bursts], [b.hrr45_bpm for b in tiring.bursts])
    assert change.measure is Measure.DROP_45_CHANGE
    assert change.value == pytest.approx(fit.slope)
    half = student.ppf(0.975, 4) * fit.stderr
    assert (change.low, change.high) == pytest.approx((fit.slope - half, fit.slope + half))
    assert change.value == pytest.approx(-1.4, abs=0.3)


def test_the_pulse_at_the_starts_leaves_out_the_first(tiring: FieldTestResult) -> None:
    start = tiring.figures[2]
    assert start.measure is Measure.START_PULSE
    starts = [b.start_bpm for b in tiring.bursts[1:] if b.start_bpm is not None]
    assert start.value == pytest.approx(np.median(starts))


def test_there_are_no_norms_and_it_says_so(tiring: FieldTestResult) -> None:
    assert tiring.bands == ()
    assert codes(tiring) == ["fieldtest.own_history_only"]
    assert tiring.was_by_protocol


def test_two_bursts_are_too_few() -> None:
    result = read_burst_test(clean(with_power(by_hand([40.0, 38.0]), 2)))
    assert result.main is None
    assert codes(result) == ["fieldtest.too_few_bursts"]
    assert dict(result.reasons[0].values)["found"] == 2


def test_three_bursts_have_a_median_and_no_change() -> None:
    result = read_burst_test(clean(with_power(by_hand([40.0, 38.0, 37.0]), 3)))
    assert [figure.measure for figure in result.figures] == [Measure.DROP_45, Measure.START_PULSE]
    assert "fieldtest.no_burst_slope" in codes(result)


def test_a_burst_whose_drop_was_not_recorded_is_counted_out_and_said() -> None:
    hr_bpm = by_hand(DROPS)
    ends = LEAD_S + 45 + 2 * 105
    hr_bpm[ends + 34 : ends + 56] = np.nan
    result = read_burst_test(clean(with_power(hr_bpm, 6)))
    assert result.bursts[2].hrr45_bpm is None
    assert "fieldtest.burst_unread" in codes(result)
    assert result.main is not None
    assert result.main.value == pytest.approx(36, abs=2)


def test_a_burst_without_a_trace_leaves_its_number_out() -> None:
    hr_bpm = by_hand(DROPS)
    begin = LEAD_S + 2 * 105
    hr_bpm[begin - 5 : begin + 104] = np.nan
    result = read_burst_test(clean(with_power(hr_bpm, 6)))
    assert [burst.order for burst in result.bursts] == [1, 2, 4, 5, 6]
    assert "fieldtest.burst_missing" in codes(result)
    assert not result.was_by_protocol


def test_rests_of_another_length_are_said() -> None:
    result = read_burst_test(clean(with_power(by_hand(DROPS, still_s=72), 6, still_s=72)))
    assert "fieldtest.bursts_uneven" in codes(result)
    assert not result.was_by_protocol
    assert dict(result.reasons[0].values)["asked"] == 105


def test_pedalling_through_the_rests_is_said() -> None:
    result = read_burst_test(clean(with_power(by_hand(DROPS), 6, rest_w=60.0)))
    assert "fieldtest.moved_on" in codes(result)


def test_a_steady_pulse_has_no_bursts() -> None:
    assert codes(read_burst_test(clean_signal(np.full(600, 130.0)))) == ["fieldtest.too_few_bursts"]


def simulated(seed: int) -> SimulatedSession:
    rng = np.random.default_rng(seed)
    occasion = Occasion(
        "bursts",
        Kind.BIKE,
        dt.datetime(2026, 9, 1, 17, tzinfo=dt.UTC),
        "Europe/Oslo",
        Place(300.0, 12.0, 12.0),
    )
    heart = HeartTraits(56.0, 184.0, tau_fall_s=55.0)
    return record(workouts.burst_test(rng, Strength(235, 2.5, 10)), heart, plain_strap(rng), occasion, rng)


@pytest.mark.parametrize("hidden", [(), ("power_w", "cadence_rpm")])
def test_a_simulated_test_is_read_with_and_without_power_and_its_warm_up_left_out(
    hidden: tuple[str, ...],
) -> None:
    session = simulated(3)
    channels = {name: v for name, v in session.session.channels.items() if name not in hidden}
    result = read_burst_test(clean(replace(session.session, channels=channels)))
    stops = [585 + 105 * k for k in range(8)]
    true_drops = [session.true_hr_bpm[10 * s] - session.true_hr_bpm[10 * s + 450] for s in stops]
    assert [burst.end_s for burst in result.bursts] == pytest.approx(stops, abs=5)
    assert result.main is not None
    assert result.main.value == pytest.approx(np.median(true_drops), abs=3)
