"""The submaximal ride: stages held or not, the rest, and the drop."""

from dataclasses import replace

import numpy as np
import pytest

from rideready.errors import BadInput
from rideready.importers.registry import read_session
from rideready.model.fieldtest import FieldTestResult, Measure
from rideready.model.rider import Rider
from rideready.model.session import Session
from rideready.recovery.ride_test import read_ride_test
from rideready.signal.clean import clean
from tests.support.falls import ar1_noise
from tests.support.recordings import recording

RIDER = Rider(max_hr_bpm=180, resting_hr_bpm=54)
#: 60, 80 and 90 % of 180.
TARGETS = (108.0, 144.0, 162.0)


def ride(
    levels: tuple[float, float, float] = TARGETS, *, rest_s: int = 120, rest_w: float = 0.0, tail_s: int = 0
) -> Session:
    """Make a ride by the protocol with the pulse settling on these levels, then a fall with a time constant of 45 s."""
    hr, now = [np.full(30, 75.0)], 75.0
    for level, seconds in zip(levels, (360, 360, 180), strict=True):
        hr.append(level + (now - level) * np.exp(-np.arange(1, seconds + 1) / 15.0))
        now = float(hr[-1][-1])
    hr.append(90 + (now - 90) * np.exp(-np.arange(1, rest_s + 1) / 45.0))
    hr.append(hr[-1][-1] + 25 * (1 - np.exp(-np.arange(1, tail_s + 1) / 20.0)))
    joined = np.concatenate(hr)
    t_s = np.arange(joined.size, dtype=float)
    noise = ar1_noise(np.random.default_rng(4), t_s, sd_bpm=0.7, phi=0.7)
    watts = np.concatenate(
        [
            np.zeros(30),
            np.full(360, 90.0),
            np.full(360, 170.0),
            np.full(180, 220.0),
            np.full(rest_s, rest_w),
            np.full(tail_s, 80.0),
        ]
    )
    rpm = np.where(watts > 0, 85.0, 0.0)
    return Session.from_arrays(t_s, np.round(joined + noise), power_w=watts, cadence_rpm=rpm)


def read(session: Session, rider: Rider = RIDER, *, stop_s: float | None = None) -> FieldTestResult:
    return read_ride_test(clean(session), rider, stop_s=stop_s)


def codes(result: FieldTestResult) -> list[str]:
    return [reason.code for reason in result.reasons]


@pytest.fixture(scope="module")
def held() -> FieldTestResult:
    return read(ride())


def test_a_ride_by_the_protocol_gives_the_drop_and_nothing_to_say(held: FieldTestResult) -> None:
    assert held.main is not None
    assert held.main.measure is Measure.DROP_60
    # 72 bpm above the end level: 72 (1 - exp(-60 / 45)).
    assert held.main.value == pytest.approx(72 * (1 - np.exp(-60 / 45)), abs=2.5)
    assert held.main.low is not None
    assert held.main.high is not None
    assert held.main.low < 72 * (1 - np.exp(-60 / 45)) < held.main.high
    assert held.reasons == ()
    assert held.was_by_protocol
    assert held.stop_s == pytest.approx(930, abs=2)


def test_each_stage_tells_target_level_and_power(held: FieldTestResult) -> None:
    assert [stage.target_bpm for stage in held.stages] == pytest.approx(TARGETS)
    assert [stage.held_bpm for stage in held.stages] == pytest.approx(TARGETS, abs=1)
    assert [stage.power_w for stage in held.stages] == pytest.approx([90, 170, 220], abs=2)
    assert all(stage.is_held for stage in held.stages)
    assert all(stage.share_within is not None and stage.share_within > 0.9 for stage in held.stages)


@pytest.mark.parametrize(("at", "percent"), [(0, 60), (1, 80), (2, 90)])
@pytest.mark.parametrize("off_bpm", [-4.0, 4.0])
def test_a_stage_off_by_four_beats_is_named(at: int, percent: int, off_bpm: float) -> None:
    levels = tuple(level + (off_bpm if i == at else 0.0) for i, level in enumerate(TARGETS))
    result = read(ride(levels))  # type: ignore[arg-type] # three levels stay three
    assert codes(result) == ["fieldtest.stage_off"]
    assert f"stage at {percent} % was held at {TARGETS[at] + off_bpm:.0f} bpm" in result.reasons[0].sentence
    assert not result.was_by_protocol
    assert result.main is not None


