"""Score the fixed submaximal ride on a home bike: were the stages held, and how far did the pulse fall.

Lamberts, Swart, Noakes, Lambert 2011, Br J Sports Med 45:797-804, doi 10.1136/bjsm.2009.061325: 6 min at 60 %,
6 min at 80 % and 3 min at 90 % of the maximum, each within 2 bpm, then 90 s upright and motionless. Since
every ride ends at the same pulse, its one-minute drop compares better with itself than any other.
"""

from dataclasses import dataclass

import numpy as np

from rideready.intensity import working_maximum_bpm
from rideready.model.clean import CleanSignal
from rideready.model.fieldtest import Counting, FieldTest, FieldTestResult, Figure, Measure, Stage
from rideready.model.reason import Reason, because
from rideready.model.recovery import Evidence, Mode, Recovery
from rideready.model.rider import Rider
from rideready.recovery.curves import recovery_curve
from rideready.recovery.efforts import find_efforts
from rideready.recovery.measure import measure
from rideready.recovery.stepping import HARD_DELAY_S, HARD_DELAY_SE_S, check_stop

#: Share of the maximum and length, s, of each stage.
STAGES = ((0.6, 360.0), (0.8, 360.0), (0.9, 180.0))
#: The rest after them, s.
REST_S = 90.0
#: A stage is held within this, bpm.
HELD_WITHIN_BPM = 2.0
#: The pulse may settle for this long after each stage begins, s (common practice, no source).
SETTLE_S = 60.0
#: A stage counts as uneven where less than this share of its time lies within 2 bpm (ours).
LEAST_WITHIN = 0.5
#: What is left of the rest by the recorder's last sample still counts as all of it, s.
REST_SLACK_S = 5.0
#: Beyond this sum of misses, bpm, a ride is another one and not this test held badly (ours).
MOST_OFF_BPM = 30.0
_Z95 = 1.96


@dataclass(frozen=True, slots=True)
class _Candidate:
    stop_s: float
    stages: tuple[Stage, ...]

    @property
    def misses_by_bpm(self) -> float:
        """Sum of what the stages miss their targets by; an unrecorded one counts as 30."""
        return sum(30.0 if s.held_bpm is None else abs(s.held_bpm - s.target_bpm) for s in self.stages)


def read_ride_test(signal: CleanSignal, rider: Rider, *, stop_s: float | None = None) -> FieldTestResult:
    """Score a submaximal ride test from a recording.

    Parameters
    ----------
    signal
        Clean signal of the session, from `rideready.signal.clean.clean`.
    rider
        The stages are shares of the working maximum: measured, else predicted from age.
    stop_s
        Where the last stage ended, s from the start of the session, if the rider says so; the stop
        found nearest to it is taken.

    Returns
    -------
    FieldTestResult
        The one-minute drop with its 95 % interval, the three stages, and everything that was off.

    Raises
    ------
    BadInput
        If the stop given lies outside the recording.

    References
    ----------
    Lamberts, Swart, Noakes, Lambert 2011, Br J Sports Med 45:797-804.
    """
    if stop_s is not None:
        check_stop(signal, stop_s)
    maximum_bpm = working_maximum_bpm(rider)
    if maximum_bpm is None:
        why = "fieldtest.medicine" if rider.takes_heart_rate_medicine else "fieldtest.no_maximum"
        return _nothing(because(why))
    ride_s = sum(length for _, length in STAGES)
    found = [
        _Candidate(effort.end_s, _stages(signal, effort.end_s, maximum_bpm))
        for effort in find_efforts(signal)
        if stop_s is not None or effort.end_s >= ride_s - SETTLE_S
    ]
    if stop_s is None:
        found = [candidate for candidate in found if candidate.misses_by_bpm <= MOST_OFF_BPM]
    if not found:
        return _nothing(because("fieldtest.no_ride", minutes=ride_s / 60))
    if stop_s is None:
        best = min(found, key=lambda candidate: candidate.misses_by_bpm)
    else:
        best = min(found, key=lambda candidate: abs(candidate.stop_s - stop_s))
    # Measuring fits every recovery of the session, so it waits until there is a ride.
    recovery = next(r for r in measure(signal, rider) if r.end_of_effort_s == best.stop_s)
    return _score(recovery, best.stages, rider)


def _stages(signal: CleanSignal, stop_s: float, maximum_bpm: float) -> tuple[Stage, ...]:
    """Look at each stage, counted back from the stop."""
    stages = []
    end_s = stop_s
    for share, length_s in reversed(STAGES):
        stages.append(_stage(signal, end_s - length_s + SETTLE_S, end_s, share, maximum_bpm))
        end_s -= length_s
    return tuple(reversed(stages))


