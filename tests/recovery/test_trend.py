"""The trend on seasons whose truth is known: verdict, interval, points, shift, recorders, outlook."""

import dataclasses
import json

import numpy as np
import pandas as pd
import pytest

from rideready.model.rider import Rider
from rideready.model.trend import Trend, Verdict
from rideready.recovery.trend import recovery_trend
from rideready.simulate.autumns import simulated_recovery_table
from tests.support.recovery_tables import RIDER, Autumn, autumn_table


def trend_of(autumn: Autumn, *, seed: int = 0) -> Trend:
    """Draw one such autumn and take its trend."""
    return recovery_trend(autumn_table(np.random.default_rng(seed), autumn), RIDER)


def test_a_large_gain_is_called_faster_with_an_interval_around_the_truth() -> None:
    found = trend_of(Autumn(gain=12))
    assert found.direction is Verdict.FASTER
    assert found.low is not None
    assert found.high is not None
    assert 0 < found.low < 1.0 < found.high
    assert found.n_sessions == 36
    assert found.n_recoveries == 144
    assert found.weeks == pytest.approx(81 / 7)


def test_a_large_loss_is_called_slower_and_comes_with_a_caution() -> None:
    found = trend_of(Autumn(gain=-12))
    assert found.direction is Verdict.SLOWER
    assert "trend.slower_caution" in [reason.code for reason in found.reasons]


def test_figures_over_the_season_are_those_per_week_times_the_weeks() -> None:
    found = trend_of(Autumn(gain=5))
    assert found.slope_bpm_per_week is not None
    assert found.low is not None
    assert found.high is not None
    assert found.change_bpm == pytest.approx(found.slope_bpm_per_week * found.weeks)
    assert found.change_low_bpm == pytest.approx(found.low * found.weeks)
    assert found.change_high_bpm == pytest.approx(found.high * found.weeks)
    assert found.minimal_detectable_bpm == pytest.approx((found.high - found.low) / 2 * found.weeks)


def test_the_typical_error_is_that_of_the_riders_own_sessions() -> None:
    errors = [trend_of(Autumn(), seed=seed).typical_error_bpm for seed in range(6)]
    # Truth: sqrt(3^2 + 4^2 / 4) = 3.6 bpm; one season of 36 knows it to about 13 %, six to 5 %; three of those.
    assert np.mean([error for error in errors if error is not None]) == pytest.approx(np.sqrt(13), rel=0.16)


def test_the_adjustment_for_the_start_is_what_the_curve_says() -> None:
    found = {a.name: a for a in trend_of(Autumn(weeks=24, day_sd=1, within_sd=2.5)).adjustments}
    # d(drop)/d(peak) = 1 - exp(-60 / 52.5) = 0.681 for a single exponential to a fixed end.
    start = found["starting heart rate"]
    assert start.bpm == pytest.approx(6.81, abs=3 * start.se_bpm)
    assert start.se_bpm < 0.4


def test_points_are_brought_to_the_standard_start() -> None:
    found = trend_of(Autumn(day_sd=0.5, within_sd=1.5, se_low=0.5, se_high=1.0, reserve_session_sd=0.08))
    drops = np.array([point.hrr60_bpm for point in found.points])
    truth = (52 + 0.8 * 134 - 89) * (1 - np.exp(-60 / 52.5))  # the generator's curve from 80 % of the reserve
    assert found.standard_reserve == 0.8
    assert drops.mean() == pytest.approx(truth, abs=1.0)
    assert drops.std() < 1.5  # the raw session medians scatter by about 8 bpm with their starts


def test_the_band_holds_the_true_level_for_most_of_the_season() -> None:
    found = trend_of(Autumn(gain=6), seed=5)
    inside = []
    for point in found.points:
        truth = (52 + 0.8 * 134 - 89) * (1 - np.exp(-60 / 52.5)) + 6 * point.day / 84
        assert point.fitted_bpm is not None
        assert point.fitted_low_bpm is not None
        assert point.fitted_high_bpm is not None
        assert point.fitted_low_bpm < point.fitted_bpm < point.fitted_high_bpm
        inside.append(point.fitted_low_bpm < truth < point.fitted_high_bpm)
    assert np.mean(inside) > 0.8


