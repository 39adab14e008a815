"""Where the stepping of a step test began and stopped.

Nothing records a box; the pulse must tell. Two things place the stop: the knee of the fall after it, and
the start of the rise plus the minutes the test lasts, where the rider kept to them. Both are late by the
recorder's lag, which the counting allows for.
"""

from dataclasses import dataclass

import numpy as np

from rideready.errors import BadInput
from rideready.model.clean import CleanSignal
from rideready.model.reason import Reason, because
from rideready.model.recovery import Effort, Evidence, Mode
from rideready.recovery.efforts import find_efforts
from rideready.recovery.onset import LEAST_QUIET_S, Onset, find_onset
from rideready.recovery.stops import mode_after

#: Standard error of a stop by what shows it, s: measured on simulated step tests with straps and wrist
#: sensors. A coarse recorder places a knee less well.
STOP_SE_S = {Evidence.HEART_RATE: 4.0, Evidence.POWER: 1.5, Evidence.CADENCE: 1.5, Evidence.SPEED: 2.0}
COARSE_SE_S, COARSE_SPACING_S = 6.0, 2.5
#: A rise is placed no better than this, s, nor than half a spacing, whatever its fit says.
ONSET_SE_S = 2.0
#: After hard work a pulse stays up for 0 to some 15 s (Pierpont, Stolpman, Gornick 2000, J Auton Nerv Syst
#: 80:169-74: a delayed begin after maximal exercise; the size is plausible, no source). Middle and spread, s.
HARD_DELAY_S, HARD_DELAY_SE_S = 6.0, 4.5
#: A stop typed by the rider is right to about this, s.
GIVEN_SE_S = 1.0
#: A test's length counts as kept within this, s.
KEPT_WITHIN_S = 15.0
#: Two stretches whose lengths differ by less than this fit equally well, s.
ALIKE_S = 15.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What a test asks of the stepping.

    Parameters
    ----------
    seconds, least_s, most_s
        Its length, and the least and most that pass for it, s.
    is_hard
        Whether it ends near the maximum, where the pulse falls late.
    """

    seconds: float
    least_s: float
    most_s: float
    is_hard: bool

    @property
    def may_be_shorter(self) -> bool:
        """Whether the test goes on only as long as the rider can."""
        return self.least_s < 0.5 * self.seconds

    @property
    def in_words(self) -> str:
        """The length for a sentence."""
        return f"{'up to' if self.may_be_shorter else 'about'} {self.seconds:.0f} s"


@dataclass(frozen=True, slots=True)
class Stepping:
    """A stretch of stepping.

    Parameters
    ----------
    stop_s, stop_se_s
        Where it stopped and its standard error, s from the start of the session.
    lasted_s, lasted_se_s
        How long it lasted and its standard error, s; None where its start does not show.
    was_as_asked
        Whether nothing in the recording differs from what the test asks for.
    reasons
        What limits it.
    """

    stop_s: float
    stop_se_s: float
    lasted_s: float | None
    lasted_se_s: float | None
    was_as_asked: bool
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class _Candidate:
    stop_s: float
    stop_se_s: float
    onset: Onset | None

    @property
    def lasted_s(self) -> float | None:
        return None if self.onset is None else self.stop_s - self.onset.at_s


def find_stepping(signal: CleanSignal, asked: Asked, *, stop_s: float | None = None) -> Stepping | Reason:
    """Find the stretch of stepping of a step test.

    Parameters
    ----------
    signal
        Clean signal of the session.
    asked
        What the test asks for.
    stop_s
        Where it stopped, if the rider says so, s from the start of the session.

    Returns
    -------
    Stepping or Reason
        Why there is none: none fits, or several do and only the rider can say which.

    Raises
    ------
    BadInput
        If the stop given lies outside the recording.
    """
    if not np.isfinite(signal.hr_bpm).any():
        return because("fieldtest.no_heart_rate")
    if stop_s is not None:
        check_stop(signal, stop_s)
        given = _Candidate(stop_s, GIVEN_SE_S, _onset(signal, stop_s, asked))
        return _describe(signal, given, asked, [because("fieldtest.stop_given")])
    candidates = [_candidate(signal, effort, asked) for effort in find_efforts(signal)]
    fitting = [
        c for c in candidates if c.lasted_s is not None and asked.least_s <= c.lasted_s <= asked.most_s
    ]
    if not fitting and len(candidates) == 1 and not _start_was_recorded(signal, candidates[0], asked):
        fitting = candidates
    if not fitting:
        return because("fieldtest.no_stepping", length=asked.in_words)
    best = min(fitting, key=lambda c: _misses_by(c, asked))
    alike = [c for c in fitting if _misses_by(c, asked) - _misses_by(best, asked) < ALIKE_S]
    if len(alike) > 1:
        stops = ", ".join(_clock(c.stop_s) for c in sorted(alike, key=lambda c: c.stop_s))
        return because("fieldtest.several", stops=stops)
    return _describe(signal, best, asked, [])


def check_stop(signal: CleanSignal, stop_s: float) -> None:
    """Refuse a stop, s from the start, that lies outside the recording; raises `BadInput`."""
    end_s = float(signal.t_s[-1]) if signal.t_s.size else 0.0
    if not 0 < stop_s < end_s:
        raise BadInput(
            f"a stop at {stop_s:g} s lies outside the recording, which lasts {end_s:.0f} s",
            what_to_do="Give the seconds from its start to the end of the effort",
        )


def _start_was_recorded(signal: CleanSignal, candidate: _Candidate, asked: Asked) -> bool:
    """Say whether a start would show if there was one: seen, or nothing missing where it should be."""
    first, last = candidate.stop_s - asked.most_s - LEAST_QUIET_S, candidate.stop_s - asked.least_s
    stretch = signal.hr_bpm[max(int(first), 0) : int(last)]
    return candidate.onset is not None or bool(first >= 0 and np.isfinite(stretch).mean() > 0.7)


def _clock(at_s: float) -> str:
    minutes, seconds = divmod(round(at_s), 60)
    return f"{minutes} min {seconds:02d} s"


def _misses_by(candidate: _Candidate, asked: Asked) -> float:
    return 0.0 if candidate.lasted_s is None else abs(candidate.lasted_s - asked.seconds)


def _candidate(signal: CleanSignal, effort: Effort, asked: Asked) -> _Candidate:
    stop_s, se_s = effort.end_s, STOP_SE_S[effort.evidence]
    if effort.evidence is Evidence.HEART_RATE:
        se_s = COARSE_SE_S if signal.spacing_s > COARSE_SPACING_S else se_s
        if asked.is_hard:
            stop_s, se_s = stop_s - HARD_DELAY_S, float(np.hypot(se_s, HARD_DELAY_SE_S))
    return _Candidate(stop_s, se_s, _onset(signal, stop_s, asked))


def _onset(signal: CleanSignal, stop_s: float, asked: Asked) -> Onset | None:
    return find_onset(
        signal.hr_bpm,
        earliest_s=max(stop_s - asked.most_s - ALIKE_S, 0.0),
        latest_s=stop_s - asked.least_s + ALIKE_S,
        until_s=stop_s,
    )


def _describe(signal: CleanSignal, candidate: _Candidate, asked: Asked, reasons: list[Reason]) -> Stepping:
    """Join what the fall and the rise say of the stop."""
    stop_s, se_s = candidate.stop_s, candidate.stop_se_s
    found, lasted_se = list(reasons), None
    was_as_asked = True
    if candidate.onset is None or candidate.lasted_s is None:
        found.append(because("fieldtest.start_unseen"))
    else:
        onset_se = float(np.hypot(candidate.onset.se_s, max(ONSET_SE_S, signal.spacing_s / 2)))
        lasted_se = float(np.hypot(onset_se, se_s))
        if abs(candidate.lasted_s - asked.seconds) <= KEPT_WITHIN_S:
            stop_s, se_s = _weighted(stop_s, se_s, candidate.onset.at_s + asked.seconds, onset_se)
        elif not asked.may_be_shorter:
            was_as_asked = False
            found.append(because("fieldtest.wrong_length", found=candidate.lasted_s, asked=asked.seconds))
    if mode_after(signal, stop_s, window_s=60.0) is Mode.MOVING:
        was_as_asked = False
        found.append(because("fieldtest.moved_on"))
    return Stepping(stop_s, se_s, candidate.lasted_s, lasted_se, was_as_asked, tuple(found))


def _weighted(one: float, one_se: float, other: float, other_se: float) -> tuple[float, float]:
    """Return the mean of two estimates by their precision, and its standard error."""
    weight = other_se**2 / (one_se**2 + other_se**2)
    return weight * one + (1 - weight) * other, one_se * other_se / float(np.hypot(one_se, other_se))
