"""How often the verdict is right: a seeded part of what ``python -m tests.validation.trend_section`` measures.

Bounds are one-sided binomial limits at 1 in 1,000 around the rates that the full run must show.
"""

import pytest
from scipy.stats import binom

from tests.support.recovery_tables import Autumn
from tests.support.trend_rates import GAIN, HARDER, NO_CHANGE, gaining, rates


def at_most(rate: float, n: int) -> float:
    """Give the share that so many draws at a rate exceed once in 1,000 times."""
    return float(binom.ppf(0.999, n, rate)) / n


def at_least(rate: float, n: int) -> float:
    """Give the share that so many draws at a rate fall short of once in 1,000 times."""
    return float(binom.ppf(0.001, n, rate)) / n


def test_no_change_is_seldom_called_a_change_and_seldom_a_shift() -> None:
    found = rates(NO_CHANGE, 80, seed=101)
    assert found.changed <= at_most(0.05, 80)
    assert found.step + found.spell <= at_most(0.02, 80)
    assert found.holds_truth >= at_least(0.95, 80)


def test_six_beats_in_twelve_weeks_are_called_faster_most_of_the_time() -> None:
    found = rates(GAIN, 60, seed=102)
    assert found.faster >= at_least(0.80, 60)
    assert found.slower <= at_most(0.005, 60)


def test_harder_efforts_alone_are_no_gain_though_plain_medians_cry_faster() -> None:
    found = rates(HARDER, 60, seed=103)
    assert found.unclear >= at_least(0.95, 60)
    assert found.plain_faster >= at_least(0.95, 60)


def test_few_sessions_claim_nothing_more_often_than_many() -> None:
    found = rates(Autumn(weeks=5, sessions_per_week=2, recoveries=2), 60, seed=104)
    assert found.changed <= at_most(0.05, 60)
    assert found.too_few >= 0.8


def test_wild_recoveries_and_a_change_of_recorder_do_not_raise_false_alarms() -> None:
    wild = rates(Autumn(is_uneven=True, heavy_tails=True), 40, seed=105)
    changed = rates(Autumn(second_recorder_from=42, recorder_bias=5), 40, seed=106)
    assert wild.changed <= at_most(0.05, 40)
    assert changed.changed <= at_most(0.05, 40)


@pytest.mark.parametrize(("gain", "per_week", "least"), [(10, 3, 0.97), (6, 6, 0.9)])
def test_a_larger_gain_or_more_sessions_are_called_almost_always(
    gain: float, per_week: float, least: float
) -> None:
    assert rates(gaining(gain, per_week=per_week), 25, seed=107).faster >= at_least(least, 25)
