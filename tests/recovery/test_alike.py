"""The short way of weighing session means, against the covariance written out in full."""

import numpy as np
import pytest

from rideready.model.session import FloatArray
from rideready.recovery.alike import SLOW_DAYS, DayToDay


def written_out(day: FloatArray, own: FloatArray, slow: FloatArray) -> FloatArray:
    alike: FloatArray = np.exp(-np.abs(day[:, None] - day) / SLOW_DAYS)
    return np.diag(own) + alike * np.sqrt(np.outer(slow, slow))


@pytest.mark.parametrize(
    "day",
    [
        [0.0, 2.0, 2.5, 9.0, 40.0],
        [0.0, 1.0, 1.0, 1.0, 3.0],  # two recorders and a split file: three sessions at one time
        [5.0, 5.0, 5.0, 5.0, 5.0],
        [0.0, 1e-5, 2e-5, 4000.0, 4000.0 + 1e-5],  # a second apart, years apart
    ],
)
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_weighing_agrees_with_the_inverse_of_the_full_covariance(day: list[float], share: float) -> None:
    rng = np.random.default_rng(1)
    days, weights = np.array(day), rng.uniform(0.2, 1.0, 5)
    own, slow = 9.0 * (1 - share) / weights + rng.uniform(1, 5, 5), 9.0 * share / weights
    full, columns = written_out(days, own, slow), rng.normal(size=(5, 3))
    found = DayToDay.of(days, own=own, slow=slow)
    np.testing.assert_allclose(found.weighed(columns), np.linalg.solve(full, columns), rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(found.weighed(columns[:, 0]), np.linalg.solve(full, columns[:, 0]), atol=1e-12)
    assert found.log_det == pytest.approx(np.linalg.slogdet(full)[1], abs=1e-9)


def test_a_single_session_has_nothing_to_resemble() -> None:
    found = DayToDay.of(np.array([3.0]), own=np.array([2.0]), slow=np.array([6.0]))
    np.testing.assert_allclose(found.weighed(np.array([4.0])), [0.5])
    assert found.log_det == pytest.approx(np.log(8.0))
