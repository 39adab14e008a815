"""Step tests from a recording, against the simulated truth."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from rideready.errors import BadInput
from rideready.importers.registry import read_session
from rideready.model.fieldtest import Counting, FieldTest, FieldTestResult, Figure, Measure
from rideready.model.rider import Rider, Sex
from rideready.model.session import Session
from rideready.recovery.fieldtest_reading import read_step_test
from rideready.recovery.step_formulas import harvard_index, queens_college_uptake
from rideready.signal.clean import clean
from rideready.simulate.devices import chest_strap, coarse_recorder, wrist_optical
from rideready.simulate.recorder import SimulatedSession
from rideready.simulate.sensor import SensorTraits
from tests.support.field_tests import STAND_S, plain_strap, recorded, stepping, true_beats
from tests.support.recordings import recording

RIDER = Rider(age_years=30, sex=Sex.MALE)


def codes(result: FieldTestResult) -> list[str]:
    return [reason.code for reason in result.reasons]


def main_of(result: FieldTestResult) -> Figure:
    assert result.main is not None
    return result.main


def holds(figure: Figure, truth: float) -> bool:
    assert figure.low is not None
    assert figure.high is not None
    return figure.low <= truth <= figure.high


@pytest.mark.parametrize(
    ("sensor", "most_sd_beats"), [(chest_strap, 1.5), (wrist_optical, 3.0), (coarse_recorder, 3.0)]
)
def test_the_count_of_a_minute_agrees_with_the_heart_and_its_interval_holds(
    sensor: Callable[[np.random.Generator], SensorTraits], most_sd_beats: float
) -> None:
    errors, held = [], []
    for seed in range(7):
        session = recorded(stepping(), seed, sensor=sensor)
        result = read_step_test(clean(session.session), FieldTest.YMCA, RIDER)
        if result.main is not None:
            truth = true_beats(session, STAND_S + 180 + 2.5, 60.0)
            errors.append(result.main.value - truth)
            held.append(holds(result.main, truth))
    assert len(errors) >= 6  # a sensor may have failed in the minute that counts
    assert abs(np.mean(errors)) < 2
    assert np.std(errors) < most_sd_beats
    # Of 7 at 95 % fewer than 6 hold in 4 % of draws; these are seeded. Over 3 x 40 the share was 99 %.
    assert sum(held) >= len(held) - 1


@pytest.mark.parametrize("seconds", [300, 200])
def test_the_harvard_index_agrees_with_the_heart_and_its_interval_holds(seconds: int) -> None:
    held = []
    for seed in range(6):
        session = recorded(stepping(seconds, demand=0.93), seed, sensor=plain_strap)
        result = read_step_test(clean(session.session), FieldTest.HARVARD, RIDER)
        truth = harvard_index(
            seconds, [true_beats(session, STAND_S + seconds + after, 30.0) for after in (60, 120, 180)]
        )
        assert main_of(result).value == pytest.approx(truth, rel=0.12)
        held.append(holds(main_of(result), truth))
        assert ("fieldtest.stopped_early" in codes(result)) is (seconds < 300)
        assert len(result.bands) == 2
    assert sum(held) >= 5


def ymca_session(seed: int = 3) -> SimulatedSession:
    return recorded(stepping(), seed, sensor=plain_strap)


def test_a_reading_tells_its_stop_its_counts_and_how_it_was_counted() -> None:
    result = read_step_test(clean(ymca_session().session), FieldTest.YMCA, RIDER)
    assert result.counting is Counting.RECORDING
    assert result.stop_s == pytest.approx(STAND_S + 180, abs=5)
    (count,) = result.counts
    assert count.se_beats is not None
    assert main_of(result).value == count.beats
    assert main_of(result).high == pytest.approx(count.beats + 1.96 * count.se_beats)
    assert result.was_by_protocol


def test_a_band_that_is_not_sure_names_the_others() -> None:
    result = read_step_test(clean(ymca_session().session), FieldTest.YMCA, RIDER)
    (band,) = result.bands
    assert len(band.could_be) > 1
    assert band.label in band.could_be
    said = result.reasons[codes(result).index("fieldtest.could_be")].sentence
    assert all(label in said for label in band.could_be if label != band.label)


def test_queens_college_reads_the_pulse_and_widens_the_uptake_by_its_error() -> None:
    session = recorded(stepping(demand=0.7), 6, sensor=plain_strap)
    result = read_step_test(clean(session.session), FieldTest.QUEENS_COLLEGE, RIDER)
    pulse, uptake = result.figures
    assert (pulse.measure, uptake.measure) == (Measure.RECOVERY_PULSE, Measure.OXYGEN_UPTAKE)
    assert holds(pulse, 4 * true_beats(session, STAND_S + 180 + 5, 15.0))
    assert uptake.value == pytest.approx(queens_college_uptake(pulse.value, Sex.MALE))
    assert uptake.high is not None
    assert uptake.high > 1.16 * uptake.value


def with_hole(session: Session, start_s: float, length_s: float) -> Session:
    hr_bpm = session.hr_bpm.copy()
    hr_bpm[(session.t_s >= start_s) & (session.t_s < start_s + length_s)] = np.nan
    return replace(session, channels={**session.channels, "hr_bpm": hr_bpm})


def test_a_hole_in_the_minute_gives_no_figure_and_says_where() -> None:
    holed = with_hole(ymca_session().session, STAND_S + 180 + 30, 20)
    result = read_step_test(clean(holed), FieldTest.YMCA, RIDER)
    assert result.figures == ()
    assert result.main is None
    assert "fieldtest.hole" in codes(result)
    assert result.stop_s == pytest.approx(STAND_S + 180, abs=5)
    assert not result.was_by_protocol


def test_a_hole_in_one_of_three_counts_leaves_the_others_and_no_index() -> None:
    session = recorded(stepping(300, demand=0.9), 2, sensor=plain_strap).session
    holed = with_hole(session, STAND_S + 300 + 125, 20)
    result = read_step_test(clean(holed), FieldTest.HARVARD, RIDER)
    assert result.main is None
    assert [count.start_s for count in result.counts] == [60, 180]
    assert "fieldtest.hole" in codes(result)


def test_a_recording_stopped_too_soon_says_so() -> None:
    session = ymca_session().session
    kept = session.t_s <= STAND_S + 180 + 45
    short = replace(
        session, t_s=session.t_s[kept], channels={name: v[kept] for name, v in session.channels.items()}
    )
    result = read_step_test(clean(short), FieldTest.YMCA, RIDER)
    assert result.main is None
    assert "fieldtest.ends_early" in codes(result)


def test_a_harvard_test_without_a_visible_start_asks_for_its_length() -> None:
    signal = clean(recorded(stepping(300, demand=0.9, stand_s=1), 2, sensor=plain_strap).session)
    asked, told = (
        read_step_test(signal, FieldTest.HARVARD, RIDER, stepped_s=seconds) for seconds in (None, 300.0)
    )
    assert asked.main is None
    assert "fieldtest.length_unknown" in codes(asked)
    assert len(asked.counts) == 3
    assert main_of(told).value == pytest.approx(harvard_index(300, [count.beats for count in told.counts]))


@pytest.mark.parametrize("stepped_s", [0.0, 29.0, 301.0, float("nan")])
def test_a_length_that_cannot_be_meant_is_refused(stepped_s: float) -> None:
    with pytest.raises(BadInput, match="30 to 300"):
        read_step_test(clean(ymca_session().session), FieldTest.HARVARD, RIDER, stepped_s=stepped_s)


def test_an_unclear_stop_is_said_in_seconds_and_beats() -> None:
    signal = clean(recorded(stepping(200, demand=0.93), 1, sensor=plain_strap).session)
    result = read_step_test(signal, FieldTest.HARVARD, RIDER)
    assert "fieldtest.stop_unclear" in codes(result)
    assert "fieldtest.stop_unclear" not in codes(
        read_step_test(signal, FieldTest.HARVARD, RIDER, stop_s=STAND_S + 200.0)
    )


def test_a_ride_is_no_step_test() -> None:
    with pytest.raises(ValueError, match="not a step test"):
        read_step_test(clean(ymca_session().session), FieldTest.RIDE, RIDER)


def test_a_real_run_of_repeats_is_not_taken_for_a_step_test() -> None:
    # Five running repeats of about three minutes, see the folder's index.
    result = read_step_test(clean(read_session(recording("recording-08.fit"))), FieldTest.YMCA, RIDER)
    assert result.figures == ()
    assert codes(result) == ["fieldtest.several"]
