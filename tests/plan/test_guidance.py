"""Minutes against the World Health Organization's equivalence.

Bull et al. 2020, Br J Sports Med 54:1451-62: 150 to 300 min moderate, or 75 to 150 min vigorous, or an equivalent
combination. The two ranges fix the rate of exchange: one vigorous minute is two moderate ones.
"""

import pytest

from rideready.plan.guidance import AMPLE_WEEKLY_MIN, LEAST_WEEKLY_MIN, moderate_equivalent_min


@pytest.mark.parametrize(("vigorous_min", "range_end_min"), [(75, 150), (150, 300)])
def test_the_ends_of_the_vigorous_range_equal_those_of_the_moderate_range(
    vigorous_min: float, range_end_min: float
) -> None:
    assert moderate_equivalent_min(0, vigorous_min) == range_end_min
    assert range_end_min in {LEAST_WEEKLY_MIN, AMPLE_WEEKLY_MIN}


@pytest.mark.parametrize(
    ("moderate_min", "vigorous_min", "short_by_min"),
    # Worked out by hand from the rule: 60 + 2 * 50 = 160 meets 150; 100 + 2 * 20 = 140 is 10 short.
    [(60, 50, 0), (100, 20, 10), (150, 0, 0), (149, 0, 1)],
)
def test_a_mix_meets_the_guidance_if_its_equivalent_does(
    moderate_min: float, vigorous_min: float, short_by_min: float
) -> None:
    total = moderate_equivalent_min(moderate_min, vigorous_min)
    assert max(LEAST_WEEKLY_MIN - total, 0) == short_by_min


def test_negative_minutes_are_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        moderate_equivalent_min(-1, 0)
