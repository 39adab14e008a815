"""The maximum heart rate that recordings support, and where it conflicts with what was entered or predicted.

A single high value proves little: sensors lock on to cadence and spike. So a session counts with its best
15 s without a flagged second in or beside them, and a level counts when other sessions come near it. What
is seen is a floor all the same. Conflicts are shown; the rider decides.
"""

from collections.abc import Sequence

import numpy as np

from rideready.intensity import MaximumEquation
from rideready.model.clean import CleanSignal, Flag
from rideready.model.maximum import ObservedMaximum, SessionHigh, SustainedPulse
from rideready.model.reason import Reason, because
from rideready.recovery.turns import noise_sd_bpm

#: A level is held for this long, s: longer than a spike, short enough for the end of a hard effort (ours).
HELD_FOR_S = 15
#: A low level, for the resting pulse, is held for this long, s.
LOW_FOR_S = 60
#: No flagged second this near, s: what lies beside a sensor's mistake may be one too.
CLEAR_OF_S = 5
#: Flags that mark a mistake of the sensor rather than silence.
_MISTAKES = (Flag.IMPLAUSIBLE, Flag.SPIKE, Flag.STUCK, Flag.DROPOUT, Flag.CADENCE_LOCK)
#: Another session supports a level when it comes this near, bpm: highest values of maximal tests differ by a
#: few beats from day to day (ours).
NEAR_BPM = 5.0
#: Other sessions that must come near or go beyond: two where there are many, one where there are few, so
#: that two mistakes of a sensor do not make a maximum.
LEAST_SUPPORTING, MANY_SESSIONS = 2, 6
#: Error of a level by the number of sessions that support it, bpm; maxima of one person vary by some 2 bpm
#: from day to day (common practice, no source), what stands alone by more (ours).
_DAY_SD_BPM = {0: 5.0, 1: 3.0}
_USUAL_DAY_SD_BPM = 2.0
#: A recording this far above the number in use is a conflict, bpm; and one this far below it after so many
#: sessions.
ABOVE_BPM, BELOW_BPM, ENOUGH_SESSIONS = 3.0, 10.0, 10
_NOISE_PHI = 0.8
_Z95 = 1.96


def highest_held(signal: CleanSignal) -> SustainedPulse | None:
    """Return the highest heart rate held for 15 s.

    Parameters
    ----------
    signal
        Clean signal of a session.

    Returns
    -------
    SustainedPulse or None
        None without 15 s in a row that are clean and 5 s clear of any mistake of the sensor.
    """
    return _held(signal, HELD_FOR_S, sign=1.0)


def lowest_held(signal: CleanSignal) -> SustainedPulse | None:
    """Return the lowest heart rate held for a minute; parameters and result as for `highest_held`."""
    return _held(signal, LOW_FOR_S, sign=-1.0)


def _held(signal: CleanSignal, length_s: int, *, sign: float) -> SustainedPulse | None:
    if signal.hr_bpm.size < length_s:
        return None
    is_mistake = np.isin(signal.flags, _MISTAKES)
    near_mistake = np.convolve(is_mistake, np.ones(2 * CLEAR_OF_S + 1), mode="same")[: is_mistake.size] > 0
    usable = np.where(near_mistake, np.nan, signal.hr_bpm)
    means = np.convolve(usable, np.full(length_s, 1 / length_s), mode="valid")
    if not np.isfinite(means).any():
        return None
    at = int(np.nanargmax(sign * means))
    # The mean of n values with a memory phi varies by sd sqrt((1 + phi) / (1 - phi) / n).
    se = noise_sd_bpm(signal.hr_bpm) * float(np.sqrt((1 + _NOISE_PHI) / (1 - _NOISE_PHI) / length_s))
    return SustainedPulse(float(means[at]), se, float(signal.t_s[at]))


def observed_maximum(highs: Sequence[SessionHigh]) -> ObservedMaximum | None:
    """Say which maximum the recordings support.

    The highest level that at least two other sessions come within 5 bpm of, or exceed; one other where
    there are fewer than six sessions. A higher one that stands alone is shown beside it.

    Parameters
    ----------
    highs
        One a session, from `highest_held`, in any order.

    Returns
    -------
    ObservedMaximum or None
        None without a session.
    """
    if not highs:
        return None
    ordered = sorted(highs, key=lambda session: session.high.bpm, reverse=True)
    levels = np.array([one.high.bpm for one in ordered])
    supports = (levels.size - 1 - np.searchsorted(levels[::-1], levels - NEAR_BPM)).tolist()  # but itself
    wanted = min(LEAST_SUPPORTING if len(ordered) >= MANY_SESSIONS else 1, len(ordered) - 1)
    at = next(i for i, n in enumerate(supports) if n >= wanted)
    source, n_supporting = ordered[at], supports[at]
    alone = ordered[0] if at > 0 and ordered[0].high.bpm > source.high.bpm + ABOVE_BPM else None
    spread = _DAY_SD_BPM.get(n_supporting, _USUAL_DAY_SD_BPM)
    half = _Z95 * float(np.hypot(source.high.se_bpm, spread))
    return ObservedMaximum(
        bpm=source.high.bpm,
        low_bpm=source.high.bpm - half,
        high_bpm=source.high.bpm + half,
        source=source,
        n_supporting=n_supporting,
        n_sessions=len(ordered),
        unsupported=alone,
        reasons=_beware(n_supporting, len(ordered), alone),
    )


