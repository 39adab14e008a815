"""What the rider reads: verdict first, then what to beware of, then what it rests on."""

import datetime as dt
import re
from dataclasses import replace

import numpy as np
import pytest

from rideready.model.trend import Trend, Verdict
from rideready.recovery.trend import recovery_trend
from tests.support.recovery_tables import FIRST_MONDAY, RIDER, Autumn, autumn_table

GAIN = autumn_table(np.random.default_rng(0), Autumn(gain=12))
MONDAY = FIRST_MONDAY.date()
JUMP = {MONDAY + dt.timedelta(weeks=k): 300.0 if k < 9 else 480.0 for k in range(12)}
EVEN = {MONDAY + dt.timedelta(weeks=k): 300.0 for k in range(12)}


def pulse(shift_bpm: float) -> dict[dt.date, float]:
    """Resting pulses of the season, shifted over its last twelve days."""
    wobble = np.random.default_rng(1).normal(0, 1, 84)
    return {MONDAY + dt.timedelta(days=k): 52 + wobble[k] + shift_bpm * (k > 69) for k in range(84)}


def codes(trend: Trend) -> list[str]:
    """Codes of the reasons in order."""
    return [reason.code for reason in trend.reasons]


def sentence(trend: Trend, code: str) -> str:
    """Sentence of one reason."""
    return next(reason.sentence for reason in trend.reasons if reason.code == code)


def test_the_verdict_comes_first_in_whole_beats_with_its_interval() -> None:
    found = recovery_trend(GAIN, RIDER)
    assert found.reasons[0].code == "trend.faster"
    text = found.reasons[0].sentence
    assert f"{found.change_bpm:.0f} bpm further than 12 weeks earlier" in text
    assert f"{found.change_low_bpm:.0f} to {found.change_high_bpm:.0f}" in text


def test_a_slower_verdict_counts_the_loss_in_positive_beats_smaller_end_first() -> None:
    found = recovery_trend(autumn_table(np.random.default_rng(0), Autumn(gain=-12)), RIDER)
    assert found.change_bpm is not None
    assert found.change_low_bpm is not None
    assert found.change_high_bpm is not None
    text = found.reasons[0].sentence
    assert f"falls {-found.change_bpm:.0f} bpm less far" in text
    assert f"{-found.change_high_bpm:.0f} to {-found.change_low_bpm:.0f})" in text


def test_a_faster_verdict_without_load_or_pulse_says_that_they_are_missing() -> None:
    found = recovery_trend(GAIN, RIDER)
    assert "load or resting pulse" in sentence(found, "trend.same_weeks_unknown")
    assert "Bellenger et al. 2016" in sentence(found, "trend.overreaching")


def test_a_jump_in_load_tempers_a_faster_verdict_and_names_the_source() -> None:
    found = recovery_trend(GAIN, RIDER, weekly_load=JUMP, resting_pulse=pulse(0))
    assert codes(found)[:3] == ["trend.faster", "trend.load_jumped", "trend.overreaching"]
    assert "60 % above" in sentence(found, "trend.load_jumped")
    assert "Bellenger et al. 2016" in sentence(found, "trend.overreaching")
    assert "trend.same_weeks_quiet" not in codes(found)


@pytest.mark.parametrize(("shift", "code"), [(7.0, "trend.pulse_rose"), (-7.0, "trend.pulse_fell")])
def test_a_shift_of_the_resting_pulse_is_named_with_its_direction(shift: float, code: str) -> None:
    found = recovery_trend(GAIN, RIDER, weekly_load=EVEN, resting_pulse=pulse(shift))
    assert code in codes(found)
    assert "7 bpm" in sentence(found, code)


def test_quiet_weeks_are_said_to_be_quiet() -> None:
    found = recovery_trend(GAIN, RIDER, weekly_load=EVEN, resting_pulse=pulse(0))
    assert (
        sentence(found, "trend.same_weeks_quiet") == "Load and resting pulse of the same weeks did not jump."
    )
    assert "trend.same_weeks_unknown" not in codes(found)
    assert "trend.overreaching" not in codes(found)


def test_a_jump_is_named_beside_every_verdict_not_only_a_faster_one() -> None:
    flat = autumn_table(np.random.default_rng(3), Autumn())
    found = recovery_trend(flat, RIDER, weekly_load=JUMP)
    assert codes(found)[:2] == ["trend.no_clear_change", "trend.load_jumped"]


def test_no_clear_change_says_what_would_have_stood_out_and_how_much_more_it_takes() -> None:
    flat = autumn_table(np.random.default_rng(3), Autumn(sessions_per_week=2))
    found = recovery_trend(flat, RIDER)
    assert f"{found.minimal_detectable_bpm:.0f} bpm would have stood out" in found.reasons[0].sentence
    assert found.more_sessions is not None
    assert f"about {found.more_sessions} more sessions" in sentence(found, "trend.more_sessions")


def test_a_step_is_told_with_date_size_and_what_may_be_behind_it() -> None:
    step = autumn_table(np.random.default_rng(2), Autumn(step=-16, step_day=42))
    found = recovery_trend(step, RIDER)
    text = sentence(found, "trend.step")
    assert found.shift is not None
    date = MONDAY + dt.timedelta(days=found.shift.from_day)
    assert f"On {date.day} {date:%B} the level went down by {abs(found.shift.bpm):.0f} bpm" in text
    assert "illness" in text


def test_a_verdict_that_may_be_a_swing_says_so() -> None:
    swinging = autumn_table(np.random.default_rng(0), Autumn(gain=6, memory_days=7))
    found = recovery_trend(swinging, RIDER)
    assert found.direction is Verdict.FASTER
    assert "may be such a swing" in sentence(found, "trend.maybe_swings")
    assert "trend.maybe_swings" not in codes(recovery_trend(GAIN, RIDER))


def test_another_recorder_is_named_and_the_way_round_it_is_offered() -> None:
    changed = autumn_table(np.random.default_rng(1), Autumn(second_recorder_from=42, recorder_bias=8))
    text = sentence(recovery_trend(changed, RIDER), "trend.recorder_changed")
    assert "first recorder and second recorder" in text
    assert "within one of them" in text


def test_what_was_brought_to_like_with_like_is_listed() -> None:
    mixed = autumn_table(np.random.default_rng(4), Autumn(moving_share=0.4))
    text = sentence(recovery_trend(mixed, RIDER), "trend.adjusted")
    assert text == "Also brought to like with like: order in the session and movement."


def test_what_was_left_out_is_counted() -> None:
    worse = GAIN.assign(grade=np.where(GAIN["order"] == 1, "none", "good"))
    assert sentence(recovery_trend(worse, RIDER), "trend.left_out").startswith("36 recoveries left out")


def test_a_medicine_that_alters_the_pulse_is_cautioned_about() -> None:
    found = recovery_trend(GAIN, replace(RIDER, takes_heart_rate_medicine=True))
    assert "same dose" in sentence(found, "trend.medicine")


def test_no_sentence_shows_a_fraction_of_a_beat() -> None:
    found = recovery_trend(GAIN, RIDER, weekly_load=JUMP, resting_pulse=pulse(-7))
    for reason in found.reasons:
        assert reason.sentence.endswith(".")
        assert not re.search(r"\d\.\d+ bpm", reason.sentence), reason.sentence
