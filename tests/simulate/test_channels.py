"""Power, cadence, speed and place follow the programme."""

import numpy as np
import pytest

from rideready.simulate.channels import Place, motion_channels
from rideready.simulate.programme import Motion, Piece

PLACE = Place(284.0, 12.0, 16.0)
RIDE = Piece(120, 0.8, motion=Motion(200.0, 90.0))
STOP = Piece(60, 0.3, motion=Motion(0.0, 0.0))
CLIMB = Piece(300, 0.9, motion=Motion(None, 82.0, 2.5, 0.25))


def _channels(*pieces: Piece) -> dict[str, np.ndarray]:
    return motion_channels(pieces, PLACE, np.random.default_rng(2))


def test_power_and_cadence_waver_around_the_piece_and_stop_with_it() -> None:
    found = _channels(RIDE, STOP)

    # Wavering of 5 % and 1.5 % with memory 0.7 over 118 s: standard error of the mean
    # sd sqrt(1.7 / 0.3 / 118) = 0.22 sd; four of them.
    assert found["power_w"][2:120].mean() == pytest.approx(200, abs=4 * 0.22 * 10)
    assert found["cadence_rpm"][2:120].mean() == pytest.approx(90, abs=4 * 0.22 * 1.35)
    # The first record of the stop still shows the ride; 10 s later nothing is left.
    assert found["power_w"][120] > 100
    assert found["power_w"][122] <= 2
    assert np.all(found["power_w"][130:] == 0)
    assert np.all(found["cadence_rpm"][130:] == 0)


def test_a_channel_nobody_has_is_left_out_and_a_missing_piece_is_nan() -> None:
    found = _channels(RIDE, Piece(60, 0.8))

    assert "speed_m_s" not in found
    assert "distance_m" not in found
    assert np.isfinite(found["power_w"][:120]).all()
    assert np.isnan(found["power_w"][121:]).all()


def test_distance_is_speed_summed_and_altitude_follows_the_climb() -> None:
    found = _channels(CLIMB)

    assert found["distance_m"][0] == 0
    assert np.all(np.diff(found["distance_m"]) >= 0)
    # Rounded to 0.01 m at each end.
    assert found["distance_m"][-1] == pytest.approx(found["speed_m_s"][1:].sum(), abs=0.011)
    assert found["altitude_m"][-1] - found["altitude_m"][0] == pytest.approx(300 * 0.25, abs=0.3)


@pytest.mark.parametrize(
    ("name", "per_unit"),
    # FIT profile, message "record": power 1 W, cadence 1 rpm, speed 0.001 m/s, distance 0.01 m,
    # altitude 0.2 m, temperature 1 degree.
    [
        ("power_w", 1),
        ("cadence_rpm", 1),
        ("speed_m_s", 1000),
        ("distance_m", 100),
        ("altitude_m", 5),
        ("temperature_c", 1),
    ],
)
def test_values_are_what_a_fit_file_can_hold(name: str, per_unit: int) -> None:
    values = _channels(Piece(200, 0.8, motion=Motion(220.0, 88.0, 7.3, 0.1)))[name]

    assert np.array_equal(values, np.rint(values * per_unit) / per_unit)


def test_temperature_runs_from_start_to_end() -> None:
    values = _channels(RIDE)["temperature_c"]

    assert (values[0], values[-1]) == (12, 16)
    assert values.size == 121
