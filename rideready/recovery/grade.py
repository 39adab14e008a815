"""How far one recovery's figures can be trusted, by stated criteria.

============================  ==========  ==========  ==========
criterion                     good        fair        rough
============================  ==========  ==========  ==========
window                        90 s        65 s        20 s
clean share of first minute   90 %        75 %        40 %
spacing of the samples        3 s         6 s         15 s
start, share of the reserve   60 %        40 %        40 %
error of the one-minute drop  2.5 bpm     3 bpm       any, none
pulse around a smooth fall    2 bpm       2.5 bpm     any
interval of tau, high/low     2.5         3.5         any, none
still or moving               recorded    unknown     unknown
end of the effort             recorded    from pulse  from pulse
one curve describes it        yes         no          no
============================  ==========  ==========  ==========

The worst criterion decides. Beyond rough there is no grade. The bounds were set on simulated sessions (straps,
wrist sensors, coarse recorders; ``tests/validation``, section on grades) so that good recoveries have smaller
errors than fair ones, and fair ones than rough ones, in the drop from the end of work and in tau.
"""

import math
from dataclasses import dataclass

from rideready.intensity import reserve_fraction, working_maximum_bpm
from rideready.model.reason import Reason, because
from rideready.model.recovery import CutBy, Grade, Mode, RecoveryFit
from rideready.model.recovery import Evidence as Channel
from rideready.model.rider import Rider

#: Window, s (a minute, and the seconds that a sensor runs behind); share of clean seconds; spacing, s; standard
#: error of the one-minute drop, bpm; standard deviation of the pulse around the fitted fall, bpm.
LEAST_WINDOW_S = {Grade.GOOD: 90.0, Grade.FAIR: 65.0, Grade.ROUGH: 20.0}
LEAST_CLEAN = {Grade.GOOD: 0.9, Grade.FAIR: 0.75, Grade.ROUGH: 0.4}
MOST_SPACING_S = {Grade.GOOD: 3.0, Grade.FAIR: 6.0, Grade.ROUGH: 15.0}
MOST_ERROR_BPM = {Grade.GOOD: 2.5, Grade.FAIR: 3.0, Grade.ROUGH: float("inf")}
MOST_NOISE_BPM = {Grade.GOOD: 2.0, Grade.FAIR: 2.5, Grade.ROUGH: float("inf")}
#: Starting intensity as a fraction of the reserve. The most repeatable efforts end at 85-90 % of
#: maximum (Lamberts, Lambert 2009, J Strength Cond Res 23); vigorous begins at 60 % of the reserve
#: and moderate at 40 % (Garber et al. 2011, Med Sci Sports Exerc 43:1334-59).
#: Between the two a start costs no accuracy in the drop; what it costs in tau its interval shows.
LEAST_RESERVE = {Grade.GOOD: 0.6, Grade.FAIR: 0.4}
#: The same as a fraction of maximum, for riders whose rest is unknown (same source, by its table).
LEAST_OF_MAXIMUM = {Grade.GOOD: 0.77, Grade.FAIR: 0.64}
#: Ends of tau's 95 % interval, high through low. With 2.5 its median error was 10 %, above 3.5 17 %.
MOST_SPREAD = {Grade.GOOD: 2.5, Grade.FAIR: 3.5, Grade.ROUGH: float("inf")}
#: Without any maximum: 0.64 and so on of 190 bpm, so that a walk never counts (ours).
ASSUMED_MAXIMUM_BPM = 190.0

