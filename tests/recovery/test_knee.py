"""The knee is placed to within a few seconds, with the level of the pulse there."""

import numpy as np
import pytest

from rideready.model.session import FloatArray
from rideready.recovery.knee import find_knee


def turn(*, knee: int = 120, plateau: int = 0, lag_s: float = 3.0, tau_s: float = 45.0) -> FloatArray:
    """Return a rise of 0.3 bpm/s to 170, a plateau, a fall to 95, seen through a first-order lag."""
    t = np.arange(260.0)
    heart = np.where(t < knee - plateau, 170 - 0.3 * (knee - plateau - t), 170.0)
    heart = np.where(t >= knee, 95 + 75 * np.exp(-(t - knee) / tau_s), heart)
    seen = heart.copy()
    for i in range(1, seen.size):
        seen[i] = seen[i - 1] + (heart[i] - seen[i - 1]) / max(lag_s, 1.0)
    return seen


@pytest.mark.parametrize("plateau", [0, 10, 20])
@pytest.mark.parametrize("lag_s", [1.0, 4.0, 8.0])
@pytest.mark.parametrize("tau_s", [30.0, 70.0])
def test_the_knee_is_found_through_lag_and_plateau(plateau: int, lag_s: float, tau_s: float) -> None:
    noise = np.random.default_rng(5).normal(0, 0.5, 260)
    knee = find_knee(turn(plateau=plateau, lag_s=lag_s, tau_s=tau_s) + noise, steep=128, bottom=250)
    assert knee is not None
    assert abs(knee.at_s - 120) <= 5
    assert knee.level_bpm == pytest.approx(170, abs=3)
    assert 0 < knee.level_se_bpm < 3


def test_a_hole_in_the_turn_does_not_stop_the_fit() -> None:
    hr = turn()
    hr[140:152] = np.nan
    knee = find_knee(hr, steep=128, bottom=250)
    assert knee is not None
    assert abs(knee.at_s - 120) <= 5


def test_too_little_of_a_turn_gives_no_knee() -> None:
    hr = turn()
    hr[105:240] = np.nan
    assert find_knee(hr, steep=128, bottom=250) is None


def test_a_pulse_that_does_not_fall_gives_no_knee() -> None:
    rising = 120 + 0.2 * np.arange(260.0)
    assert find_knee(rising, steep=128, bottom=250) is None
