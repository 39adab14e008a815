"""The demo: an invented rider's autumn, and the partner's, as recorded sessions with their truth."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from zoneinfo import ZoneInfo

import numpy as np

from rideready.model.rider import Rider, Sex
from rideready.model.session import Kind
from rideready.simulate import devices, workouts
from rideready.simulate.channels import Place
from rideready.simulate.diary import PARTNER_DIARY, RUNA_DIARY, Entry
from rideready.simulate.programme import Piece
from rideready.simulate.recorder import Occasion, SimulatedSession, record
from rideready.simulate.sensor import SensorTraits
from rideready.simulate.traits import HeartTraits
from rideready.simulate.workouts import Strength

#: The invented valley's clock.
ZONE = "Europe/Oslo"
#: Earliest and likely opening day.
OPENING_EARLIEST, OPENING_LIKELY = dt.date(2026, 12, 5), dt.date(2026, 12, 19)

RUNA = Rider(
    max_hr_bpm=181, resting_hr_bpm=54, standing_hr_bpm=68, age_years=41, sex=Sex.FEMALE, name="Runa Vell"
)
TAM = Rider(
    max_hr_bpm=191, resting_hr_bpm=67, standing_hr_bpm=82, age_years=29, sex=Sex.MALE, name="Tam Oster"
)

#: What each name in the diary means, and the kind its recorder files it under.
WORKOUTS: Mapping[str, tuple[Callable[[np.random.Generator, Strength], list[Piece]], Kind]] = (
    MappingProxyType(
        {
            "bike-and-circuit": (workouts.bike_and_circuit, Kind.BIKE),
            "interval-bike": (workouts.interval_bike, Kind.BIKE),
            "burst-test": (workouts.burst_test, Kind.BIKE),
            "ride-test": (workouts.ride_test, Kind.BIKE),
            "step-test": (workouts.step_test, Kind.TEST),
            "hill-run": (workouts.hill_run, Kind.RUN),
            "strength": (workouts.strength_session, Kind.STRENGTH),
        }
    )
)

_SENSORS: Mapping[str, Callable[[np.random.Generator], SensorTraits]] = MappingProxyType(
    {
        "strap": devices.chest_strap,
        "wrist": devices.wrist_optical,
        "coarse": devices.coarse_recorder,
    }
)


@dataclass(frozen=True, slots=True)
class Autumn:
    """How one rider changes over the weeks.

    Parameters
    ----------
    first_day, last_day
        Between these the gains are made.
    tau_first_s, tau_last_s
        Time constant of the fall, sitting still, at both ends, s.
    strength_first, strength_last
        How hard the rider can go at both ends; the ladder is the first's.
    ill_from, ill_until
        First and last day of a flu; None for none. It costs a sixth of the way, won back in three
        weeks, and raises the resting pulse by 7 bpm, fading with a time constant of 5 days.
    day_tau_spread, day_level_sd_bpm
        Day-to-day spread: relative for the time constant, bpm for the resting level.
    """

    first_day: dt.date
    last_day: dt.date
    tau_first_s: float
    tau_last_s: float
    strength_first: Strength
    strength_last: Strength
    ill_from: dt.date | None = None
    ill_until: dt.date | None = None
    day_tau_spread: float = 0.04
    day_level_sd_bpm: float = 1.5


RUNA_AUTUMN = Autumn(
    dt.date(2026, 8, 24),
    dt.date(2026, 11, 15),
    62.5,
    46.0,
    Strength(235.0, 2.5, 10),
    Strength(255.0, 2.7, 10),
    ill_from=dt.date(2026, 10, 12),
    ill_until=dt.date(2026, 10, 18),
)
TAM_AUTUMN = Autumn(
    dt.date(2026, 10, 5),
    dt.date(2026, 11, 15),
    78.0,
    70.0,
    Strength(190.0, 2.2, 6),
    Strength(202.0, 2.3, 6),
)


def progress(autumn: Autumn, day: dt.date) -> float:
    """Return how much of the way is made, 0 at the first day, 1 at the last."""
    span = (autumn.last_day - autumn.first_day).days
    made = float(np.clip((day - autumn.first_day).days / span, 0, 1))
    if autumn.ill_until is not None and day > autumn.ill_until:
        made -= max(0.0, 1 - (day - autumn.ill_until).days / 21) / 6
    return max(made, 0.0)


def heart_on(autumn: Autumn, rider: Rider, day: dt.date) -> HeartTraits:
    """Return a rider's heart on one day, without that day's own shift.

    Parameters
    ----------
    autumn, rider
        How the rider changes, and who it is; rest and maximum must be known.
    day
        Which day.

    Raises
    ------
    ValueError
        If the rider's resting or maximum heart rate is unknown.
    """
    if rider.resting_hr_bpm is None or rider.max_hr_bpm is None:
        raise ValueError("a simulated rider needs a resting and a maximum heart rate")
    resting = rider.resting_hr_bpm
    if autumn.ill_until is not None and day > autumn.ill_until:
        resting += 7.0 * float(np.exp(-((day - autumn.ill_until).days - 1) / 5))
    made = progress(autumn, day)
    tau = autumn.tau_first_s + made * (autumn.tau_last_s - autumn.tau_first_s)
    return HeartTraits(resting, rider.max_hr_bpm, tau_fall_s=tau)


def simulated_autumn(
    rng: np.random.Generator, autumn: Autumn, rider: Rider, diary: tuple[Entry, ...]
) -> list[SimulatedSession]:
    """Simulate every session of a diary.

    Parameters
    ----------
    rng
        Each session gets a child generator of its own, so that one can be changed and leave the rest.
    autumn, rider, diary
        How the rider changes, who it is, and what was done when.

    Returns
    -------
    list of SimulatedSession
        By date.
    """
    children = rng.spawn(len(diary))
    return [_session(child, autumn, rider, entry) for child, entry in zip(children, diary, strict=True)]


def demo_autumn(rng: np.random.Generator) -> list[SimulatedSession]:
    """Simulate Runa Vell's autumn: 43 sessions from late August to mid November 2026.

    Her recovery gets truly faster: at 85 % of the reserve, sitting still, her pulse falls by some
    7 bpm more in the first minute at the end than at the start. The week from 12 October is lost.
    """
    return simulated_autumn(rng, RUNA_AUTUMN, RUNA, RUNA_DIARY)


def demo_partner(rng: np.random.Generator) -> list[SimulatedSession]:
    """Simulate the first weeks of Tam Oster, who starts in October from Runa's plan."""
    return simulated_autumn(rng, TAM_AUTUMN, TAM, PARTNER_DIARY)


