"""Maximum heart rate from recordings, and its conflicts."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from rideready.importers.registry import read_session
from rideready.intensity import predicted_maximum_bpm
from rideready.model.clean import Flag
from rideready.model.maximum import ObservedMaximum, SessionHigh, SustainedPulse
from rideready.model.reason import Reason
from rideready.model.session import Session
from rideready.recovery.maximum import conflicts, highest_held, lowest_held, observed_maximum
from rideready.signal.clean import clean
from tests.support.falls import ar1_noise
from tests.support.field_tests import recorded, stepping
from tests.support.heart_rates import clean_signal
from tests.support.recordings import recording


def highs(*levels: float) -> list[SessionHigh]:
    return [
        SessionHigh(number, dt.date(2026, 9, number), SustainedPulse(bpm, 1.0, 600.0))
        for number, bpm in enumerate(levels, 1)
    ]


def maximum_of(*levels: float) -> ObservedMaximum:
    found = observed_maximum(highs(*levels))
    assert found is not None
    return found


def codes(reasons: tuple[Reason, ...]) -> list[str]:
    return [reason.code for reason in reasons]


def test_the_best_fifteen_seconds_are_found_and_not_the_best_second() -> None:
    hr_bpm = np.full(300, 140.0)
    hr_bpm[100:115] = 170.0
    hr_bpm[200:205] = 190.0
    found = highest_held(clean_signal(hr_bpm))
    assert found is not None
    assert found.bpm == pytest.approx(170.0)
    assert found.at_s == 100


def test_its_error_is_that_of_a_mean_of_noise_with_a_memory() -> None:
    t_s = np.arange(3000.0)
    noise = ar1_noise(np.random.default_rng(2), t_s, sd_bpm=2.0, phi=0.8)
    found = highest_held(clean_signal(150 + noise))
    assert found is not None
    # SD of the mean of 15 values: 2 sqrt(1.8 / 0.2 / 15) = 1.55; the SD itself is estimated.
    assert found.se_bpm == pytest.approx(1.55, rel=0.15)


def test_a_lock_a_spike_and_what_lies_beside_them_do_not_count() -> None:
    t_s = np.arange(900.0)
    noise = ar1_noise(np.random.default_rng(3), t_s, sd_bpm=0.8, phi=0.6)
    hr_bpm = np.round(150 + 12 * np.sin(t_s / 60) + noise)
    hr_bpm[400:430] = np.round(205 + noise[400:430])
    found = highest_held(clean(Session.from_arrays(t_s, hr_bpm)))
    assert found is not None
    assert found.bpm < 164


def test_seconds_next_to_a_mistake_of_the_sensor_do_not_count() -> None:
    hr_bpm = np.full(300, 140.0)
    hr_bpm[100:119] = 190.0
    signal = clean_signal(hr_bpm)
    flags = signal.flags.copy()
    flags[99] = Flag.DROPOUT
    beside = replace(signal, flags=flags)
    alone, near = highest_held(signal), highest_held(beside)
    assert alone is not None
    assert near is not None
    assert alone.bpm == pytest.approx(190)
    # Of the 19 s, the 5 beside the mistake are left out; 14 and one at 140 remain.
    assert near.bpm == pytest.approx((14 * 190 + 140) / 15)


def test_silence_of_the_sensor_is_no_mistake() -> None:
    hr_bpm = np.full(300, 140.0)
    hr_bpm[100:119] = 190.0
    hr_bpm[99] = np.nan
    found = highest_held(clean_signal(hr_bpm))
    assert found is not None
    assert found.bpm == pytest.approx(190)


def test_fifteen_seconds_in_a_row_must_be_known() -> None:
    hr_bpm = np.full(300, np.nan)
    hr_bpm[100:114] = 180.0
    assert highest_held(clean_signal(hr_bpm)) is None
    assert highest_held(clean_signal(np.full(10, 180.0))) is None
    assert highest_held(clean_signal([])) is None


def test_the_lowest_level_is_held_for_a_minute() -> None:
    hr_bpm = np.full(300, 80.0)
    hr_bpm[100:160] = 55.0
    hr_bpm[200:230] = 40.0
    found = lowest_held(clean_signal(hr_bpm))
    assert found is not None
    assert found.bpm == pytest.approx(55.0)
    assert found.at_s == 100


def test_a_level_that_two_other_sessions_reach_is_the_maximum() -> None:
    found = maximum_of(181, 178, 177, 160, 150, 150)
    assert (found.bpm, found.source.session_id, found.n_supporting) == (181, 1, 2)
    assert found.unsupported is None
    # sqrt(1 + 2^2) either way, for the noise of the mean and the day.
    assert found.high_bpm - found.bpm == pytest.approx(1.96 * np.sqrt(5))
    assert codes(found.reasons) == ["maximum.floor"]


def test_one_high_session_alone_is_shown_and_not_taken() -> None:
    found = maximum_of(178, 203, 177, 176, 150, 150)
    assert (found.bpm, found.source.session_id) == (178, 1)
    assert found.unsupported is not None
    assert found.unsupported.session_id == 2
    assert "Session 2 shows 203 bpm" in found.reasons[-1].sentence


def test_two_mistakes_do_not_make_a_maximum_among_many_sessions() -> None:
    assert maximum_of(203, 202, 178, 177, 176, 150).bpm == 178


def test_few_sessions_need_one_to_come_near() -> None:
    found = maximum_of(192, 170, 150)
    assert (found.bpm, found.n_supporting) == (170, 1)
    assert codes(found.reasons) == ["maximum.floor", "maximum.few_sessions", "maximum.unsupported"]


def test_a_single_session_has_a_wide_interval_and_says_so() -> None:
    found = maximum_of(180)
    assert (found.bpm, found.n_supporting) == (180, 0)
    assert found.high_bpm - found.bpm == pytest.approx(1.96 * np.sqrt(26))
    assert codes(found.reasons) == ["maximum.floor", "maximum.one_session"]


def test_a_hair_above_the_rest_is_not_called_unsupported() -> None:
    assert maximum_of(183.2, 178, 178, 178, 150, 150).unsupported is not None
    assert maximum_of(180.9, 178, 175.8, 175, 150, 150).unsupported is None


def test_no_sessions_no_maximum() -> None:
    assert observed_maximum([]) is None


def test_simulated_sessions_with_faults_lead_to_the_hearts_own_highest() -> None:
    sessions = [recorded(stepping(240, demand=0.95), seed) for seed in range(3)]
    for session in sessions:
        found = highest_held(clean(session.session))
        assert found is not None
        assert found.bpm == pytest.approx(session.true_hr_bpm.max(), abs=4)


def test_a_real_run_to_199_holds_198_for_fifteen_seconds() -> None:
    # Five running repeats to 177-199 bpm, see the folder's index; the highest 15 s by the plain raw mean.
    session = read_session(recording("recording-08.fit"))
    raw = np.interp(np.arange(session.duration_s), session.t_s, session.hr_bpm)
    expected = np.convolve(raw, np.full(15, 1 / 15), mode="valid").max()
    found = highest_held(clean(session))
    assert found is not None
    assert found.bpm == pytest.approx(expected, abs=0.5)


AGE_40 = predicted_maximum_bpm(40)  # 180


@pytest.mark.parametrize(
    ("measured", "levels", "predicted", "expected"),
    [
        (182, (181, 180, 179), AGE_40, []),
        (None, (181, 180, 179), AGE_40, []),
        (180, (), AGE_40, []),
        (None, (), None, []),
        (178, (183, 182, 181), None, ["maximum.above_entered"]),
        (180, (183, 182, 181), None, []),
        (190, (175,) * 10, None, ["maximum.entered_unreached"]),
        (190, (175,) * 9, None, []),
        (190, (181,) * 10, None, []),
        (201, (), AGE_40, ["maximum.entered_far_from_predicted"]),
        (159, (), AGE_40, ["maximum.entered_far_from_predicted"]),
        (199, (), AGE_40, []),
        (None, (186, 185, 184), AGE_40, ["maximum.above_predicted"]),
        (None, (169,) * 10, AGE_40, ["maximum.predicted_unreached"]),
        (205, (209, 208, 207), AGE_40, ["maximum.entered_far_from_predicted", "maximum.above_entered"]),
    ],
)
def test_conflicts_are_shown_where_the_numbers_do_not_go_together(
    measured: float | None, levels: tuple[float, ...], predicted: float | None, expected: list[str]
) -> None:
    assert codes(conflicts(measured, observed_maximum(highs(*levels)), predicted)) == expected


def test_a_conflict_names_the_session_and_what_stays_in_use() -> None:
    (reason,) = conflicts(178, maximum_of(183, 182, 181), None)
    assert "reach 183 bpm (session 1), above the maximum of 178" in reason.sentence
    assert "until then 178 is used" in reason.sentence


def test_a_maximum_reached_once_is_not_called_unreached() -> None:
    found = maximum_of(189, *[170] * 10)
    assert found.unsupported is not None
    assert conflicts(190, found, None) == ()
