"""Small sessions made of known pieces: work, stop, rest."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray, Session


@dataclass(frozen=True)
class Bout:
    """One stretch of work at a level and the rest after it, s and bpm."""

    work_s: int
    level_bpm: float
    rest_s: int
    rest_bpm: float = 95.0
    tau_s: float = 45.0
    delay_s: int = 0


def bouts(
    pieces: Sequence[Bout],
    *,
    noise_bpm: float = 0.0,
    phi: float = 0.8,
    seed: int = 0,
    power: bool = False,
    start_bpm: float = 90.0,
) -> tuple[Session, list[float]]:
    """Return a session of bouts at 1 s and the times of its stops, s.

    The pulse rises with a time constant of 30 s, waits, and falls exponentially; noise is AR(1).
    """
    hr: list[float] = [start_bpm]
    watts: list[float] = [0.0]
    stops = []
    for piece in pieces:
        for _ in range(piece.work_s):
            hr.append(hr[-1] + (piece.level_bpm - hr[-1]) / 30.0)
            watts.append(220.0)
        stops.append(float(len(hr) - 1))
        for i in range(piece.rest_s):
            share = 0.0 if i < piece.delay_s else 1.0 / piece.tau_s
            hr.append(hr[-1] + (piece.rest_bpm - hr[-1]) * share)
            watts.append(0.0)
    curve: FloatArray = np.array(hr)
    noise = np.zeros(curve.size)
    rng = np.random.default_rng(seed)
    for i in range(1, curve.size):
        noise[i] = phi * noise[i - 1] + noise_bpm * np.sqrt(1 - phi**2) * rng.normal()
    recorded = np.round(curve + noise) if noise_bpm else curve
    times = np.arange(float(curve.size))
    if power:
        return Session.from_arrays(times, recorded, power_w=np.array(watts)), stops
    return Session.from_arrays(times, recorded), stops
