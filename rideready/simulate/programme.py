"""What was done: a session as a row of pieces, each with its demand on the heart and its motion."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any


class Activity(StrEnum):
    """What the rider does in a piece."""

    WORK = "work"
    MOVING = "moving"  # easy pedalling, walking, changing over
    STILL = "still"


class Posture(StrEnum):
    """How the body is held; it decides how fast the pulse falls (Barak et al. 2011)."""

    STANDING = "standing"
    SEATED = "seated"
    LYING = "lying"
    LYING_LEGS_UP = "lying, legs up"


@dataclass(frozen=True, slots=True)
class Motion:
    """What sensors other than the heart-rate sensor would see; None is "no such sensor".

    Parameters
    ----------
    power_w
        Mechanical power, W.
    cadence_rpm
        Crank turns or strides (both feet) a minute.
    speed_m_s
        Speed over ground, m/s.
    climb_m_s
        Vertical speed, m/s; counts only where speed is known.
    """

    power_w: float | None = None
    cadence_rpm: float | None = None
    speed_m_s: float | None = None
    climb_m_s: float = 0.0


#: Channels of `Motion` by which the end of an effort can be seen.
MOTION_CHANNELS = ("power_w", "cadence_rpm", "speed_m_s")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of unchanging workload.

    Parameters
    ----------
    duration_s
        Whole seconds, at least 1.
    demand
        Where the heart rate would settle, as a fraction of the reserve, 0 to 1.
    activity
        Working, moving on, or still.
    posture
        How the body is held.
    motion
        What other sensors would see.
    is_recorded
        False while the recorder is stopped.

    Raises
    ------
    ValueError
        If the duration is not a whole number of seconds of at least 1, or the demand not 0 to 1.
    """

    duration_s: int
    demand: float
    activity: Activity = Activity.WORK
    posture: Posture = Posture.STANDING
    motion: Motion = Motion()
    is_recorded: bool = True

    def __post_init__(self) -> None:
        if self.duration_s < 1 or self.duration_s != int(self.duration_s):
            raise ValueError(f"duration_s is {self.duration_s}; it should be a whole number of at least 1")
        if not 0 <= self.demand <= 1:
            raise ValueError(f"demand is {self.demand}; it should lie between 0 and 1")


Programme = Sequence[Piece]


def starts_s(programme: Programme) -> list[int]:
    """Return when each piece starts and, last, when the programme ends, s."""
    times = [0]
    for piece in programme:
        times.append(times[-1] + piece.duration_s)
    return times


def without_channels(programme: Programme, names: Iterable[str]) -> tuple[Piece, ...]:
    """Return the programme as seen without some of the `MOTION_CHANNELS`."""
    gone: dict[str, Any] = dict.fromkeys(names)
    return tuple(replace(piece, motion=replace(piece.motion, **gone)) for piece in programme)


def channels_that_drop(before: Piece, after: Piece) -> tuple[str, ...]:
    """Name the channels whose fall shows where one piece ended.

    A channel counts if it is known on both sides and loses at least 15 %.
    """
    names = []
    for name in MOTION_CHANNELS:
        was, is_now = getattr(before.motion, name), getattr(after.motion, name)
        if was is not None and is_now is not None and was > 0 and is_now <= 0.85 * was:
            names.append(name)
    return tuple(names)
