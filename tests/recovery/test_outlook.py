"""How many more sessions it takes to see a gain."""

import numpy as np
import pytest
from scipy.stats import norm

from rideready.recovery.outlook import GAIN_BPM_PER_WEEK, POWER, sessions_needed


def needed(n: int, *, variance: float = 13.0, per_week: float = 3.0) -> int | None:
    """Sessions needed after ``n`` evenly spaced ones of equal variance."""
    weeks = np.arange(n) / per_week
    rows = np.column_stack([np.ones(n), weeks])
    return sessions_needed(rows.T @ rows / variance, weeks, session_variance=variance, freedom=n - 2)


def test_the_answer_has_the_power_it_promises() -> None:
    more = needed(12)
    assert more is not None
    weeks = np.arange(12 + more) / 3
    se = np.sqrt(13 / np.sum((weeks - weeks.mean()) ** 2))
    # By the normal approximation, which is what 35 degrees of freedom leave: 0.80, and not with one less.
    assert norm.sf(1.96 - GAIN_BPM_PER_WEEK / se) == pytest.approx(POWER, abs=0.03)


def test_asking_again_after_those_sessions_needs_none() -> None:
    more = needed(12)
    assert more is not None
    assert needed(12 + more) == 0
    assert needed(12 + more - 1) == 1


def test_more_variation_needs_more_sessions() -> None:
    few, many = needed(12, variance=13), needed(12, variance=40)
    assert few is not None
    assert many is not None
    assert many > few + 10


def test_what_no_season_can_show_is_said_to_be_out_of_reach() -> None:
    assert needed(6, variance=1e7) is None


def test_a_single_session_has_an_outlook() -> None:
    more = needed(1)
    assert more is not None
    assert more > 20
