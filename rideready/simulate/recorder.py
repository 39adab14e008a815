"""One whole recorded session from a programme, a heart and a sensor, with its truth."""

import datetime as dt
from dataclasses import dataclass

import numpy as np

from rideready.model.session import FloatArray, Kind, Pause, Session
from rideready.simulate.channels import Place, motion_channels
from rideready.simulate.faults import Artefact
from rideready.simulate.heart import true_curve
from rideready.simulate.programme import Programme, starts_s, without_channels
from rideready.simulate.sensor import SensorTraits, sense
from rideready.simulate.traits import HeartTraits
from rideready.simulate.truth import TrueRecovery


@dataclass(frozen=True, slots=True, eq=False)
class SimulatedSession:
    """A session as a device would have recorded it, and what really happened.

    Parameters
    ----------
    name
        Date and what was done, as in a file name without suffix.
    session
        The recording; its device says that it is simulated.
    truth
        The heart's own recoveries, by time.
    artefacts
        Faults of the sensor, by time.
    laps_s
        Starts of laps, s from the start; the first is 0.
    true_t_s, true_hr_bpm
        The true curve, every 0.1 s.
    """

    name: str
    session: Session
    truth: tuple[TrueRecovery, ...]
    artefacts: tuple[Artefact, ...]
    laps_s: tuple[float, ...]
    true_t_s: FloatArray
    true_hr_bpm: FloatArray


@dataclass(frozen=True, slots=True)
class Occasion:
    """When, where and with what a session was recorded.

    Parameters
    ----------
    name
        As for `SimulatedSession`.
    kind
        What was done.
    start_utc
        Aware, in UTC.
    zone
        IANA name of the place.
    place
        Altitude and temperature.
    hidden
        Channels that this recorder does not write.
    """

    name: str
    kind: Kind
    start_utc: dt.datetime
    zone: str
    place: Place
    hidden: tuple[str, ...] = ()


def record(
    programme: Programme,
    heart: HeartTraits,
    sensor: SensorTraits,
    occasion: Occasion,
    rng: np.random.Generator,
) -> SimulatedSession:
    """Record a programme as one session.

    Parameters
    ----------
    programme
        What was done; pieces that are not recorded become pauses.
    heart, sensor, occasion
        Whose heart, which recorder, when and where.
    rng
        Source of every draw.

    Returns
    -------
    SimulatedSession
        Samples at whole seconds from 0.
    """
    curve = true_curve(without_channels(programme, _motion_only(occasion.hidden)), heart, rng)
    channels = motion_channels(programme, occasion.place, rng)
    sensed = sense(curve.hr_bpm, sensor, rng, limb_per_min=_limb(channels, occasion.kind))
    pauses = _pauses(programme)
    kept = np.ones(sensed.t_s.size, dtype=np.bool_)
    for pause in pauses:
        kept &= (sensed.t_s <= pause.start_s) | (sensed.t_s >= pause.end_s)
    t = sensed.t_s[kept]
    at = t.astype(int)
    shown = {"hr_bpm": sensed.hr_bpm[kept]}
    shown |= {name: values[at] for name, values in channels.items() if name not in occasion.hidden}
    session = Session(
        t,
        shown,
        start_utc=occasion.start_utc,
        zone=occasion.zone,
        kind=occasion.kind,
        device=sensor.device,
        pauses=pauses,
    )
    return SimulatedSession(
        occasion.name,
        session,
        curve.recoveries,
        sensed.artefacts,
        _laps_s(programme),
        curve.t_s,
        curve.hr_bpm,
    )


def _motion_only(hidden: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in hidden if name in {"power_w", "cadence_rpm", "speed_m_s"})


def _limb(channels: dict[str, FloatArray], kind: Kind) -> FloatArray | None:
    if "cadence_rpm" not in channels:
        return None
    # Cadence counts strides of both feet; the arm swings, and the foot strikes, twice as often.
    return channels["cadence_rpm"] * (2 if kind in {Kind.RUN, Kind.WALK} else 1)


def _pauses(programme: Programme) -> tuple[Pause, ...]:
    return tuple(
        Pause(float(start), float(start + piece.duration_s))
        for piece, start in zip(programme, starts_s(programme), strict=False)
        if not piece.is_recorded
    )


def _laps_s(programme: Programme) -> tuple[float, ...]:
    """Return where a rider presses the lap key: at both ends of each hard ride."""
    laps, was_hard = [0.0], False
    for piece, start in zip(programme, starts_s(programme), strict=False):
        is_hard = piece.demand >= 0.75 and piece.motion.power_w is not None
        if is_hard is not was_hard and start > 0:
            laps.append(float(start))
        was_hard = is_hard
    return tuple(laps)