def _beware(n_supporting: int, n_sessions: int, alone: SessionHigh | None) -> tuple[Reason, ...]:
    found = [because("maximum.floor")]
    if n_supporting == 0:
        found.append(because("maximum.one_session"))
    elif n_sessions < MANY_SESSIONS:
        found.append(because("maximum.few_sessions", n=float(n_sessions)))
    if alone is not None:
        found.append(
            because("maximum.unsupported", session=str(alone.session_id), bpm=alone.high.bpm, near=NEAR_BPM)
        )
    return tuple(found)


def conflicts(
    measured_bpm: float | None,
    observed: ObservedMaximum | None,
    predicted_bpm: float | None,
    *,
    equation: MaximumEquation = MaximumEquation.TANAKA,
) -> tuple[Reason, ...]:
    """Say where the maximum entered, the one seen and the one predicted do not go together.

    Nothing is resolved: the measured one stays in use, or the predicted one without it.

    Parameters
    ----------
    measured_bpm
        As the rider entered it, bpm; None if not.
    observed
        From `observed_maximum`; None without recordings.
    predicted_bpm
        From age, bpm; None if the age is not known.
    equation
        By which it was predicted; its standard error says how far off it may be.

    Returns
    -------
    tuple of Reason
        Empty if they go together.

    References
    ----------
    Tanaka, Monahan, Seals 2001, J Am Coll Cardiol 37:153-6 (and the error of its prediction).
    """
    found = []
    if measured_bpm is not None and predicted_bpm is not None:
        found += _measured_and_predicted(measured_bpm, predicted_bpm, equation)
    if observed is not None and measured_bpm is not None:
        found += _measured_and_observed(measured_bpm, observed)
    if observed is not None and measured_bpm is None and predicted_bpm is not None:
        found += _predicted_and_observed(predicted_bpm, observed, equation)
    return tuple(found)


def _measured_and_predicted(
    measured_bpm: float, predicted_bpm: float, equation: MaximumEquation
) -> list[Reason]:
    apart = measured_bpm - predicted_bpm
    # One person in three lies beyond one standard error; beyond two it is one in twenty.
    if abs(apart) <= 2 * equation.see_bpm:
        return []
    return [
        because(
            "maximum.entered_far_from_predicted",
            entered=measured_bpm,
            apart=abs(apart),
            side="above" if apart > 0 else "below",
            predicted=predicted_bpm,
            see=equation.see_bpm,
        )
    ]


def _measured_and_observed(measured_bpm: float, observed: ObservedMaximum) -> list[Reason]:
    if observed.bpm > measured_bpm + ABOVE_BPM:
        session = str(observed.source.session_id)
        return [
            because("maximum.above_entered", observed=observed.bpm, session=session, entered=measured_bpm)
        ]
    highest_bpm, n = _highest_seen(observed), float(observed.n_sessions)
    if highest_bpm < measured_bpm - BELOW_BPM and n >= ENOUGH_SESSIONS:
        return [because("maximum.entered_unreached", entered=measured_bpm, observed=highest_bpm, n=n)]
    return []


def _predicted_and_observed(
    predicted_bpm: float, observed: ObservedMaximum, equation: MaximumEquation
) -> list[Reason]:
    if observed.bpm > predicted_bpm + ABOVE_BPM:
        session = str(observed.source.session_id)
        return [
            because(
                "maximum.above_predicted", observed=observed.bpm, session=session, predicted=predicted_bpm
            )
        ]
    highest_bpm, n = _highest_seen(observed), float(observed.n_sessions)
    if highest_bpm < predicted_bpm - BELOW_BPM and n >= ENOUGH_SESSIONS:
        return [
            because(
                "maximum.predicted_unreached",
                predicted=predicted_bpm,
                see=equation.see_bpm,
                observed=highest_bpm,
                n=n,
            )
        ]
    return []


def _highest_seen(observed: ObservedMaximum) -> float:
    """Return the highest level in any session, supported or not, bpm."""
    return observed.bpm if observed.unsupported is None else observed.unsupported.high.bpm
