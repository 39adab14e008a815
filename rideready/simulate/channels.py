"""What power, cadence, speed, distance, altitude and temperature sensors make of a programme."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray
from rideready.simulate.programme import Motion, Piece, Programme, starts_s
from rideready.simulate.sensor import noise_with_memory


@dataclass(frozen=True, slots=True)
class Place:
    """Where a session happens.

    Parameters
    ----------
    altitude_m
        Altitude of the start, m.
    start_c, end_c
        Temperature the recorder feels at the start and at the end, degrees Celsius.
    """

    altitude_m: float
    start_c: float
    end_c: float


def motion_channels(programme: Programme, place: Place, rng: np.random.Generator) -> dict[str, FloatArray]:
    """Record everything but the heart, once a second.

    Values follow the pieces within a second or two and waver while they are not zero. They are
    rounded to what a FIT file can hold: 1 W, 1 rpm, 0.001 m/s, 0.01 m, 0.2 m of altitude, 1 degree.

    Parameters
    ----------
    programme
        At least one piece.
    place
        Altitude and temperature.
    rng
        Draws the wavering.

    Returns
    -------
    dict of str to FloatArray
        Names of `rideready.model.session.CHANNELS`, each of shape (n,) for 0, 1, ... s to the end
        of the programme; NaN in pieces without the sensor. Channels no piece has are left out.

    References
    ----------
    Resolutions: FIT profile, message "record". Time constants and wavering: plausible values, no source.
    """
    raw = {
        "power_w": _followed(programme, lambda m: m.power_w, settle_s=0.4),
        "cadence_rpm": _followed(programme, lambda m: m.cadence_rpm, settle_s=0.7),
        "speed_m_s": _followed(programme, lambda m: m.speed_m_s, settle_s=1.0),
    }
    wavering = {"power_w": 0.05, "cadence_rpm": 0.015, "speed_m_s": 0.03}
    resolution = {"power_w": 1.0, "cadence_rpm": 1.0, "speed_m_s": 0.001}
    channels: dict[str, FloatArray] = {}
    for name, values in raw.items():
        waver = 1 + noise_with_memory(rng, values.size, sd_bpm=wavering[name], phi=0.7)
        if np.isfinite(values).any():
            channels[name] = _to_resolution(np.maximum(values * waver, 0.0), resolution[name])
    if "speed_m_s" in channels:
        travelled = np.cumsum(np.nan_to_num(channels["speed_m_s"]))
        channels["distance_m"] = _to_resolution(travelled - travelled[0], 0.01)
        climb = _followed(programme, lambda m: m.climb_m_s if m.speed_m_s else 0.0, settle_s=1.0)
        channels["altitude_m"] = _to_resolution(place.altitude_m + np.cumsum(climb), 0.2)
    n = raw["power_w"].size
    channels["temperature_c"] = np.rint(np.linspace(place.start_c, place.end_c, n))
    return channels


def _followed(
    programme: Programme, value: Callable[[Motion], float | None], *, settle_s: float
) -> FloatArray:
    times = starts_s(programme)
    out = np.full(times[-1] + 1, np.nan)
    now = np.nan
    for piece, start in zip(programme, times, strict=False):
        out[start : start + piece.duration_s + 1], now = _piece(piece, value(piece.motion), now, settle_s)
    return out


def _piece(piece: Piece, target: float | None, now: float, settle_s: float) -> tuple[FloatArray, float]:
    """Return a piece's values, both ends included, and the value the next piece starts from."""
    u = np.arange(piece.duration_s + 1, dtype=np.float64)
    if target is None:
        return np.full(u.size, np.nan), np.nan
    begin = target if np.isnan(now) else now
    values = target + (begin - target) * np.exp(-u / settle_s)
    return values, float(values[-1])


def _to_resolution(values: FloatArray, step: float) -> FloatArray:
    # Dividing by a whole number gives the nearest double to the decimal; multiplying by 0.2 does not.
    per_unit = round(1 / step)
    return np.rint(values * per_unit) / per_unit
