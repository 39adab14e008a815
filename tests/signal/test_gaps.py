"""Spacing is measured; the longest bridge follows it, within stated limits."""

import numpy as np
import pytest

from rideready.model.session import Pause
from rideready.signal.gaps import in_pause, longest_bridge_s, median_spacing_s


def test_a_burst_of_dense_samples_does_not_hide_a_coarse_file() -> None:
    dense, coarse = np.arange(30.0), 30.0 + 10.0 * np.arange(30)
    assert median_spacing_s(np.concatenate([dense, coarse])) == 10.0


def test_a_gap_of_minutes_does_not_count_as_spacing() -> None:
    assert median_spacing_s(np.array([0.0, 1, 2, 3, 600, 601, 602])) == 1.0


def test_fewer_than_two_samples_have_the_usual_spacing() -> None:
    assert median_spacing_s(np.array([0.0])) == 1.0


@pytest.mark.parametrize(("spacing_s", "bridge_s"), [(1.0, 5.0), (2.0, 6.0), (4.0, 12.0), (10.0, 15.0)])
def test_the_longest_bridge_is_three_spacings_between_5_and_15_s(spacing_s: float, bridge_s: float) -> None:
    assert longest_bridge_s(spacing_s) == bridge_s


def test_only_times_strictly_inside_a_pause_are_paused() -> None:
    inside = in_pause(np.arange(6.0), (Pause(1.0, 4.0),))
    assert inside.tolist() == [False, False, True, True, False, False]
