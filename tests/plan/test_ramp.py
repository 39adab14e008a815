"""The ramp: from what was really done, with lost, easier and outlying weeks."""

import pytest

from rideready.model.exercise import Level
from rideready.plan.ramp import START_MIN, ramp_from, reads_as_easier, vigorous_limit, weeks_since_easier

START = 60.0


@pytest.mark.parametrize(
    ("weeks", "base_min", "limit_min"),
    [
        # Common practice, no source: a tenth more; a quarter of an hour where that is more.
        pytest.param([200, 200, 200, 200], 200, 220, id="a tenth above a steady habit"),
        pytest.param([100, 100, 100, 100], 100, 115, id="15 min where a tenth is less"),
        pytest.param([150, 150, 150, 150], 150, 165, id="at 150 both are the same"),
        pytest.param([200, 210, 220, 230], 230, 253, id="the last week if it is the fullest"),
        pytest.param([], 0, 60, id="the start without any record"),
        pytest.param([0, 0, 0, 0], 0, 60, id="the start after four empty weeks"),
        # By hand: (210 + 220 + 230 + 0) / 4 = 165, and a tenth.
        pytest.param([200, 210, 220, 230, 0], 165, 181.5, id="a lost week counts as nothing"),
        # By hand: 300 is over 1.3 * 100, so it counts 130; the mean is 107.5, the last week 130.
        pytest.param([100, 100, 100, 300], 130, 145, id="one outlying week is no habit"),
        pytest.param([0, 0, 0, 200], 60, 75, id="one week after nothing counts as a start"),
    ],
)
def test_the_base_and_the_limit_follow_what_was_done(
    weeks: list[float], base_min: float, limit_min: float
) -> None:
    ramp = ramp_from(weeks, start_min=START)
    assert ramp.base_min == pytest.approx(base_min)
    assert ramp.limit_min == pytest.approx(limit_min)


def test_after_an_easier_week_the_level_before_it_is_taken_up_without_a_step() -> None:
    ramp = ramp_from([200, 220, 240, 190], start_min=START)
    assert ramp.is_after_easier
    assert ramp.base_min == ramp.limit_min == 240


def test_below_the_health_guidance_an_easier_week_costs_no_step() -> None:
    ramp = ramp_from([60, 75, 90, 70], start_min=START)
    assert ramp.is_after_easier
    assert ramp.limit_min == 105


def test_a_climb_back_after_a_lost_week_does_not_read_as_easier() -> None:
    weeks = [210, 220, 0, 173]
    assert not reads_as_easier(weeks, 3)
    assert reads_as_easier([200, 210, 220, 173], 3)


def test_only_the_last_eight_weeks_are_looked_at() -> None:
    forgotten = ramp_from([400.0] * 4 + [100.0] * 8, start_min=START)
    assert forgotten == ramp_from([100.0] * 8, start_min=START)


@pytest.mark.parametrize(
    ("weeks", "count"),
    [
        ([200, 210, 220], 3),
        ([200, 210, 220, 170], 0),
        ([200, 210, 220, 170, 220], 1),
        ([200, 0, 170, 210], 1),
        ([0, 0, 0], 0),
    ],
)
def test_weeks_kept_up_are_counted_back_to_the_last_easier_or_lost_one(
    weeks: list[float], count: int
) -> None:
    assert weeks_since_easier(weeks, at_most=3) == count


@pytest.mark.parametrize(
    ("weeks", "limit_min"),
    [([], 10), ([40, 40, 40, 40], 45), ([80, 80, 80, 80], 88), ([40, 40, 40, 0], 45), ([0, 0, 0, 0], 10)],
)
def test_vigorous_minutes_climb_by_a_tenth_or_five_minutes(weeks: list[float], limit_min: float) -> None:
    assert vigorous_limit(weeks, start_min=10) == pytest.approx(limit_min)


def test_more_used_riders_start_higher_and_nobody_above_three_half_hours() -> None:
    starts = [START_MIN[level] for level in Level]
    assert starts == sorted(starts)
    assert starts[-1] <= 90
