"""Which recoveries are there, and what one of them looks like."""

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from rideready.model.recovery import Grade, Mode
from rideready.model.session import FloatArray
from rideready.services.context import Context
from rideready.store.values import RecoveryRow

__all__ = ["RecoveryRow", "RecoveryView", "list_recoveries", "recovery_view"]


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
    curve_t_s, curve_bpm, curve_low_bpm, curve_high_bpm
        Fitted curve and its 95 % band; empty if no fit was possible.
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
    """List recoveries by time, oldest first.

    Parameters
    ----------
    since, until
        First and last local day of the session; None leaves the side open.
    grades, modes
        Only these; None takes all.
    """
    raise NotImplementedError


def recovery_view(ctx: Context, session_id: int, order: int) -> RecoveryView:
    """Show one recovery; raises `NotInStore` if it is not there."""
    raise NotImplementedError
