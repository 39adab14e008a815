"""An even grid that draws lines across short steps and nothing else."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from rideready.signal.grid import draw_line, even_times, hold_last, step_around


def test_the_grid_covers_the_recording_second_by_second() -> None:
    assert even_times(np.array([0.0, 1.5, 3.7])).tolist() == [0.0, 1.0, 2.0, 3.0]
    assert even_times(np.empty(0)).size == 0


def test_a_short_step_is_bridged_by_a_line_and_a_long_one_is_not() -> None:
    t_s, hr = np.array([0.0, 4.0, 14.0]), np.array([100.0, 108.0, 118.0])
    line = draw_line(np.arange(15.0), t_s, hr, longest_bridge_s=5.0)
    assert line[:5].tolist() == [100.0, 102.0, 104.0, 106.0, 108.0]
    assert np.isnan(line[5:14]).all()
    assert line[14] == 118.0


def test_nothing_is_drawn_before_the_first_or_after_the_last_value() -> None:
    line = draw_line(np.arange(5.0), np.array([1.0, 3.0]), np.array([100.0, 102.0]), longest_bridge_s=5.0)
    assert np.isnan(line[[0, 4]]).all()
    assert line[1:4].tolist() == [100.0, 101.0, 102.0]


def test_a_channel_that_jumps_is_held_until_its_next_sample() -> None:
    held = hold_last(np.arange(6.0), np.array([0.0, 3.0]), np.array([200.0, 0.0]), longest_bridge_s=2.0)
    assert held[:5].tolist() == [200.0, 200.0, 200.0, 0.0, 0.0]
    assert held[5] == 0.0


def test_a_held_value_grows_too_old() -> None:
    held = hold_last(np.arange(9.0), np.array([0.0]), np.array([200.0]), longest_bridge_s=5.0)
    assert np.isfinite(held[:6]).all()
    assert np.isnan(held[6:]).all()


@given(st.lists(st.floats(0.3, 30), min_size=2, max_size=40), st.floats(1, 20))
def test_no_known_second_lies_in_a_step_longer_than_the_bridge(steps: list[float], bridge_s: float) -> None:
    t_s = np.concatenate(([0.0], np.cumsum(steps)))
    grid = even_times(t_s)
    line = draw_line(grid, t_s, np.full(t_s.size, 120.0), longest_bridge_s=bridge_s)
    known = np.isfinite(line)
    assert (step_around(grid, t_s)[known] <= bridge_s).all()
    assert (line[known] == 120.0).all()