def test_a_step_is_shown_as_a_step_and_not_as_a_slope() -> None:
    found = trend_of(Autumn(step=-16, step_day=42), seed=2)
    assert found.shift is not None
    assert found.shift.until_day is None
    assert found.shift.from_day == pytest.approx(42, abs=5)
    assert found.shift.low_bpm < -16 < found.shift.high_bpm
    assert found.shift.p <= 0.01
    assert found.direction is not Verdict.SLOWER
    assert found.rank is not None
    assert found.rank.high < 0  # what a median slope makes of it


def test_the_sample_without_the_step_shows_none() -> None:
    assert trend_of(Autumn(step=0, step_day=42), seed=2).shift is None


def test_a_spell_of_illness_is_shown_with_both_its_ends() -> None:
    found = trend_of(Autumn(step=-16, step_day=35, step_until=46), seed=4)
    assert found.shift is not None
    assert found.shift.until_day is not None
    assert found.shift.from_day == pytest.approx(35, abs=3)
    assert found.shift.until_day == pytest.approx(46, abs=3)
    assert found.direction is Verdict.NO_CLEAR_CHANGE


def test_another_recorder_from_some_day_on_is_no_gain() -> None:
    autumn = Autumn(second_recorder_from=42, recorder_bias=8)
    one = recovery_trend(
        autumn_table(np.random.default_rng(1), autumn).assign(device="first recorder"), RIDER
    )
    two = trend_of(autumn, seed=1)
    assert one.direction is Verdict.FASTER or one.shift is not None  # unnamed, the break looks like training
    assert two.direction is Verdict.NO_CLEAR_CHANGE
    assert two.recorders == ("first recorder", "second recorder")
    assert "trend.recorder_changed" in [reason.code for reason in two.reasons]


def test_the_difference_between_recorders_stays_in_the_points_and_in_the_fitted_level() -> None:
    found = trend_of(Autumn(second_recorder_from=42, recorder_bias=20, day_sd=1), seed=1)
    before = [p for p in found.points if p.day < 42]
    after = [p for p in found.points if p.day >= 42]
    apart = np.mean([p.hrr60_bpm for p in after]) - np.mean([p.hrr60_bpm for p in before])
    fitted = [np.mean([p.fitted_bpm or np.nan for p in side]) for side in (before, after)]
    # 36 sessions of SD sqrt(1 + 16 / 4) = 2.2 know the difference to 0.75 bpm.
    assert apart == pytest.approx(20, abs=2.5)
    assert fitted[1] - fitted[0] == pytest.approx(apart, abs=1.0)


@pytest.mark.parametrize("seed", [10, 17, 25])
def test_swings_of_the_daily_state_are_not_sold_as_a_sudden_shift(seed: int) -> None:
    found = trend_of(Autumn(memory_days=10, day_sd=6), seed=seed)
    assert found.shift is None
    assert "trend.slow_swings" in [reason.code for reason in found.reasons]


def test_the_trend_within_one_recorder_is_that_of_its_rows_alone() -> None:
    autumn = Autumn(second_recorder_from=42, recorder_bias=8)
    table = autumn_table(np.random.default_rng(1), autumn)
    found = recovery_trend(table[table["device"] == "second recorder"], RIDER)
    assert found.recorders == ("second recorder",)
    assert found.n_sessions == 18
    assert not any(a.is_recorder for a in found.adjustments)


@pytest.mark.parametrize(("weeks", "per_week"), [(1, 1), (1, 3), (2, 3)])
def test_too_few_sessions_give_points_and_an_outlook_but_no_slope(weeks: int, per_week: int) -> None:
    found = trend_of(Autumn(weeks=weeks, sessions_per_week=per_week))
    assert found.direction is Verdict.TOO_FEW
    assert found.slope_bpm_per_week is None
    assert found.change_low_bpm is None
    assert len(found.points) == weeks * per_week
    assert all(np.isfinite([p.hrr60_bpm, p.se_bpm]).all() and p.fitted_bpm is None for p in found.points)
    assert found.more_sessions is not None
    assert found.more_sessions >= 6 - weeks * per_week


