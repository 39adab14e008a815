"""A heart that follows a programme of work, exactly, before any sensor sees it."""

from dataclasses import dataclass, replace

import numpy as np

from rideready.model.session import FloatArray
from rideready.simulate.programme import Activity, Piece, Programme
from rideready.simulate.traits import MOVING_FACTOR, STEP_S, STILL_FACTOR, Fall, HeartTraits
from rideready.simulate.truth import Stop, TrueRecovery, describe_stop, value_at

#: A level closer than this above or below the pulse makes no new fall, bpm.
_SETTLED_BPM = 3.0
#: Smaller falls are ripples of the work, not recoveries, bpm.
_LEAST_DROP_BPM = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class TrueCurve:
    """True heart rate over a programme.

    Parameters
    ----------
    t_s, hr_bpm
        Shape (n,), every `STEP_S` from 0 to the end of the programme, s and bpm.
    recoveries
        What happened after each stop, by time.
    """

    t_s: FloatArray
    hr_bpm: FloatArray
    recoveries: tuple[TrueRecovery, ...]

    def at(self, t_s: float) -> float:
        """Heart rate at one moment, bpm, to the nearest `STEP_S`."""
        return value_at(self.hr_bpm, t_s)


def true_curve(
    programme: Programme, traits: HeartTraits, rng: np.random.Generator, *, start_demand: float = 0.15
) -> TrueCurve:
    """Follow a programme of work with a heart.

    Each piece is an exact exponential towards its own level, rising with one time constant and
    falling with another; drift lies on top. A piece that goes on falling from the one before takes
    its own time constant and no new delay, unless work ends there.

    Parameters
    ----------
    programme
        At least one piece.
    traits
        The heart.
    rng
        Draws delay and time constant of each fall.
    start_demand
        Where the heart rate stands at the start, fraction of the reserve.

    Returns
    -------
    TrueCurve
        The curve, and the true recoveries: falls of at least 5 bpm.

    References
    ----------
    Postures: Barak et al. 2011, J Sports Sci Med 10:369-375. Two phases after maximal work and a
    delayed begin: Pierpont, Stolpman, Gornick 2000, J Auton Nerv Syst 80:169-74. Time constant of
    the rise, drift and the ramps between their limits: plausible values, no source.
    """
    base, stops = _without_drift(programme, traits, rng, traits.level_bpm(start_demand))
    drift = _drift(programme, traits)
    # Drift fades towards the maximum, so that no curve ever exceeds it.
    hr = base + drift * (1 - (base - traits.resting_bpm) / traits.reserve_bpm)
    later = [stop.piece for stop in stops[1:]] + [len(programme)]
    found = [
        describe_stop(stop, programme, traits, hr_bpm=hr, base_bpm=base, next_stop=following)
        for stop, following in zip(stops, later, strict=False)
    ]
    kept = [r for r in found if r.peak_bpm - value_at(hr, r.stop_s + r.window_s) >= _LEAST_DROP_BPM]
    recoveries = tuple(replace(r, order=i) for i, r in enumerate(kept, 1))
    return TrueCurve(np.arange(hr.size, dtype=np.float64) * STEP_S, hr, recoveries)


def _without_drift(
    programme: Programme, traits: HeartTraits, rng: np.random.Generator, start_bpm: float
) -> tuple[FloatArray, list[Stop]]:
    now, delay_left, previous_level = start_bpm, 0.0, start_bpm
    is_falling, was = False, Activity.STILL
    parts, stops = [np.empty(0)], []
    for k, piece in enumerate(programme):
        u = _moments(piece)
        level = traits.level_bpm(piece.demand)
        if level >= now:
            part, is_falling = level + (now - level) * np.exp(-u / traits.tau_rise_s), False
        else:
            is_end_of_work = was is Activity.WORK and piece.activity is not Activity.WORK
            goes_on = is_falling and now - previous_level >= _SETTLED_BPM and not is_end_of_work
            fall = _draw_fall(piece, traits, rng, traits.share_of_reserve(now))
            if goes_on:
                fall = Fall(fall.tau_s, delay_left, fall.slow_share if delay_left else 0.0, fall.slow_tau_s)
            elif now - level >= _SETTLED_BPM and k > 0:
                stops.append(Stop(k, fall, level))
            else:
                fall = Fall(fall.tau_s)
            part = fall.hr_bpm(u, start_bpm=now, end_bpm=level)
            is_falling, delay_left = True, max(fall.delay_s - piece.duration_s, 0.0)
        parts.append(part)
        now, previous_level, was = float(part[-1]), level, piece.activity
    return np.concatenate([[start_bpm], *parts]), stops


def _draw_fall(piece: Piece, traits: HeartTraits, rng: np.random.Generator, share: float) -> Fall:
    is_still = piece.activity is Activity.STILL
    factor = STILL_FACTOR[piece.posture] if is_still else MOVING_FACTOR
    tau = traits.tau_fall_s * factor * float(np.exp(traits.tau_spread * rng.standard_normal()))
    limit = traits.longest_delay_s * float(np.interp(share, [0.6, 0.9], [0.2, 1.0]))
    # Rounded to the curve's own step, so that the knee is a point of the curve.
    delay = round(float(rng.uniform(0, limit)) / STEP_S) * STEP_S
    slow = traits.slow_share * float(np.interp(share, [0.8, 1.0], [0.0, 1.0]))
    return Fall(tau, delay, slow, traits.slow_tau_s)


def _moments(piece: Piece) -> FloatArray:
    """Return the moments of a piece after its start, s."""
    return np.arange(1, round(piece.duration_s / STEP_S) + 1, dtype=np.float64) * STEP_S


def _drift(programme: Programme, traits: HeartTraits) -> FloatArray:
    now = 0.0
    parts = [np.zeros(1)]
    for piece in programme:
        u = _moments(piece)
        level = traits.drift_bpm * piece.demand
        part = level + (now - level) * np.exp(-u / traits.drift_tau_s)
        parts.append(part)
        now = float(part[-1])
    return np.concatenate(parts)
