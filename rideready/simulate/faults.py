"""What goes wrong in a sensor or recorder, how often, and what it does to the values."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray


class Fault(StrEnum):
    """What can go wrong in a sensor or recorder."""

    ABSENT = "absent"  # the value is missing, the other channels go on
    ZERO = "zero"  # the value is written as 0
    STUCK = "stuck"  # the last value is written again and again
    HOLE = "hole"  # the recorder writes nothing at all
    SPIKE = "spike"  # a jump of one to three seconds
    CADENCE_LOCK = "cadence lock"  # the sensor follows the arm or leg instead of the pulse


@dataclass(frozen=True, slots=True)
class FaultRate:
    """How often a fault strikes and how long it lasts.

    Parameters
    ----------
    fault
        Which.
    per_hour
        Mean number an hour (Poisson).
    shortest_s, longest_s
        Limits of its length, s; drawn evenly between them.
    """

    fault: Fault
    per_hour: float
    shortest_s: int
    longest_s: int


@dataclass(frozen=True, slots=True)
class Artefact:
    """One fault as it was written into a signal, from the first to the last second it touches, s."""

    fault: Fault
    start_s: int
    end_s: int


def draw_artefacts(
    rates: tuple[FaultRate, ...], rng: np.random.Generator, limb_per_min: FloatArray
) -> tuple[Artefact, ...]:
    """Draw which faults strike when.

    Faults keep 5 s from each other and from the first 10 s. A cadence lock strikes only where the
    limbs move all through it.

    Parameters
    ----------
    rates
        What may happen.
    rng
        Source of every draw.
    limb_per_min
        Shape (n,), steps or crank turns a minute for each second; NaN where unknown.

    Returns
    -------
    tuple of Artefact
        By time.
    """
    n = limb_per_min.size
    found: list[Artefact] = []
    for rate in rates:
        for _ in range(int(rng.poisson(rate.per_hour * n / 3600))):
            length = int(rng.integers(rate.shortest_s, rate.longest_s + 1))
            start = int(rng.integers(10, max(n - length, 11)))
            artefact = Artefact(rate.fault, start, min(start + length - 1, n - 1))
            if _fits(artefact, found, limb_per_min):
                found.append(artefact)
    return tuple(sorted(found, key=lambda artefact: artefact.start_s))


def _fits(artefact: Artefact, others: list[Artefact], limb_per_min: FloatArray) -> bool:
    if artefact.start_s > artefact.end_s:
        return False
    if any(artefact.end_s + 5 >= o.start_s and artefact.start_s <= o.end_s + 5 for o in others):
        return False
    moving = np.nan_to_num(limb_per_min[artefact.start_s : artefact.end_s + 1]) > 30
    return artefact.fault is not Fault.CADENCE_LOCK or bool(moving.all())


def write_artefact(
    artefact: Artefact,
    written_bpm: FloatArray,
    is_written: npt.NDArray[np.bool_],
    rng: np.random.Generator,
    limb_per_min: FloatArray,
) -> None:
    """Write one fault into second-by-second values, in place.

    Parameters
    ----------
    artefact
        What, from when to when.
    written_bpm, is_written, limb_per_min
        Shape (n,): values, whether a record exists at all, steps or crank turns a minute.
    rng
        Draws the height of a spike and the wobble of a lock.
    """
    span = slice(artefact.start_s, artefact.end_s + 1)
    match artefact.fault:
        case Fault.ABSENT:
            written_bpm[span] = np.nan
        case Fault.ZERO:
            written_bpm[span] = 0.0
        case Fault.STUCK:
            written_bpm[span] = written_bpm[artefact.start_s]
        case Fault.HOLE:
            is_written[span] = False
        case Fault.SPIKE:
            jump = float(rng.uniform(25, 60)) * (1 if rng.random() < 0.5 else -1)
            written_bpm[span] = np.clip(np.rint(written_bpm[span] + jump), 30, 230)
        case Fault.CADENCE_LOCK:
            wobble = 0.7 * rng.standard_normal(artefact.end_s - artefact.start_s + 1)
            written_bpm[span] = np.rint(limb_per_min[span] + wobble)