_ORDER = (Grade.GOOD, Grade.FAIR, Grade.ROUGH, Grade.NONE)


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a grade is given on.

    Parameters
    ----------
    peak_bpm
        Heart rate at the end of the effort, bpm.
    window_s, cut_by
        How long the fall could be watched, s, and what ended it.
    clean_share
        Share of trustworthy seconds in the first minute, 0 to 1.
    spacing_s
        Median spacing of the samples, s.
    mode
        Still, moving or unknown.
    channel
        What told the end of the effort.
    hrr60_se_bpm
        Standard error of the one-minute drop, bpm; None if there is no drop.
    fit
        The fitted curve; None if none was possible.
    """

    peak_bpm: float
    window_s: float
    cut_by: CutBy
    clean_share: float
    spacing_s: float
    mode: Mode
    channel: Channel
    hrr60_se_bpm: float | None
    fit: RecoveryFit | None


def grade(evidence: Evidence, rider: Rider) -> tuple[Grade, tuple[Reason, ...]]:
    """Grade a recovery: the worst of its criteria decides, and each that is not good says why.

    Parameters
    ----------
    evidence
        What is known of the recovery.
    rider
        Whose maximum and rest tell how hard the effort was.

    Returns
    -------
    Grade, tuple of Reason
        No reasons for a good recovery.
    """
    found: list[tuple[Grade, Reason | None]] = [
        _by_window(evidence),
        _at_least(
            evidence.clean_share,
            LEAST_CLEAN,
            because("recovery.dirty", percent=100 * (1 - evidence.clean_share)),
        ),
        _at_most(
            evidence.spacing_s, MOST_SPACING_S, because("recovery.sparse", spacing_s=evidence.spacing_s)
        ),
        _by_intensity(evidence, rider),
        _by_error(evidence),
        _by_motion(evidence),
        *_by_fit(evidence.fit),
    ]
    worst = max((one for one, _ in found), key=_ORDER.index)
    return worst, tuple(reason for one, reason in found if one != Grade.GOOD and reason is not None)


def _at_least(value: float, least: dict[Grade, float], reason: Reason) -> tuple[Grade, Reason]:
    return next((one for one, bound in least.items() if value >= bound), Grade.NONE), reason


def _at_most(value: float, most: dict[Grade, float], reason: Reason) -> tuple[Grade, Reason]:
    return next((one for one, bound in most.items() if value <= bound), Grade.NONE), reason


def _by_window(evidence: Evidence) -> tuple[Grade, Reason]:
    code = {
        CutBy.NEXT_EFFORT: "recovery.cut_by_effort",
        CutBy.GAP: "recovery.cut_by_gap",
        CutBy.END: "recovery.cut_by_end",
        CutBy.LIMIT: "recovery.cut_by_limit",
    }[evidence.cut_by]
    return _at_least(evidence.window_s, LEAST_WINDOW_S, because(code, window_s=evidence.window_s))


def _by_intensity(evidence: Evidence, rider: Rider) -> tuple[Grade, Reason]:
    reserve = reserve_fraction(evidence.peak_bpm, rider) if rider.resting_hr_bpm is not None else None
    if reserve is not None and math.isfinite(reserve):
        return _at_least(reserve, LEAST_RESERVE, because("recovery.started_low", percent=100 * reserve))
    maximum_bpm = working_maximum_bpm(rider)
    share = evidence.peak_bpm / (ASSUMED_MAXIMUM_BPM if maximum_bpm is None else maximum_bpm)
    code = "recovery.started_low_of_assumed" if maximum_bpm is None else "recovery.started_low_of_maximum"
    return _at_least(share, LEAST_OF_MAXIMUM, because(code, peak_bpm=evidence.peak_bpm, percent=100 * share))


def _by_error(evidence: Evidence) -> tuple[Grade, Reason]:
    if evidence.hrr60_se_bpm is None:
        return Grade.ROUGH, because("recovery.no_hrr60")
    return _at_most(
        evidence.hrr60_se_bpm, MOST_ERROR_BPM, because("recovery.noisy", se_bpm=evidence.hrr60_se_bpm)
    )


def _by_motion(evidence: Evidence) -> tuple[Grade, Reason | None]:
    """Whether the stop and what came after it were recorded.

    A pulse begins to fall up to 15 s after the stop, and where only the pulse was recorded nobody knows when.
    """
    if evidence.mode == Mode.UNKNOWN:
        return Grade.FAIR, because("recovery.mode_unknown")
    if evidence.channel == Channel.HEART_RATE:
        return Grade.FAIR, because("recovery.end_from_pulse")
    return Grade.GOOD, None


def _by_fit(fit: RecoveryFit | None) -> list[tuple[Grade, Reason | None]]:
    if fit is None:
        return [(Grade.ROUGH, because("recovery.no_tau"))]
    low_s, high_s, sd_bpm = fit.tau_low_s, fit.tau_high_s, fit.noise_sd_bpm
    return [
        _at_most(high_s / low_s, MOST_SPREAD, because("recovery.tau_wide", low_s=low_s, high_s=high_s)),
        _at_most(sd_bpm, MOST_NOISE_BPM, because("recovery.unsteady", sd_bpm=sd_bpm)),
        (Grade.GOOD if fit.misfit is None else Grade.FAIR, fit.misfit),
    ]
