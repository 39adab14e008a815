"""A recorded session: raw samples as they came, with start, zone, kind and device."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    import pandas as pd

FloatArray = npt.NDArray[np.float64]

#: Channels a session may hold besides ``t_s``, in column order; the unit is in the name.
CHANNELS = ("hr_bpm", "power_w", "cadence_rpm", "speed_m_s", "distance_m", "altitude_m", "temperature_c")


class Kind(StrEnum):
    """What was done, as a small set."""

    BIKE = "bike"
    RUN = "run"
    WALK = "walk"
    SKI = "ski"
    ROW = "row"
    STRENGTH = "strength"
    CIRCUIT = "circuit"
    RIDING = "riding"  # off-road riding on a machine
    TEST = "test"  # a field test
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Pause:
    """A stretch in which the recorder was stopped, s from the start of the session."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Session:
    """One recording, never altered after it was read.

    Parameters
    ----------
    t_s
        Shape (n,), s from the first sample, strictly rising, starting at 0.
    channels
        Name from `CHANNELS` to shape (n,); NaN where the sensor gave nothing. Absent
        channels are left out, never filled.
    start_utc
        Time of the first sample, aware and in UTC; None if the file has no clock.
    zone
        IANA name ("Europe/Oslo") or fixed offset ("UTC+02:00") of the place; None if unknown.
    kind
        What was done.
    device
        Recorder as plain text; None if the file does not say.
    pauses
        Stretches between timer stop and start events.
    warnings
        One sentence for each thing about the file its rider should know.

    Raises
    ------
    ValueError
        If times do not rise strictly from 0, a channel is unknown or has another length,
        or ``start_utc`` is not in UTC.
    """

    t_s: FloatArray
    channels: Mapping[str, FloatArray]
    start_utc: dt.datetime | None = None
    zone: str | None = None
    kind: Kind = Kind.OTHER
    device: str | None = None
    pauses: tuple[Pause, ...] = ()
    warnings: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        if self.t_s.ndim != 1 or (self.t_s.size and (self.t_s[0] != 0 or np.any(np.diff(self.t_s) <= 0))):
            raise ValueError("t_s must be one-dimensional and rise strictly from 0")
        for name, values in self.channels.items():
            if name not in CHANNELS:
                raise ValueError(f"unknown channel {name!r}; known are {', '.join(CHANNELS)}")
            if values.shape != self.t_s.shape:
                raise ValueError(f"{name} has shape {values.shape}, t_s has {self.t_s.shape}")
        if self.start_utc is not None and self.start_utc.utcoffset() != dt.timedelta(0):
            raise ValueError("start_utc must be aware and in UTC")

    @classmethod
    def from_arrays(
        cls,
        t_s: npt.ArrayLike,
        hr_bpm: npt.ArrayLike,
        *,
        start_utc: dt.datetime | None = None,
        zone: str | None = None,
        kind: Kind = Kind.OTHER,
        device: str | None = None,
        **channels: npt.ArrayLike,
    ) -> "Session":
        """Make a session from plain arrays; times are shifted to start at 0.

        Parameters
        ----------
        t_s
            Shape (n,), s, strictly rising.
        hr_bpm
            Shape (n,), bpm, NaN where absent.
        start_utc, zone, kind, device
            As for `Session`.
        **channels
            Further channels by name, shape (n,).
        """
        times = np.asarray(t_s, dtype=float)
        table = {"hr_bpm": np.asarray(hr_bpm, dtype=float)}
        table |= {name: np.asarray(values, dtype=float) for name, values in channels.items()}
        times = times - times[0] if times.size else times
        return cls(times, table, start_utc=start_utc, zone=zone, kind=kind, device=device)

    def channel(self, name: str) -> FloatArray:
        """Return a channel, all NaN if the session does not have it."""
        if name not in CHANNELS:
            raise ValueError(f"unknown channel {name!r}; known are {', '.join(CHANNELS)}")
        return self.channels[name] if name in self.channels else np.full(self.t_s.shape, np.nan)

    @property
    def hr_bpm(self) -> FloatArray:
        """Heart rate as recorded, bpm, NaN where absent."""
        return self.channel("hr_bpm")

    @property
    def has_heart_rate(self) -> bool:
        """Whether any heart-rate value is present."""
        return "hr_bpm" in self.channels and bool(np.isfinite(self.channels["hr_bpm"]).any())

    @property
    def duration_s(self) -> float:
        """Time from first to last sample, s, pauses included."""
        return float(self.t_s[-1]) if self.t_s.size else 0.0

    @property
    def samples(self) -> "pd.DataFrame":
        """Raw samples as a table: ``t_s`` and every channel of `CHANNELS`, NaN where absent."""
        import pandas as pd  # a table is wanted rarely; pandas costs 0.2 s

        return pd.DataFrame({"t_s": self.t_s, **{name: self.channel(name) for name in CHANNELS}})
