"""Maximum and resting heart rate as recordings and the log show them."""

import datetime as dt
from dataclasses import dataclass

from rideready.model.reason import Reason


@dataclass(frozen=True, slots=True)
class SustainedPulse:
    """The highest (or lowest) heart rate a session held for a while.

    Parameters
    ----------
    bpm, se_bpm
        Mean over the while and its standard error, bpm.
    at_s
        Begin of the while, s from the start of the session.
    """

    bpm: float
    se_bpm: float
    at_s: float


@dataclass(frozen=True, slots=True)
class HeldPulse:
    """The highest and the lowest heart rate a session held for a while; None where it held none."""

    highest: SustainedPulse | None
    lowest: SustainedPulse | None


@dataclass(frozen=True, slots=True)
class SessionHigh:
    """A session's highest sustained heart rate, with the session it belongs to."""

    session_id: int
    day: dt.date | None
    high: SustainedPulse


@dataclass(frozen=True, slots=True)
class ObservedMaximum:
    """The highest heart rate that recordings support.

    Parameters
    ----------
    bpm, low_bpm, high_bpm
        The level and the ends of its 95 % interval, bpm. It is what was seen: whoever never went all
        out has a higher maximum than this.
    source
        The session it comes from.
    n_supporting
        Other sessions that come near it.
    n_sessions
        Sessions looked at.
    unsupported
        The highest level above it that no other session comes near; None if there is none.
    reasons
        What to beware of.
    """

    bpm: float
    low_bpm: float
    high_bpm: float
    source: SessionHigh
    n_supporting: int
    n_sessions: int
    unsupported: SessionHigh | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class RestingSummary:
    """What the logged resting pulses come to.

    Parameters
    ----------
    median_bpm
        Median of the last weeks, bpm; None if too few were logged.
    low_bpm, high_bpm
        Lowest and highest of them, bpm; None likewise.
    n
        How many there are in those weeks.
    first_day
        The earliest of them; None without any.
    shift_bpm
        Last two weeks less the four before (medians), bpm; None if too few.
    has_shifted
        Whether that stands out of the day-to-day variation.
    reasons
        What it comes to, and what to beware of.
    """

    median_bpm: float | None
    low_bpm: float | None
    high_bpm: float | None
    n: int
    first_day: dt.date | None
    shift_bpm: float | None
    has_shifted: bool
    reasons: tuple[Reason, ...]
