"""Figures as people read them: value, uncertainty, no false digits; a missing one is a dash."""

import datetime as dt
import math

MISSING = "-"
#: Half the width of a 95 % interval in standard errors, for an estimate that is normally distributed.
Z_95 = 1.96


def whole(value: float | None) -> str:
    """Write a number without decimals."""
    return MISSING if value is None or math.isnan(value) else f"{value:z.0f}"


def tenths(value: float | None) -> str:
    """Write a number with one decimal and its sign."""
    return MISSING if value is None or math.isnan(value) else f"{value:+z.1f}"


def drop(value: float | None, standard_error: float | None) -> str:
    """Write a drop in bpm with half of its 95 % interval."""
    if value is None or math.isnan(value):
        return MISSING
    if standard_error is None or math.isnan(standard_error):
        return whole(value)
    return f"{value:z.0f} ± {Z_95 * standard_error:.0f}"


def interval(value: float | None, low: float | None, high: float | None) -> str:
    """Write a number with the ends of its interval."""
    if value is None or math.isnan(value) or low is None or high is None:
        return whole(value)
    return f"{value:z.0f} ({low:z.0f}-{high:z.0f})"


def settled(seconds: float | None, *, is_censored: bool, is_extrapolated: bool) -> str:
    """Write a settle time in s: ``> 90`` if the level was not reached, ``~ 150`` if it was extrapolated."""
    if seconds is None:
        return MISSING
    mark = "> " if is_censored else "~ " if is_extrapolated else ""
    return f"{mark}{seconds:.0f}"


def length(seconds: float) -> str:
    """Write how long something took: ``47 min`` or ``3 h 32``."""
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60:02d}"


def position(seconds: float) -> str:
    """Write a place within a session as minutes and seconds."""
    total = round(seconds)
    return f"{total // 60}:{total % 60:02d}"


def day_and_time(moment: dt.datetime | None) -> str:
    """Write a moment on the rider's clock."""
    return "no clock" if moment is None else f"{moment:%Y-%m-%d %H:%M}"


def share(part: float) -> str:
    """Write a share in per cent; 100 only if nothing is missing."""
    return f"{math.floor(part * 100)} %"


def counted(number: int, one: str, several: str) -> str:
    """Write a number of things."""
    return f"{number} {one if number == 1 else several}"
