"""Every rule of a season holds for random riders, histories, dates and troubles."""

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest

from rideready.model.season import Phase, Season
from rideready.plan.season import plan_season
from tests.plan.riders import random_request
from tests.plan.season_rules import broken_ramp, broken_taper, longest_run_without_easier

SEASONS = 1000


@pytest.fixture(scope="module")
def seasons() -> list[Season]:
    """Plan many seasons."""
    return [plan_season(random_request(np.random.default_rng(seed))) for seed in range(SEASONS)]


def test_no_week_asks_for_more_than_the_ramp_allows(seasons: list[Season]) -> None:
    assert {n: found for n, season in enumerate(seasons) if (found := broken_ramp(season))} == {}


def test_every_taper_week_lies_41_to_60_percent_below_the_weeks_before(seasons: list[Season]) -> None:
    assert {n: found for n, season in enumerate(seasons) if (found := broken_taper(season))} == {}
    codes = Counter(w.reasons[0].code for season in seasons for w in season.weeks if w.phase is Phase.TAPER)
    # The check above looks at most of the taper weeks; lost weeks before one are rare.
    assert codes["season.week_taper"] > 0.9 * codes.total() > 500


def test_no_more_than_three_weeks_in_a_row_are_full(seasons: list[Season]) -> None:
    assert max(longest_run_without_easier(season.weeks) for season in seasons) == 3


def test_weeks_follow_each_other_from_today_to_the_likely_opening_day(seasons: list[Season]) -> None:
    for season in seasons:
        starts = [week.start for week in season.weeks]
        assert starts[0] <= season.request.today
        assert (season.request.today - starts[0]).days < 7
        assert 0 <= (season.request.window.likely - starts[-1]).days < 7
        assert {(b - a).days for a, b in pairwise(starts)} <= {7}


def test_phases_come_in_order(seasons: list[Season]) -> None:
    order = list(Phase)
    for season in seasons:
        ranks = [order.index(week.phase) for week in season.weeks]
        assert ranks == sorted(ranks)


def test_targets_are_possible_and_explained(seasons: list[Season]) -> None:
    for season in seasons:
        for week in season.weeks:
            targets = week.targets
            assert 0 <= 2 * targets.vigorous_min <= targets.moderate_equivalent_min
            assert targets.circuits + targets.burst_practices <= 3
            assert targets.moderate_equivalent_min <= week.limit_min + 1e-6
            assert targets.long_piece_min <= targets.moderate_equivalent_min
            assert all(reason.sentence for reason in week.reasons)
            assert week.reasons


def test_what_is_said_about_the_floor_agrees_with_its_lines(seasons: list[Season]) -> None:
    for season in seasons:
        assert season.floor.is_sure_by_earliest == all(line.is_met for line in season.floor.lines)
        said = [reason.code for reason in season.statements if reason.code.startswith("season.floor_")]
        assert said
        good = {"season.floor_already", "season.floor_in_time", "season.floor_reached_now"}
        assert (said[0] in good) == season.floor.is_sure_by_earliest


@pytest.mark.parametrize("seed", range(5))
def test_the_same_request_gives_the_same_season(seed: int) -> None:
    request = random_request(np.random.default_rng(seed))
    assert plan_season(request) == plan_season(request)
