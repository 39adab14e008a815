"""What did the heart itself do after each stop of work."""

from dataclasses import dataclass

from rideready.model.recovery import CutBy, Mode
from rideready.model.session import FloatArray
from rideready.simulate.programme import Activity, Posture, Programme, channels_that_drop, starts_s
from rideready.simulate.traits import STEP_S, Fall, HeartTraits


@dataclass(frozen=True, slots=True)
class TrueRecovery:
    """What the heart itself did after one stop of work. None: the window is too short for it.

    Parameters
    ----------
    order
        1 for the first of the session, and so on.
    stop_s, knee_s
        Stop (or easing) of the work, and where the true curve begins to fall, s from the start.
    peak_bpm, peak_reserve
        True heart rate at the stop, bpm and fraction of the reserve.
    hrr30_bpm, hrr60_bpm, hrr120_bpm
        True drop 30, 60, 120 s after the stop, bpm.
    hrr60_from_knee_bpm
        True drop in the 60 s after the knee, bpm.
    tau_s, slow_share, slow_tau_s
        The fall as in `Fall`.
    end_bpm
        Level the fall runs to, drift left out, bpm.
    mode, posture
        What was done in the first minute (or in the window, if shorter).
    window_s, cut_by
        How long after the stop the fall goes on undisturbed, s, and what ends it.
    channels
        Channels whose fall shows the stop; empty if heart rate alone must tell.
    """

    order: int
    stop_s: float
    knee_s: float
    peak_bpm: float
    peak_reserve: float
    hrr30_bpm: float | None
    hrr60_bpm: float | None
    hrr120_bpm: float | None
    hrr60_from_knee_bpm: float | None
    tau_s: float
    slow_share: float
    slow_tau_s: float
    end_bpm: float
    mode: Mode
    posture: Posture
    window_s: float
    cut_by: CutBy
    channels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stop:
    """A fall as it was begun.

    Parameters
    ----------
    piece
        Index of the first piece of the fall.
    fall
        Its course.
    end_bpm
        Level it runs to, bpm.
    """

    piece: int
    fall: Fall
    end_bpm: float


def value_at(hr_bpm: FloatArray, t_s: float) -> float:
    """Heart rate at one moment of a curve with `STEP_S` between its points, bpm."""
    return float(hr_bpm[round(t_s / STEP_S)])


def describe_stop(
    stop: Stop,
    programme: Programme,
    traits: HeartTraits,
    *,
    hr_bpm: FloatArray,
    base_bpm: FloatArray,
    next_stop: int,
) -> TrueRecovery:
    """Measure the true curve after one stop.

    Parameters
    ----------
    stop
        Where the fall began and how it runs.
    programme, traits
        What was done, and the heart.
    hr_bpm, base_bpm
        Shape (n,), every `STEP_S` from 0, bpm: the true curve with and without drift.
    next_stop
        Index of the piece with which the next fall begins; the number of pieces if there is none.

    Returns
    -------
    TrueRecovery
        With ``order`` 0; whoever keeps it numbers it.
    """
    start = float(starts_s(programme)[stop.piece])
    end, cut_by = _window_end(range(stop.piece, next_stop), programme, traits, base_bpm)
    window, knee, peak = end - start, start + stop.fall.delay_s, value_at(hr_bpm, start)

    def drop(begin_s: float, after_s: float) -> float | None:
        if begin_s + after_s > end:
            return None
        return value_at(hr_bpm, begin_s) - value_at(hr_bpm, begin_s + after_s)

    return TrueRecovery(
        order=0,
        stop_s=start,
        knee_s=knee,
        peak_bpm=peak,
        peak_reserve=traits.share_of_reserve(peak),
        hrr30_bpm=drop(start, 30),
        hrr60_bpm=drop(start, 60),
        hrr120_bpm=drop(start, 120),
        hrr60_from_knee_bpm=drop(knee, 60),
        tau_s=stop.fall.tau_s,
        slow_share=stop.fall.slow_share,
        slow_tau_s=stop.fall.slow_tau_s,
        end_bpm=stop.end_bpm,
        mode=_mode(programme, start, min(window, 60.0)),
        posture=programme[stop.piece].posture,
        window_s=window,
        cut_by=cut_by,
        channels=channels_that_drop(programme[stop.piece - 1], programme[stop.piece]),
    )


def _window_end(
    pieces: range, programme: Programme, traits: HeartTraits, base: FloatArray
) -> tuple[float, CutBy]:
    """Say where a fall over these pieces ends, and by what."""
    times = starts_s(programme)
    for k in pieces:
        piece = programme[k]
        if not piece.is_recorded:
            return float(times[k]), CutBy.GAP
        rises = traits.level_bpm(piece.demand) > base[round(times[k] / STEP_S)] + 1.0
        if k > pieces.start and (piece.activity is Activity.WORK or rises):
            return float(times[k]), CutBy.NEXT_EFFORT
    is_last = pieces.stop == len(programme)
    return float(times[pieces.stop]), CutBy.END if is_last else CutBy.NEXT_EFFORT


def _mode(programme: Programme, start_s: float, span_s: float) -> Mode:
    still = 0.0
    for piece, begin in zip(programme, starts_s(programme), strict=False):
        overlap = min(begin + piece.duration_s, start_s + span_s) - max(begin, start_s)
        still += max(overlap, 0.0) if piece.activity is Activity.STILL else 0.0
    share = still / span_s if span_s else 0.0
    if share >= 0.8:
        return Mode.STILL
    return Mode.MOVING if share <= 0.2 else Mode.UNKNOWN
