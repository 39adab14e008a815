"""A recording matched to its prescription: pulse kept up, recovery between rounds, time against plan."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from rideready.circuit.rounds import LadderPlan, Stretch, find_falls, find_rounds, smoothed
from rideready.intensity import target_bpm
from rideready.model.circuit import Circuit
from rideready.model.circuit_match import CircuitMatch, RoundMatch
from rideready.model.clean import CleanSignal
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.session import FloatArray

#: The pulse floor, fraction of the reserve: where vigorous begins (Garber et al. 2011, Med Sci Sports
#: Exerc 43:1334-59).
FLOOR_RESERVE = 0.60
#: Below this share of clean seconds the figures are said to rest on little.
_FEW_CLEAN = 0.80


def match_circuit(
    signal: CleanSignal,
    circuit: Circuit,
    *,
    rider: Rider,
    rounds_done: int | None = None,
    start_s: float | None = None,
    floor_reserve: float = FLOOR_RESERVE,
) -> CircuitMatch:
    """Lay a recording beside the circuit it is a recording of.

    Rounds are found from the pulse alone, by the falls in the rests; their begins and ends are good to some
    ten seconds, because the pulse lags behind the work. Without rests, or with a wrist sensor that loses
    the pulse under grip, the rounds cannot be told apart and only the shares are given.

    Parameters
    ----------
    signal
        Clean heart rate of the session; it may hold the cardio piece, warm-up and cool-down too.
    circuit
        What was prescribed; that the session is a recording of it is taken for granted.
    rider
        Whose floor and rest level.
    rounds_done
        How many rounds were done, from the longest on; None for all of them.
    start_s
        Where the circuit begins, s from the start of the session; None if that is to be found.
    floor_reserve
        The pulse floor, fraction of the reserve.

    Returns
    -------
    CircuitMatch
        Figures, with reasons for those that cannot be had.

    References
    ----------
    Garber et al. 2011, Med Sci Sports Exerc 43:1334-59, for the floor. The rest is ours.
    """
    n_rounds = circuit.top_count if rounds_done is None else rounds_done
    planned_s = circuit.round_s[:n_rounds]
    planned_minutes = (sum(planned_s) + max(n_rounds - 1, 0) * circuit.rest.expected_s) / 60
    level_bpm = circuit.rest.level_bpm
    floor_bpm = None if rider.takes_heart_rate_medicine else target_bpm(floor_reserve, rider)
    if not np.isfinite(signal.hr_bpm).any():
        nothing = because("circuit.match_no_pulse")
        return CircuitMatch(
            None, None, planned_minutes, None, (), level_bpm, floor_bpm, None, 0.0, (nothing,)
        )
    hr = smoothed(signal.hr_bpm)
    falls = find_falls(hr)
    length_s = float(signal.t_s[-1])
    plan = LadderPlan(planned_s, circuit.rest.expected_s, start_s, length_s)
    stretches = find_rounds(falls, plan) if n_rounds > 1 else ()
    reasons: list[Reason] = []
    if stretches:
        start, end = stretches[0].start_s, stretches[-1].end_s
        reasons.append(because("circuit.match_rounds_approximate"))
        if start_s is None:
            reasons.append(because("circuit.match_start_assumed"))
    else:
        start, end = start_s or 0.0, length_s
        reasons.append(because("circuit.match_no_rounds", wanted=max(n_rounds - 1, 1)))
        reasons.append(because("circuit.match_to_the_end"))
    inside = signal.hr_bpm[round(start) : round(end) + 1]
    clean_share, above = _shares(inside, floor_bpm)
    if floor_bpm is None:
        reasons.append(because("circuit.match_no_floor"))
    if clean_share < _FEW_CLEAN:
        reasons.append(because("circuit.match_few_clean", percent=round(100 * clean_share)))
    return CircuitMatch(
        start_s=start if stretches else start_s,
        end_s=end if stretches else None,
        planned_minutes=planned_minutes,
        minutes=(end - start) / 60 if stretches else None,
        rounds=_rounds(hr, stretches, circuit),
        level_bpm=level_bpm,
        floor_bpm=floor_bpm,
        share_above_floor=above,
        clean_share=clean_share,
        reasons=tuple(reasons),
    )


def _shares(hr_bpm: FloatArray, floor_bpm: float | None) -> tuple[float, float | None]:
    """Share of clean seconds, and of those at or above the floor."""
    is_clean = np.isfinite(hr_bpm)
    if floor_bpm is None or not is_clean.any():
        return float(is_clean.mean()), None
    return float(is_clean.mean()), float(np.mean(hr_bpm[is_clean] >= floor_bpm))


def _rounds(hr: FloatArray, stretches: Sequence[Stretch], circuit: Circuit) -> tuple[RoundMatch, ...]:
    if not stretches:
        return ()
    nexts = [*stretches[1:], None]
    n_rounds = len(stretches)  # the ladder may have been left before its end
    rows = zip(stretches, nexts, circuit.rounds[:n_rounds], circuit.round_s[:n_rounds], strict=True)
    return tuple(
        _round(
            hr, stretch, after, circuit.rest.level_bpm, RoundMatch(reps, 0, 0, planned_s, 0, None, None, None)
        )
        for stretch, after, reps, planned_s in rows
    )


def _round(
    hr: FloatArray, stretch: Stretch, after: Stretch | None, level_bpm: float | None, planned: RoundMatch
) -> RoundMatch:
    end = min(round(stretch.end_s), hr.size - 1)
    peak_bpm = float(hr[end])
    done = replace(planned, start_s=stretch.start_s, end_s=stretch.end_s, peak_bpm=peak_bpm)
    if after is None:
        return done
    rest = hr[end : round(after.start_s) + 1]
    settled = np.flatnonzero(rest <= level_bpm) if level_bpm is not None else np.array([])
    return replace(
        done,
        rest_s=after.start_s - stretch.end_s,
        drop_bpm=peak_bpm - float(np.nanmin(rest)),
        settle_s=float(settled[0]) if settled.size else None,
    )
