"""Rows in order of time, one for each time."""

import numpy as np

from rideready.importers.samples import in_order


def test_rows_of_one_time_keep_the_value_that_came_last() -> None:
    rng = np.random.default_rng(1)
    times = rng.integers(0, 25, 5000).astype(float)
    values = np.arange(100.0, 5100.0)

    samples = in_order(times, {"power_w": values})

    last = [values[np.flatnonzero(times == time)[-1]] for time in range(25)]
    assert samples.channels["power_w"].tolist() == last
    assert samples.n_merged == 4975


def test_an_absent_value_never_replaces_one_that_is_there() -> None:
    samples = in_order(np.array([0.0, 0.0, 1.0]), {"power_w": np.array([200.0, np.nan, np.inf])})

    np.testing.assert_array_equal(samples.channels["power_w"], [200.0, np.nan])


def test_a_channel_without_any_value_is_left_out() -> None:
    samples = in_order(
        np.array([0.0, 1.0]), {"power_w": np.array([1.0, 2.0]), "hr_bpm": np.array([0.0, 255.0])}
    )

    assert list(samples.channels) == ["power_w"]


def test_what_was_put_in_order_is_counted_in_plain_sentences() -> None:
    samples = in_order(np.array([3.0, 1.0, 2.0, 2.0, 0.0, 0.0]), {})

    assert samples.order_warnings() == [
        "Time runs backward 2 times; the samples were sorted by time.",
        "2 samples repeat the time of an earlier one and were merged with it.",
    ]