def test_a_short_season_is_too_few_rather_than_no_change() -> None:
    found = trend_of(Autumn(weeks=4))
    assert found.direction is Verdict.TOO_FEW
    assert found.low is not None
    assert found.high is not None
    assert (found.high - found.low) / 2 > 1.0
    assert found.more_sessions is not None
    assert found.more_sessions > 10


def test_no_recoveries_at_all_are_too_few() -> None:
    table = autumn_table(np.random.default_rng(0), Autumn(weeks=1))
    found = recovery_trend(table.assign(grade="none"), RIDER)
    assert found.direction is Verdict.TOO_FEW
    assert found.n_recoveries == 0
    assert found.points == ()
    assert [reason.code for reason in found.reasons] == ["trend.nothing", "trend.left_out"]


def test_rough_recoveries_with_wide_errors_count_less() -> None:
    table = autumn_table(np.random.default_rng(3), Autumn(gain=8))
    wrong = table["order"] == 4
    spoilt = table.assign(hrr60_bpm=table["hrr60_bpm"] + np.where(wrong, np.linspace(20, -20, len(table)), 0))
    told = spoilt.assign(
        grade=np.where(wrong, "rough", "good"), hrr60_se_bpm=np.where(wrong, 15, table["hrr60_se_bpm"])
    )
    believed, doubted = (recovery_trend(t, RIDER).slope_bpm_per_week for t in (spoilt, told))
    assert believed is not None
    assert doubted is not None
    assert doubted > believed + 0.3


def test_the_answer_does_not_depend_on_the_order_of_the_rows() -> None:
    table = autumn_table(np.random.default_rng(6), Autumn(is_uneven=True, moving_share=0.3))
    found, shuffled = (recovery_trend(t, RIDER) for t in (table, table.sample(frac=1, random_state=1)))
    assert shuffled == found


def test_it_says_the_same_without_a_reserve_only_less_about_the_start() -> None:
    table = autumn_table(np.random.default_rng(7), Autumn(gain=10))
    known, unknown = recovery_trend(table, RIDER), recovery_trend(table.assign(peak_reserve=np.nan), Rider())
    assert unknown.standard_reserve is None
    assert unknown.direction is known.direction
    assert unknown.slope_bpm_per_week == pytest.approx(known.slope_bpm_per_week, abs=0.02)


def test_constant_figures_neither_crash_nor_claim() -> None:
    table = autumn_table(np.random.default_rng(8), Autumn()).assign(hrr60_bpm=30.0, peak_bpm=160.0)
    found = recovery_trend(table, RIDER)
    assert found.direction is Verdict.NO_CLEAR_CHANGE
    assert found.rank is None
    assert found.slope_bpm_per_week == pytest.approx(0, abs=1e-6)


def test_the_trend_can_be_written_as_json() -> None:
    found = dataclasses.asdict(trend_of(Autumn(gain=8, second_recorder_from=60)))
    assert json.loads(json.dumps(found))["n_sessions"] == 36


@pytest.mark.parametrize("column", ["altitude_m", "temperature_c"])
def test_columns_that_are_nowhere_known_change_nothing(column: str) -> None:
    table = autumn_table(np.random.default_rng(9), Autumn())
    found = recovery_trend(table, RIDER)
    as_objects = table.assign(**{column: pd.Series([None] * len(table), dtype=object)})
    assert recovery_trend(as_objects, RIDER) == found


def test_tables_of_the_projects_own_simulator_are_taken_too() -> None:
    rng = np.random.default_rng(10)
    table = simulated_recovery_table(rng, gain_bpm=12, moving_share=0.3, wrist_share=0.3)
    found = recovery_trend(table, Rider(max_hr_bpm=181, resting_hr_bpm=54))
    assert found.direction is Verdict.FASTER
    moving = next(a for a in found.adjustments if a.name == "movement: moving")
    assert moving.bpm == pytest.approx(-10, abs=3 * moving.se_bpm)
