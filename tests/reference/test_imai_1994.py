"""T30 as defined by Imai et al. 1994, J Am Coll Cardiol 24:1529-35 (definition from memory).

Check values computed from the definition with numpy, to the digits given: least squares of ln(heart
rate) on time for samples at 1 Hz, both ends of the 30 s window included.
"""

import numpy as np
import pytest

from rideready.recovery.indices import t30

T = np.arange(31.0)


@pytest.mark.parametrize(
    ("end_bpm", "amplitude_bpm", "tau_s", "expected_s"), [(90, 95, 50, 113.866), (89, 58, 52.5, 159.386)]
)
def test_t30_of_an_analytic_exponential(
    end_bpm: float, amplitude_bpm: float, tau_s: float, expected_s: float
) -> None:
    assert t30(T, end_bpm + amplitude_bpm * np.exp(-T / tau_s)) == pytest.approx(expected_s, abs=0.01)


def test_t30_of_a_pulse_whose_logarithm_falls_in_a_line_is_its_time_constant() -> None:
    assert t30(T, 180 * np.exp(-T / 250)) == pytest.approx(250.0, abs=1e-6)