def _stage(signal: CleanSignal, start_s: float, end_s: float, share: float, maximum_bpm: float) -> Stage:
    inside = (signal.t_s >= start_s) & (signal.t_s < end_s)
    hr_bpm, power_w = signal.hr_bpm[inside], signal.power_w[inside]
    known = hr_bpm[np.isfinite(hr_bpm)]
    target_bpm = share * maximum_bpm
    mean_power = float(np.nanmean(power_w)) if np.isfinite(power_w).any() else None
    if known.size < 0.5 * (end_s - start_s):
        return Stage(share, target_bpm, None, None, is_held=False, power_w=mean_power)
    held_bpm = float(np.median(known))
    # Half a beat more: recorders write whole beats.
    within = float(np.mean(np.abs(known - target_bpm) <= HELD_WITHIN_BPM + 0.5))
    is_held = abs(held_bpm - target_bpm) <= HELD_WITHIN_BPM
    return Stage(share, target_bpm, held_bpm, within, is_held, mean_power)


def _score(recovery: Recovery, stages: tuple[Stage, ...], rider: Rider) -> FieldTestResult:
    off = [*_off_stages(stages), *_off_rest(recovery)]
    notes = []
    if rider.max_hr_bpm is None:
        notes.append(because("fieldtest.predicted_maximum"))
    if recovery.evidence is Evidence.HEART_RATE:
        notes.append(because("fieldtest.stop_from_pulse"))
    if recovery.mode is Mode.UNKNOWN:
        notes.append(because("fieldtest.stillness_unknown"))
    drop, se = recovery.hrr60_bpm, recovery.hrr60_se_bpm
    figures: tuple[Figure, ...] = ()
    if drop is None or se is None:
        notes.append(because("fieldtest.no_drop"))
        notes += [reason for reason in recovery.reasons if reason.code.startswith("recovery.cut_by")]
    else:
        below = float(np.hypot(_Z95 * se, _late_start_bpm(recovery)))
        figures = (Figure(Measure.DROP_60, drop, drop - below, drop + _Z95 * se),)
    return FieldTestResult(
        test=FieldTest.RIDE,
        counting=Counting.RECORDING,
        figures=figures,
        stages=stages,
        stop_s=recovery.end_of_effort_s,
        was_by_protocol=not off and bool(figures),
        reasons=(*off, *notes),
    )


def _late_start_bpm(recovery: Recovery) -> float:
    """Return by how much the drop may read too large because only the pulse tells the stop, bpm.

    The pulse stays up for some seconds after hard work; what is read 60 s after the knee is then read up to
    some 15 s later after the stop.
    """
    fit = recovery.fit
    if recovery.evidence is not Evidence.HEART_RATE or fit is None:
        return 0.0
    latest_s = HARD_DELAY_S + _Z95 * HARD_DELAY_SE_S
    early_bpm, late_bpm = recovery_curve(
        np.array([60.0 - latest_s, 60.0]),
        end_bpm=fit.end_bpm,
        amplitude_bpm=fit.amplitude_bpm,
        tau_s=fit.tau_s,
        delay_s=fit.delay_s,
        lag_s=fit.lag_s,
    )
    return float(early_bpm - late_bpm)


def _off_stages(stages: tuple[Stage, ...]) -> list[Reason]:
    """Say which stages were not held."""
    found = []
    for stage in stages:
        percent = 100 * stage.share_of_maximum
        if stage.held_bpm is None or stage.share_within is None:
            found.append(because("fieldtest.stage_unread", percent=percent))
        elif not stage.is_held:
            found.append(
                because("fieldtest.stage_off", percent=percent, held=stage.held_bpm, target=stage.target_bpm)
            )
        elif stage.share_within < LEAST_WITHIN:
            share = 100 * stage.share_within
            found.append(because("fieldtest.stage_uneven", percent=percent, share=share))
    return found


def _off_rest(recovery: Recovery) -> list[Reason]:
    """Say what was wrong with the rest after the ride."""
    found = []
    if recovery.window_s < REST_S - REST_SLACK_S:
        found.append(because("fieldtest.rest_short", window=recovery.window_s, asked=REST_S))
    if recovery.mode is Mode.MOVING:
        found.append(because("fieldtest.moved_on"))
    return found


def _nothing(reason: Reason) -> FieldTestResult:
    return FieldTestResult(FieldTest.RIDE, Counting.RECORDING, (), was_by_protocol=False, reasons=(reason,))