def _session(rng: np.random.Generator, autumn: Autumn, rider: Rider, entry: Entry) -> SimulatedSession:
    make, kind = WORKOUTS[entry.workout]
    made = progress(autumn, entry.day)
    first, last = autumn.strength_first, autumn.strength_last
    strength = Strength(
        first.watts_at_full + made * (last.watts_at_full - first.watts_at_full),
        first.run_m_s + made * (last.run_m_s - first.run_m_s),
        first.ladder_top,
    )
    heart = _on_the_day(rng, autumn, heart_on(autumn, rider, entry.day))
    occasion = Occasion(
        f"{entry.day.isoformat()}-{entry.workout}",
        kind,
        _start_utc(rng, entry.day),
        ZONE,
        _place(rng, kind, entry.day),
        _hidden(entry.sensor, kind),
    )
    return record(make(rng, strength), heart, _SENSORS[entry.sensor](rng), occasion, rng)


def _on_the_day(rng: np.random.Generator, autumn: Autumn, heart: HeartTraits) -> HeartTraits:
    return HeartTraits(
        heart.resting_bpm + autumn.day_level_sd_bpm * float(rng.standard_normal()),
        heart.max_bpm,
        tau_fall_s=heart.tau_fall_s * float(np.exp(autumn.day_tau_spread * rng.standard_normal())),
    )


def _start_utc(rng: np.random.Generator, day: dt.date) -> dt.datetime:
    """Evenings on weekdays, mornings at the weekend, to the second."""
    hour = 10 if day.weekday() >= 5 else 17
    local = dt.datetime.combine(day, dt.time(hour), ZoneInfo(ZONE))
    return (local + dt.timedelta(seconds=int(rng.integers(0, 3600)))).astimezone(dt.UTC)


def _place(rng: np.random.Generator, kind: Kind, day: dt.date) -> Place:
    """Return the boathouse or the hill: colder as the autumn goes on, the boathouse warmed by the work."""
    outside = 15.0 - 0.2 * (day - dt.date(2026, 8, 24)).days + float(rng.normal(0, 2))
    if kind is Kind.RUN:
        return Place(310.0, outside + 4, outside)
    return Place(284.0, 0.5 * outside + 9, 0.5 * outside + 11)


def _hidden(sensor: str, kind: Kind) -> tuple[str, ...]:
    """Say what the recorder does not write: a wrist recorder sees the arm swing, not the crank."""
    if kind is Kind.RUN:
        return ()
    if sensor == "wrist":
        return ("power_w", "cadence_rpm", "speed_m_s", "temperature_c")
    return ()
