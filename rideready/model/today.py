"""One day's answer: what to do, how long, how hard, and why; and what altitude does to it."""

import datetime as dt
from dataclasses import dataclass

from rideready.model.exercise import Joint, Level
from rideready.model.reason import Reason
from rideready.model.season import Week
from rideready.model.week import MuscleGroup, PlannedSession


@dataclass(frozen=True, slots=True)
class EffortAim:
    """How hard a part of a session should be.

    Parameters
    ----------
    label
        The intensity in the literature's word.
    low_bpm, high_bpm
        Heart rates to stay between, both included, whole bpm; None where pulse is no guide for this rider.
    rpe_low, rpe_high
        The same as a rating from 0 (rest) to 10 (maximal).
    talk
        The same by how one can talk.
    basis
        What the heart rates rest on, or why there are none.
    """

    label: str
    low_bpm: int | None
    high_bpm: int | None
    rpe_low: int
    rpe_high: int
    talk: Reason
    basis: Reason


@dataclass(frozen=True, slots=True)
class SessionPart:
    """One part of a session.

    Parameters
    ----------
    what
        What to do, in a few words.
    minutes
        For how long.
    effort
        How hard; None where effort is not the point.
    how
        One line on how to do it.
    """

    what: str
    minutes: int
    effort: EffortAim | None
    how: Reason


@dataclass(frozen=True, slots=True)
class CircuitDue:
    """That a circuit is due, and what it has to fit; which exercises is another question.

    Parameters
    ----------
    minutes
        Time for it, cool-down included, after the steady work leading into it.
    lead_in_min
        Minutes of that steady work.
    level
        The rider's level.
    avoid_joints
        Joints to spare.
    groups_at_rest
        Muscle groups still within the 48 h after hard work; empty when the week kept to its plan.
    """

    minutes: int
    lead_in_min: int
    level: Level
    avoid_joints: frozenset[Joint] = frozenset()
    groups_at_rest: frozenset[MuscleGroup] = frozenset()


@dataclass(frozen=True, slots=True)
class TodayAnswer:
    """What to do today.

    Parameters
    ----------
    day
        The day.
    week
        The week it belongs to.
    sessions
        What is planned and not yet done; empty on a day of rest.
    minutes
        How long it takes in all.
    parts
        The same part by part, with how hard.
    circuit
        Set if a circuit is due.
    if_only_20_min
        What to do with 20 minutes.
    why
        Why this and not something else.
    on_course
        How the season stands, most important first.
    cautions
        What to beware of.
    """

    day: dt.date
    week: Week
    sessions: tuple[PlannedSession, ...]
    minutes: int
    parts: tuple[SessionPart, ...]
    circuit: CircuitDue | None
    if_only_20_min: tuple[SessionPart, ...]
    why: tuple[Reason, ...]
    on_course: tuple[Reason, ...]
    cautions: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class PulseAtAltitude:
    """One intensity bound at home and on the mountain.

    Parameters
    ----------
    reserve
        Fraction of the reserve.
    home_bpm
        Heart rate for it at home, bpm.
    low_bpm, high_bpm
        Heart rate for it at altitude, if the maximum falls by the most and by the least expected, bpm.
    """

    reserve: float
    home_bpm: float
    low_bpm: float
    high_bpm: float


@dataclass(frozen=True, slots=True)
class AltitudeBand:
    """What to expect at a riding altitude: a band, not a forecast for one rider.

    Parameters
    ----------
    riding_altitude_m, home_altitude_m
        Where the rider rides, and lives and trains, m.
    vo2max_loss, vo2max_loss_low, vo2max_loss_high
        Expected fall of maximum oxygen uptake against home, as a fraction, and the ends of its band.
    max_hr_fall_bpm, max_hr_fall_low_bpm, max_hr_fall_high_bpm
        Expected fall of the maximum heart rate against home, bpm, and the ends of its band.
    same_work_reserve
        Fraction of what is left of the oxygen uptake that work takes which takes half of it at home.
    pulses
        Where light, moderate, vigorous and near-maximal begin; empty if the rider's numbers are unknown.
    reasons
        What it means for opening day, and what to beware of.
    """

    riding_altitude_m: float
    home_altitude_m: float
    vo2max_loss: float
    vo2max_loss_low: float
    vo2max_loss_high: float
    max_hr_fall_bpm: float
    max_hr_fall_low_bpm: float
    max_hr_fall_high_bpm: float
    same_work_reserve: float
    pulses: tuple[PulseAtAltitude, ...]
    reasons: tuple[Reason, ...]
