"""Which recoveries are there, and what one of them looks like."""

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from rideready.errors import NotInStore
from rideready.intensity import target_bpm
from rideready.model.clean import CleanSignal
from rideready.model.recovery import Grade, Mode, Recovery
from rideready.model.rider import Rider
from rideready.model.session import FloatArray
from rideready.recovery.kinetics import fit_all_with_posterior
from rideready.recovery.predict import predict_fall
from rideready.services.context import Context
from rideready.services.remembered import remembered
from rideready.signal.clean import clean
from rideready.store.recoveries import recovery_rows
from rideready.store.riders import current_rider
from rideready.store.sessions import load_session, session_row
from rideready.store.values import RecoveryRow

__all__ = ["RecoveryRow", "RecoveryView", "list_recoveries", "recovery_view"]

#: How much of the time before the end of the effort is shown, s.
LEAD_S = 30.0
_REMEMBERED = dt.timedelta(days=366)


@dataclass(frozen=True, slots=True, eq=False)
class RecoveryView:
    """One recovery with its curve; all times in s from the end of the effort.

    Parameters
    ----------
    row
        All figures, grade and reasons.
    raw_t_s, raw_hr_bpm
        Samples as they came, from 30 s before to the end of the window.
    clean_t_s, clean_hr_bpm
        The same on the 1 s grid, NaN where a second is not trusted.
    curve_t_s, curve_bpm
        Fitted curve over the window; empty if no fit was possible.
    curve_low_bpm, curve_high_bpm
        Ends of the curve's 95 % band; single samples scatter further, by the noise. Empty likewise.
    settle_bpm
        The rider's settle level, bpm; None while the reserve is unknown.
    sentences
        The reasons in words.
    """

    row: RecoveryRow
    raw_t_s: FloatArray
    raw_hr_bpm: FloatArray
    clean_t_s: FloatArray
    clean_hr_bpm: FloatArray
    curve_t_s: FloatArray
    curve_bpm: FloatArray
    curve_low_bpm: FloatArray
    curve_high_bpm: FloatArray
    settle_bpm: float | None
    sentences: tuple[str, ...]


def list_recoveries(
    ctx: Context,
    *,
    since: dt.date | None = None,
    until: dt.date | None = None,
    grades: Collection[Grade] | None = None,
    modes: Collection[Mode] | None = None,
) -> list[RecoveryRow]:
    """List recoveries by time, oldest first; those of sessions without a clock come last.

    Parameters
    ----------
    ctx
        Store and rider.
    since, until
        First and last local day of the session; None leaves the side open.
    grades, modes
        Only these; None takes all.

    Notes
    -----
    A season's list is remembered until the store changes; longer ones are read each time, or years of them
    would fill the memory.
    """

    def read() -> list[RecoveryRow]:
        with ctx.store.reading() as connection:
            return recovery_rows(
                connection, ctx.rider_id, since=since, until=until, grades=grades, modes=modes
            )

    if since is None or since < ctx.today - _REMEMBERED:
        return read()
    asked = (
        "recoveries",
        since,
        until,
        *(None if one is None else frozenset(one) for one in (grades, modes)),
    )
    return list(remembered(ctx, asked, read))


def recovery_view(ctx: Context, session_id: int, order: int) -> RecoveryView:
    """Show one recovery.

    Parameters
    ----------
    ctx
        Store and rider.
    session_id, order
        Its address: the session, and 1 for the first recovery in it.

    Raises
    ------
    NotInStore
        If there is no such session, or it has fewer recoveries.
    """
    asked = ("recovery", session_id, order)
    return remembered(ctx, asked, lambda: _look_at(ctx, session_id, order))


def _look_at(ctx: Context, session_id: int, order: int) -> RecoveryView:
    with ctx.store.reading() as connection:
        session_row(connection, ctx.rider_id, session_id)
        rows = recovery_rows(connection, ctx.rider_id, session_id=session_id)
        session = load_session(connection, session_id)
        rider = current_rider(connection, ctx.rider_id)
    row = next((row for row in rows if row.recovery.order == order), None)
    if row is None:
        raise NotInStore(
            f"session {session_id} has no recovery {order}; it has {len(rows)}",
            what_to_do=f"List them with: rideready session {session_id}",
        )
    recovery = row.recovery
    signal = clean(session)
    raw_t_s, raw_hr_bpm = _window(session.t_s, session.hr_bpm, recovery.end_of_effort_s, recovery.window_s)
    clean_t_s, clean_hr_bpm = _window(signal.t_s, signal.hr_bpm, recovery.end_of_effort_s, recovery.window_s)
    curve_t_s, curve, low, high = _curve_and_band(signal, recovery, rider)
    return RecoveryView(
        row=row,
        raw_t_s=raw_t_s,
        raw_hr_bpm=raw_hr_bpm,
        clean_t_s=clean_t_s,
        clean_hr_bpm=clean_hr_bpm,
        curve_t_s=curve_t_s,
        curve_bpm=curve,
        curve_low_bpm=low,
        curve_high_bpm=high,
        settle_bpm=target_bpm(rider.settle_reserve, rider),
        sentences=tuple(reason.sentence for reason in recovery.reasons),
    )


def _window(
    t_s: FloatArray, hr_bpm: FloatArray, end_s: float, window_s: float
) -> tuple[FloatArray, FloatArray]:
    """Cut the samples of one recovery out, times counted from the end of the effort."""
    low, high = np.searchsorted(t_s, [end_s - LEAD_S, end_s + window_s + 1e-9])
    return t_s[low:high] - end_s, hr_bpm[low:high]


def _curve_and_band(
    signal: CleanSignal, recovery: Recovery, rider: Rider
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Fit the recovery once more, for its posterior: times, curve, and the ends of the 95 % band."""
    nothing = np.empty(0)
    if recovery.fit is None:
        return nothing, nothing, nothing, nothing
    t_s = signal.raw_t_s - recovery.end_of_effort_s
    inside = (t_s >= 0) & (t_s <= recovery.window_s)
    fitted = fit_all_with_posterior([(t_s[inside], signal.raw_hr_bpm[inside])], rider=rider)[0]
    if fitted is None:
        return nothing, nothing, nothing, nothing
    at_s = np.arange(0.0, recovery.window_s + 0.5)
    return (at_s, *predict_fall(fitted.posterior, at_s))
