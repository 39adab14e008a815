"""Heart-rate recovery as the drop from the end of the effort: Cole et al. 1999, N Engl J Med 341:1351-7.

Check values: the analytic curve 90 + 95·exp(-t/50), worked by hand to 0.001 bpm. The reading is a
line through the neighbouring seconds, which on this curve may differ by up to 0.35 bpm at 30 s.
"""

import numpy as np
import pytest

from rideready.recovery.indices import Reading, drop_after, level_at

T = np.arange(301.0)
CURVE = 90 + 95 * np.exp(-T / 50)


@pytest.mark.parametrize(
    ("at_s", "drop_bpm", "tolerance_bpm"), [(30.0, 42.863, 0.35), (60.0, 66.387, 0.3), (120.0, 86.382, 0.3)]
)
def test_the_drop_of_an_analytic_exponential(at_s: float, drop_bpm: float, tolerance_bpm: float) -> None:
    drop = drop_after(Reading(185.0, 0.0), level_at(T, CURVE, at_s))
    assert drop is not None
    assert drop.value == pytest.approx(drop_bpm, abs=tolerance_bpm)
