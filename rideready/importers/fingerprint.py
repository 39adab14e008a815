"""Whether two files hold the same session, by what was recorded and not by name or bytes.

The same session comes back as FIT and as CSV, with rounded values, with another spacing, with its ends cut
off, or on a local clock that names no zone. What stays is the run of the heart rate over time. Limits are
this project's own, tried on real recordings: no source.
"""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Self

import numpy as np

from rideready.model.session import FloatArray, Session

#: Compared in this order, the first that both have: how far the middle and nine in ten of the values may
#: lie apart. One bpm is what rounding does; 5 bpm in a tenth is what another spacing does to steep stretches.
_LIMITS: Final = {
    "hr_bpm": (1.0, 5.0),
    "power_w": (5.0, 60.0),
    "speed_m_s": (0.15, 1.0),
    "cadence_rpm": (1.0, 10.0),
    "altitude_m": (2.0, 8.0),
    "distance_m": (10.0, 60.0),
}
#: Clocks of the world differ by whole quarters of an hour, from 12 hours west to 14 hours east.
_QUARTER_S: Final = 900.0
_FARTHEST_S: Final = 26 * 3600.0
#: Two copies of one clock differ by rounding, s.
_ROUNDING_S: Final = (0.0, 1.0, -1.0, 2.0, -2.0)
#: This share of the shorter session must lie within the longer one.
_WITHIN: Final = 0.9
#: Fewest values that are worth comparing.
_FEWEST: Final = 20
#: Without a common clock the run itself must be unmistakable: this many values, spread by this share of the
#: misfit at most, and by this many times the limit of the middle at least.
_FEWEST_BLIND: Final = 60
_BLIND_MISFIT: Final = 0.25
_BLIND_SPREAD: Final = 4.0
_SEARCH_STEP_S: Final = 4.0
_SEARCH_VALUES: Final = 240


@dataclass(frozen=True, slots=True)
class _Key:
    """What a fingerprint says: start (NaN without a clock), whether its zone is known, length, heart rates."""

    start_s: float
    has_zone: bool
    duration_s: float
    pulse_bpm: tuple[float, ...]

    @classmethod
    def parse(cls, text: str) -> Self:
        start, zone, duration, *pulse = text.split("|")
        return cls(float(start), zone == "zone", float(duration), tuple(map(float, pulse)))

    def __str__(self) -> str:
        numbers = [f"{value:.0f}" for value in (self.duration_s, *self.pulse_bpm)]
        return "|".join([f"{self.start_s:.0f}", "zone" if self.has_zone else "local", *numbers])


def fingerprint(session: Session) -> str:
    """Return a coarse key of a session, to be kept beside it.

    Keys of the same session need not be equal, since ends may be cut off and clocks may differ: `could_match`
    compares two without the samples, and `same_session` decides.

    Parameters
    ----------
    session
        Any session.
    """
    pulse = session.hr_bpm[np.isfinite(session.hr_bpm)]
    quartiles = np.percentile(pulse, [25, 50, 75]).tolist() if pulse.size else []
    start_s = session.start_utc.timestamp() if session.start_utc is not None else float("nan")
    return str(_Key(start_s, session.zone is not None, session.duration_s, tuple(quartiles)))


def could_match(first: str, second: str) -> bool:
    """Whether two sessions may be the same, by their fingerprints alone; never false if they are.

    Parameters
    ----------
    first, second
        Keys made by `fingerprint`.
    """
    a, b = _Key.parse(first), _Key.parse(second)
    if bool(a.pulse_bpm) != bool(b.pulse_bpm):
        return False
    longest_s = max(a.duration_s, b.duration_s)
    if min(a.duration_s, b.duration_s) > _WITHIN * longest_s and any(
        abs(x - y) > 8 for x, y in zip(a.pulse_bpm, b.pulse_bpm, strict=True)
    ):
        return False
    apart_s = abs(a.start_s - b.start_s)
    if np.isnan(apart_s):
        return True
    return apart_s <= longest_s + 60 + (0.0 if a.has_zone and b.has_zone else _FARTHEST_S)


def same_session(first: Session, second: Session) -> bool:
    """Whether two recordings are one and the same session, or one a part of the other.

    Parameters
    ----------
    first, second
        Sessions in any order.

    Returns
    -------
    bool
        True if nine tenths of the shorter one lie within the longer one and run as it does. Two riders side
        by side have two runs of heart rate and are told apart. Where one clock names no zone, offsets by whole
        quarters of an hour are tried, and where there is no clock any; then a run without ups and downs proves
        nothing and gives False.
    """
    name = next((n for n in _LIMITS if _has(first, n) and _has(second, n)), None)
    short, long = sorted((first, second), key=lambda session: session.duration_s)
    if name is None:
        return _same_frame(short, long)
    if first.start_utc is not None and second.start_utc is not None:
        shift_s = (_start(short) - _start(long)).total_seconds()
        if any(_agrees(short, long, shift_s + rounding, name) for rounding in _ROUNDING_S):
            return True
        if first.zone is not None and second.zone is not None:
            return False
        return any(_agrees_blindly(short, long, shift, name) for shift in _by_quarters(short, long, shift_s))
    best = _best_shift(short, long, name)
    if best is None:
        return False
    near = np.arange(best - _SEARCH_STEP_S, best + _SEARCH_STEP_S + 1)
    return any(_agrees_blindly(short, long, float(shift), name) for shift in near)


