"""The falls as functions: limits, order and published figures."""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rideready.recovery import curves
from rideready.recovery.curves import lagged_unit_fall, recovery_curve, two_phase_curve, unit_fall
from tests.support.falls import shown_fall

Floats = npt.NDArray[np.float64]
LEVELS = {"end_bpm": 90.0, "amplitude_bpm": 95.0}
PHASES = {"end_bpm": 80.0, "fast_bpm": 60.0, "fast_tau_s": 40.0, "slow_bpm": 35.0, "slow_tau_s": 200.0}

#: Every curve with its values at the end of the effort and far behind it, delay 6 s.
ALL_CURVES: dict[str, tuple[Callable[[Floats], Floats], float, float]] = {
    "unit_fall": (lambda t: unit_fall(t, tau_s=50.0, delay_s=6.0), 1.0, 0.0),
    "lagged_unit_fall": (lambda t: lagged_unit_fall(t, tau_s=50.0, delay_s=6.0, lag_s=8.0), 1.0, 0.0),
    "recovery_curve": (
        lambda t: recovery_curve(t, tau_s=50.0, delay_s=6.0, lag_s=8.0, **LEVELS),
        185.0,
        90.0,
    ),
    "two_phase_curve": (lambda t: two_phase_curve(t, delay_s=6.0, lag_s=8.0, **PHASES), 175.0, 80.0),
}


def test_the_sweep_covers_every_public_curve() -> None:
    assert sorted(ALL_CURVES) == sorted(curves.__all__)


@pytest.mark.parametrize("name", ALL_CURVES)
def test_a_curve_stands_until_its_delay_and_then_falls_to_its_end_level(name: str) -> None:
    curve, top, bottom = ALL_CURVES[name]

    values = curve(np.array([-20.0, 0.0, 3.0, 6.0, 20.0, 60.0, 120.0, 6000.0]))

    assert values[:4] == pytest.approx(top, abs=1e-12)
    assert np.all(np.diff(values[3:]) < 0)
    assert values[-1] == pytest.approx(bottom, abs=1e-9)


@pytest.mark.parametrize("name", ALL_CURVES)
def test_a_curve_keeps_the_shape_of_its_times(name: str) -> None:
    curve, _, _ = ALL_CURVES[name]

    assert curve(np.zeros((3, 2))).shape == (3, 2)


@pytest.mark.parametrize("name", ALL_CURVES)
def test_every_curve_names_its_source(name: str) -> None:
    assert "References" in (getattr(curves, name).__doc__ or "")


# Computed once with Python floats from 90 + 95·exp(-t/50); science sheet, section 1.2.
@pytest.mark.parametrize(
    ("t_s", "hr_bpm"),
    [(0, 185.000), (10, 167.779), (20, 153.680), (30, 142.137), (60, 118.613), (120, 98.618), (300, 90.235)],
)
def test_a_fall_without_delay_and_lag_has_the_tabulated_values(t_s: float, hr_bpm: float) -> None:
    value = recovery_curve(np.array([t_s]), tau_s=50.0, **LEVELS)

    assert value[0] == pytest.approx(hr_bpm, abs=5e-4)


@pytest.mark.parametrize(("tau_s", "lag_s"), [(50.0, 8.0), (30.0, 2.0), (110.0, 0.0), (11.0, 10.9)])
def test_the_lagged_fall_is_what_a_first_order_sensor_shows(tau_s: float, lag_s: float) -> None:
    t = np.arange(0.0, 200.0)

    formula = lagged_unit_fall(t, tau_s=tau_s, delay_s=7.0, lag_s=lag_s)

    # The sensor is filtered in steps of 0.05 s; its error is of the order (0.05/lag)².
    assert formula == pytest.approx(shown_fall(t, tau_s=tau_s, delay_s=7.0, lag_s=lag_s), abs=2e-4)


def test_the_lagged_fall_is_stable_where_lag_nears_tau() -> None:
    u = np.linspace(0.0, 300.0, 61)
    limit = (1.0 + u / 20.0) * np.exp(-u / 20.0)

    for gap in (0.0, 1e-12, 1e-9, 1e-6):
        assert lagged_unit_fall(u, tau_s=20.0 + gap, lag_s=20.0) == pytest.approx(limit, abs=1e-6)


@given(st.floats(5, 300), st.floats(0.1, 300), st.floats(0, 25))
def test_tau_and_lag_can_change_places(tau_s: float, lag_s: float, delay_s: float) -> None:
    t = np.linspace(0.0, 300.0, 31)

    one = lagged_unit_fall(t, tau_s=tau_s, delay_s=delay_s, lag_s=lag_s)
    other = lagged_unit_fall(t, tau_s=lag_s, delay_s=delay_s, lag_s=tau_s)

    assert one == pytest.approx(other, abs=1e-12)
    assert np.all((one >= 0) & (one <= 1))


@pytest.mark.parametrize("tau_s", [0.0, -5.0, float("nan")])
def test_a_time_constant_that_is_not_above_zero_is_refused(tau_s: float) -> None:
    with pytest.raises(ValueError, match="tau_s must be above 0"):
        unit_fall(np.arange(3.0), tau_s=tau_s)


def test_a_negative_lag_is_refused() -> None:
    with pytest.raises(ValueError, match="lag_s must be 0 or above"):
        lagged_unit_fall(np.arange(3.0), tau_s=50.0, lag_s=-1.0)
