"""Work a session out for a rider, and only again when the analysis or the rider's numbers changed."""

import json
import statistics
from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict, dataclass
from typing import Final

import numpy as np

from rideready.intensity import minutes_in_class, working_maximum_bpm
from rideready.load import trimp
from rideready.model.clean import CleanSignal
from rideready.model.maximum import HeldPulse
from rideready.model.rider import Rider
from rideready.model.session import FloatArray, Session
from rideready.recovery.maximum import highest_held, lowest_held
from rideready.recovery.measure import measure
from rideready.services.context import Context
from rideready.services.workers import spread
from rideready.signal.clean import clean
from rideready.store.connect import open_store
from rideready.store.place import Place
from rideready.store.riders import current_rider
from rideready.store.sessions import load_session, replace_analysis, stale_sessions
from rideready.store.values import Analysis, MeasuredRecovery

#: Goes up by one whenever the same samples and rider would give other figures than before.
ANALYSIS_VERSION: Final = 3

#: The peak is the highest mean over this long, so that one beat read wrongly does not make it.
PEAK_S: Final = 5

#: Altitude and temperature of a recovery are medians over this long either side of the effort's end.
SURROUNDINGS_S: Final = 30.0


def numbers_text(rider: Rider) -> str:
    """Write everything about a rider that analysis depends on as one text, to be compared."""
    numbers = {field: value for field, value in asdict(rider).items() if field != "name"}
    return json.dumps(numbers, sort_keys=True)


def analyse(session: Session, rider: Rider) -> Analysis:
    """Work out everything the store keeps about a session.

    Parameters
    ----------
    session
        As read.
    rider
        Whose; figures that need a number the rider has not given are None.
    """
    signal = clean(session)
    minutes = minutes_in_class(signal, rider)
    trusted = signal.hr_bpm[np.isfinite(signal.hr_bpm)]
    return Analysis(
        version=ANALYSIS_VERSION,
        made_for=numbers_text(rider),
        mean_hr_bpm=float(np.mean(trusted)) if trusted.size else None,
        peak_hr_bpm=_peak_bpm(signal),
        clean_share=signal.clean_share,
        flagged_s=signal.seconds_by_flag,
        class_minutes=tuple(minutes.values()) or None,
        maximum_is_predicted=rider.max_hr_bpm is None and working_maximum_bpm(rider) is not None,
        trimp=trimp(signal, rider),
        held=HeldPulse(highest_held(signal), lowest_held(signal)),
        recoveries=tuple(
            MeasuredRecovery(
                recovery,
                altitude_m=_around(session, "altitude_m", recovery.end_of_effort_s),
                temperature_c=_around(session, "temperature_c", recovery.end_of_effort_s),
            )
            for recovery in measure(signal, rider)
        ),
    )


def refresh(ctx: Context, *, progress: Callable[[int, int], None] | None = None) -> int:
    """Redo the analysis of sessions that were analysed by another version or for other numbers.

    Parameters
    ----------
    ctx
        Store and rider.
    progress
        Called with the number of sessions done and to be done.

    Returns
    -------
    int
        How many were redone; each is stored as soon as it is, so that a break loses nothing.
    """
    with ctx.store.reading() as connection:
        rider = current_rider(connection, ctx.rider_id)
        stale = stale_sessions(
            connection, ctx.rider_id, version=ANALYSIS_VERSION, made_for=numbers_text(rider)
        )
    items = [_Stored(ctx.store.place, session_id, rider) for session_id in stale]
    with closing(spread(_analyse_stored, items, if_killed=_analyse_stored)) as analyses:
        for done, (session_id, analysis) in enumerate(zip(stale, analyses, strict=True), start=1):
            with ctx.store.writing() as connection:
                replace_analysis(connection, session_id, analysis)
            if progress is not None:
                progress(done, len(stale))
    return len(stale)


@dataclass(frozen=True, slots=True)
class _Stored:
    """A session in a store, and the rider it is to be analysed for."""

    place: Place
    session_id: int
    rider: Rider


def _analyse_stored(item: _Stored) -> Analysis:
    """Analyse a session where it lies, so that a worker is sent its number instead of its samples."""
    store = open_store(item.place)
    try:
        with store.reading() as connection:
            session = load_session(connection, item.session_id)
    finally:
        store.close()
    return analyse(session, item.rider)


def _peak_bpm(signal: CleanSignal) -> float | None:
    """Return the highest mean over `PEAK_S` seconds without a flagged one; None without any."""
    hr = signal.hr_bpm
    if hr.size < PEAK_S:
        return None
    means = np.lib.stride_tricks.sliding_window_view(hr, PEAK_S).mean(axis=1)
    means = means[np.isfinite(means)]
    return float(means.max()) if means.size else None


def _around(session: Session, name: str, end_s: float) -> float | None:
    """Return the median of a channel around the end of an effort; None if nothing was recorded."""
    if name not in session.channels:
        return None
    low, high = np.searchsorted(session.t_s, [end_s - SURROUNDINGS_S, end_s + SURROUNDINGS_S])
    near: FloatArray = session.channels[name][low:high]
    near = near[np.isfinite(near)]
    return statistics.median(near.tolist()) if near.size else None