def more_complete(first: Session, second: Session) -> Session:
    """Return the one of two copies that holds more: time first, then values of heart rate, then a known zone."""

    def holds(session: Session) -> tuple[int, int, bool]:
        minutes = round(session.duration_s / 60)
        return minutes, int(np.count_nonzero(np.isfinite(session.hr_bpm))), session.zone is not None

    return second if holds(second) > holds(first) else first


def _has(session: Session, name: str) -> bool:
    return int(np.count_nonzero(np.isfinite(session.channel(name)))) >= min(_FEWEST, session.t_s.size or 1)


def _start(session: Session) -> dt.datetime:
    if session.start_utc is None:
        raise ValueError("session has no clock")
    return session.start_utc


def _same_frame(short: Session, long: Session) -> bool:
    """Compare start and length, where there is nothing else to compare."""
    if short.start_utc is None or long.start_utc is None:
        return False
    shift_s = (short.start_utc - long.start_utc).total_seconds()
    return abs(shift_s) <= 2 and long.duration_s - short.duration_s <= 2


def _by_quarters(short: Session, long: Session, shift_s: float) -> Iterator[float]:
    """Give the shifts by quarters of an hour that bring the shorter session into the longer one."""
    low, high = _bounds(short, long)
    first = int(np.ceil((low - shift_s) / _QUARTER_S))
    last = int(np.floor((high - shift_s) / _QUARTER_S))
    farthest = int(_FARTHEST_S / _QUARTER_S)
    for quarters in range(max(first, -farthest), min(last, farthest) + 1):
        yield from (shift_s + quarters * _QUARTER_S + rounding for rounding in _ROUNDING_S)


def _bounds(short: Session, long: Session) -> tuple[float, float]:
    """Return the smallest and largest shift at which enough of the shorter lies within the longer session."""
    outside_s = (1 - _WITHIN) * short.duration_s
    return -outside_s, long.duration_s - short.duration_s + outside_s


def _present(session: Session, name: str) -> tuple[FloatArray, FloatArray]:
    """Return a channel where it has values, with the times."""
    values = session.channel(name)
    return session.t_s[np.isfinite(values)], values[np.isfinite(values)]


def _differences(short: Session, long: Session, shift_s: float, name: str) -> tuple[FloatArray, FloatArray]:
    """Return the values of the sparser session and how far the other one lies from them."""
    times, inner = _present(short, name)
    sides = [(times + shift_s, inner), _present(long, name)]
    (at_s, values), (other_s, others) = sorted(sides, key=lambda side: side[0].size)
    bridge_s = max(10.0, 2 * float(np.median(np.diff(other_s)))) if other_s.size > 1 else 10.0
    right = np.clip(np.searchsorted(other_s, at_s), 1, max(other_s.size - 1, 1))
    inside = (at_s >= other_s[0]) & (at_s <= other_s[-1])
    if other_s.size > 1:
        inside &= other_s[right] - other_s[right - 1] <= bridge_s
    return values[inside], np.abs(np.interp(at_s[inside], other_s, others) - values[inside])


def _best_shift(short: Session, long: Session, name: str) -> float | None:
    """Search for the shift at which both run most alike, by some of the values on a grid of 1 s."""
    times, values = _present(short, name)
    other_s, others = _present(long, name)
    if times.size < _FEWEST_BLIND or other_s.size < 2:
        return None
    some = np.linspace(0, times.size - 1, min(times.size, _SEARCH_VALUES)).astype(int)
    grid = np.interp(np.arange(np.ceil(long.duration_s) + 1), other_s, others)
    low, high = _bounds(short, long)
    shifts = np.arange(low, high + _SEARCH_STEP_S, _SEARCH_STEP_S)
    at = np.rint(times[some] + shifts[:, np.newaxis]).astype(int)
    inside = (at >= 0) & (at < grid.size)
    apart = np.abs(grid[np.clip(at, 0, grid.size - 1)] - values[some])
    score = np.where(inside, apart, 0.0).sum(axis=1) / np.maximum(inside.sum(axis=1), 1)
    return float(shifts[np.argmin(score)])


def _agrees(short: Session, long: Session, shift_s: float, name: str) -> bool:
    """Whether both run alike at this shift."""
    low, high = _bounds(short, long)
    if not low - 2 <= shift_s <= high + 2:
        return False
    _, apart = _differences(short, long, shift_s, name)
    fewest = min(_FEWEST, int(np.count_nonzero(np.isfinite(short.channel(name)))))
    middle, most = _LIMITS[name]
    if apart.size < max(fewest, 1):
        return False
    return bool(np.median(apart) <= middle and np.percentile(apart, 90) <= most)


def _agrees_blindly(short: Session, long: Session, shift_s: float, name: str) -> bool:
    """Whether both run alike at a shift that was searched for, unmistakably."""
    values, apart = _differences(short, long, shift_s, name)
    if values.size < _FEWEST_BLIND or not _agrees(short, long, shift_s, name):
        return False
    spread = float(np.std(values))
    return (
        spread >= _BLIND_SPREAD * _LIMITS[name][0]
        and float(np.sqrt(np.mean(apart**2))) <= _BLIND_MISFIT * spread
    )