def test_a_stage_held_on_average_but_not_throughout_is_named() -> None:
    session = ride()
    hr_bpm = session.hr_bpm.copy()
    inside = (session.t_s > 450) & (session.t_s < 750)
    hr_bpm[inside] = 144 + 8 * np.sin(session.t_s[inside] / 15)
    result = read(replace(session, channels={**session.channels, "hr_bpm": np.round(hr_bpm)}))
    assert codes(result) == ["fieldtest.stage_uneven"]
    assert not result.was_by_protocol


def test_a_stage_that_was_not_recorded_cannot_be_checked() -> None:
    session = ride()
    hr_bpm = session.hr_bpm.copy()
    hr_bpm[100:330] = np.nan
    result = read(replace(session, channels={**session.channels, "hr_bpm": hr_bpm}))
    assert codes(result) == ["fieldtest.stage_unread"]
    assert result.stages[0].held_bpm is None
    assert result.main is not None


def test_a_rest_of_seventy_seconds_is_too_short_and_still_has_a_drop() -> None:
    result = read(ride(rest_s=70, tail_s=120))
    assert "fieldtest.rest_short" in codes(result)
    assert result.main is not None
    assert not result.was_by_protocol


def test_a_recording_that_ends_at_once_has_no_drop() -> None:
    result = read(ride(rest_s=45))
    assert result.main is None
    assert "fieldtest.no_drop" in codes(result)
    assert "recovery.cut_by_end" in codes(result)
    assert len(result.stages) == 3


def test_pedalling_on_in_the_rest_is_named() -> None:
    assert "fieldtest.moved_on" in codes(read(ride(rest_w=50.0)))


def test_without_power_it_says_what_cannot_be_told() -> None:
    session = ride()
    result = read(Session.from_arrays(session.t_s, session.hr_bpm))
    assert codes(result) == ["fieldtest.stop_from_pulse", "fieldtest.stillness_unknown"]
    assert all(stage.power_w is None for stage in result.stages)


def test_without_power_the_interval_reaches_down_to_what_a_late_fall_hides() -> None:
    session = ride()
    # The pulse stays level for 10 s after the stop, and nothing but the pulse tells the stop.
    stop = 930
    hr_bpm = np.insert(session.hr_bpm, stop, np.full(10, session.hr_bpm[stop]))[: session.t_s.size]
    truth = 72 * (1 - np.exp(-50 / 45))
    main = read(Session.from_arrays(session.t_s, hr_bpm)).main
    assert main is not None
    assert main.low is not None
    assert main.high is not None
    assert main.value > truth
    assert main.low < truth
    assert main.value - main.low > main.high - main.value


def test_a_predicted_maximum_is_used_and_said() -> None:
    result = read(ride(), Rider(age_years=40, resting_hr_bpm=54))  # 208 - 0.7 * 40 = 180
    assert codes(result) == ["fieldtest.predicted_maximum"]
    assert [stage.target_bpm for stage in result.stages] == pytest.approx(TARGETS)


@pytest.mark.parametrize(
    ("rider", "code"),
    [
        (Rider(), "fieldtest.no_maximum"),
        (Rider(age_years=40, takes_heart_rate_medicine=True), "fieldtest.medicine"),
    ],
)
def test_without_a_maximum_there_are_no_stages(rider: Rider, code: str) -> None:
    result = read(ride(), rider)
    assert codes(result) == [code]
    assert result.main is None


def test_a_stop_too_early_for_a_whole_ride_is_no_test() -> None:
    session = ride()
    kept = session.t_s >= 400
    late = Session.from_arrays(
        session.t_s[kept], session.hr_bpm[kept], power_w=session.channel("power_w")[kept]
    )
    assert codes(read(late)) == ["fieldtest.no_ride"]
    # Told where it stopped, it is read and the stages that are missing are named.
    told = read(late, stop_s=530.0)
    assert told.main is not None
    assert "fieldtest.stage_unread" in codes(told)


@pytest.mark.parametrize("stop_s", [-1.0, 9000.0, float("nan")])
def test_a_given_stop_outside_the_recording_is_refused(stop_s: float) -> None:
    with pytest.raises(BadInput, match="outside the recording"):
        read(ride(), stop_s=stop_s)


def test_another_ride_is_not_taken_for_the_test() -> None:
    assert codes(read(ride((125.0, 125.0, 140.0)))) == ["fieldtest.no_ride"]


def test_a_real_run_of_repeats_gives_no_drop() -> None:
    # Five running repeats of about three minutes with five minutes of recovery, see the folder's index.
    session = read_session(recording("recording-08.fit"))
    assert codes(read(session, Rider(max_hr_bpm=200))) == ["fieldtest.no_ride"]
