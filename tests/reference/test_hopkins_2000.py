"""Typical error and minimal detectable change.

Hopkins 2000, Sports Med 30:1-15 (formulas from memory): TE = SD of differences / sqrt(2), MDC95 = 1.96 sqrt(2) TE,
over sqrt(n) for means of n. The table and the worked pairs were computed with the formulas, to the digits
shown.
"""

import pytest

from rideready.recovery.typical_error import minimal_detectable_change, typical_error


@pytest.mark.parametrize(
    ("error", "single", "means_of_three"), [(3, 8.316, 4.801), (4, 11.087, 6.401), (5, 13.859, 8.002)]
)
def test_the_detectable_change_follows_from_the_typical_error(
    error: float, single: float, means_of_three: float
) -> None:
    assert minimal_detectable_change(error) == pytest.approx(single, abs=5e-4)
    assert minimal_detectable_change(error, n_each=3) == pytest.approx(means_of_three, abs=5e-4)


def test_the_typical_error_of_five_pairs_leaves_out_what_they_have_in_common() -> None:
    found = typical_error([30, 35, 28, 40, 33], [32, 33, 30, 43, 33])
    assert found == pytest.approx(1.41421, abs=5e-6)
    assert minimal_detectable_change(found) == pytest.approx(3.920, abs=5e-4)
    assert typical_error([30, 35, 28, 40, 33], [42, 43, 40, 53, 43]) == pytest.approx(found)


def test_one_pair_has_no_typical_error() -> None:
    with pytest.raises(ValueError, match="two pairs"):
        typical_error([30], [32])
