"""From the services' values to the small tables that figures and lists are made of."""

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from dashboards import formats
from dashboards.urls import RecoveryKey
from dashboards.words import say
from rideready.intensity import IntensityClass
from rideready.model.clean import Flag
from rideready.model.recovery import Grade
from rideready.model.trend import Trend, TrendPoint
from rideready.services.recoveries import RecoveryRow, RecoveryView
from rideready.services.sessions import SessionRow, SessionView

#: The longest table of a trace: short enough to read, long enough to find a minute again.
MAX_TRACE_ROWS = 60

_DOT_COLUMNS = ["key", "day", "hrr60_bpm", "grade", "mode", "said"]
_POINT_COLUMNS = [
    "day", "hrr60_bpm", "half_width_bpm", "recorder", "fitted_bpm", "fitted_low_bpm", "fitted_high_bpm", "said"
]  # fmt: skip
_BAND_COLUMNS = ["step", "label", "short", "low_bpm", "high_bpm"]
_LEFT_OUT_COLUMNS = ["start_s", "end_s", "said"]
_FALL_COLUMNS = ["key", "order", "end_s", "watched_s", "peak_bpm", "said"]


def key_of(row: RecoveryRow) -> RecoveryKey:
    """Return how a recovery is addressed."""
    return RecoveryKey(row.session_id, row.recovery.order)


def of_device(rows: Sequence[RecoveryRow], device: str | None) -> list[RecoveryRow]:
    """Keep the recoveries of one recorder; None keeps all."""
    return [row for row in rows if device is None or row.device == device]


def devices(rows: Sequence[SessionRow]) -> list[str]:
    """List the recorders that occur, by name."""
    return sorted({row.device for row in rows if row.device})


def default_opened(rows: Sequence[RecoveryRow]) -> RecoveryKey | None:
    """Choose the recovery to open where the address names none: the newest of the best grade there is."""
    dated = [row for row in rows if row.session_start_utc is not None] or rows
    for grade in (Grade.GOOD, Grade.FAIR, Grade.ROUGH, Grade.NONE):
        graded = [row for row in dated if row.recovery.grade == grade]
        if graded:
            return key_of(graded[-1])
    return None


def neighbours(
    rows: Sequence[RecoveryRow], opened: RecoveryKey
) -> tuple[RecoveryKey | None, RecoveryKey | None]:
    """Return the recoveries before and after the opened one in a list; None beyond its ends."""
    keys = [key_of(row) for row in rows]
    if opened not in keys:
        return (keys[-1], None) if keys else (None, None)
    place = keys.index(opened)
    return (keys[place - 1] if place else None, keys[place + 1] if place + 1 < len(keys) else None)


def dots(rows: Sequence[RecoveryRow]) -> pd.DataFrame:
    """One row a recovery that has a date and a drop in 60 s, for the season's figure."""
    table = [
        (
            str(key_of(row)),
            formats.wall_day(row.end_local),
            row.recovery.hrr60_bpm,
            str(row.recovery.grade),
            str(row.recovery.mode),
            _said_of(row),
        )
        for row in rows
        if row.end_local is not None and formats.is_known(row.recovery.hrr60_bpm)
    ]
    return pd.DataFrame(table, columns=_DOT_COLUMNS).astype({"day": float, "hrr60_bpm": float})


def _said_of(row: RecoveryRow) -> str:
    recovery = row.recovery
    half = formats.half_width(recovery.hrr60_se_bpm)
    spread = "" if half is None else f" ± {formats.whole(half)}"
    return (
        f"{formats.day_and_time(row.end_local)}, {say(f'kind.{row.kind}')}<br>"
        f"<b>{formats.whole(recovery.hrr60_bpm)}{spread} bpm</b> from {formats.whole(recovery.peak_bpm)}<br>"
        f"{say(f'legend.{recovery.mode}')}, grade {recovery.grade}"
    )


def trend_points(trend: Trend, sessions: Sequence[SessionRow]) -> pd.DataFrame:
    """One row a session of the trend that has a date, by date."""
    rows: Mapping[int, SessionRow] = {row.session_id: row for row in sessions if row.start_utc is not None}
    table = [
        (
            formats.wall_day(rows[point.session_id].start_local),
            point.hrr60_bpm,
            formats.half_width(point.se_bpm),
            rows[point.session_id].device or "",
            point.fitted_bpm,
            point.fitted_low_bpm,
            point.fitted_high_bpm,
            _said_of_session(point, rows[point.session_id]),
        )
        for point in trend.points
        if point.session_id in rows
    ]
    numbers = dict.fromkeys(set(_POINT_COLUMNS) - {"recorder", "said"}, float)
    return pd.DataFrame(table, columns=_POINT_COLUMNS).astype(numbers)


def _said_of_session(point: TrendPoint, row: SessionRow) -> str:
    half = formats.whole(formats.half_width(point.se_bpm))
    return (
        f"{formats.day(row.start_local)}, {say(f'kind.{row.kind}')}<br>"
        f"<b>{formats.whole(point.hrr60_bpm)} ± {half} bpm</b> {say('trend.point')}<br>"
        f"{say('trend.point.base', recoveries=formats.counted(point.n_recoveries, 'recovery', 'recoveries'))}"
    )


def samples(view: RecoveryView) -> pd.DataFrame:
    """Lay out the recorded samples of one recovery, each with whether its second was trusted."""
    second = np.rint(view.raw_t_s)
    trusted = view.clean_t_s[np.isfinite(view.clean_hr_bpm)]
    table = pd.DataFrame(
        {"t_s": view.raw_t_s, "hr_bpm": view.raw_hr_bpm, "is_trusted": np.isin(second, np.rint(trusted))}
    )
    return table[table["hr_bpm"].notna()].reset_index(drop=True)


def fitted(view: RecoveryView) -> pd.DataFrame:
    """Fitted curve of one recovery with its band; empty if there is none."""
    return pd.DataFrame(
        {
            "t_s": view.curve_t_s,
            "hr_bpm": view.curve_bpm,
            "low_bpm": view.curve_low_bpm,
            "high_bpm": view.curve_high_bpm,
        }
    )


def trace(view: SessionView) -> pd.DataFrame:
    """Heart rate of a session on its even grid, NaN where left out."""
    return pd.DataFrame({"t_s": view.signal.t_s, "hr_bpm": view.signal.hr_bpm})


def bands(view: SessionView) -> pd.DataFrame:
    """Lay out the intensity classes, lightest first; empty while the maximum is unknown.

    The first is open below and the last above: a pulse under rest or over the maximum belongs there.
    """
    table = [
        (int(step), IntensityClass(step).label, say(f"class.short.{int(step)}"), low, high)
        for step, low, high in view.class_bounds_bpm
    ]
    bands = pd.DataFrame(table, columns=_BAND_COLUMNS)
    bands.loc[bands["step"] == min(IntensityClass), "low_bpm"] = 0.0
    bands.loc[bands["step"] == max(IntensityClass), "high_bpm"] = np.inf
    return bands


def left_out(view: SessionView) -> pd.DataFrame:
    """Stretches of neighbouring seconds with the same reason for leaving them out."""
    flags = view.signal.flags
    starts = np.flatnonzero(np.diff(flags, prepend=np.uint8(Flag.OK)) != 0)
    ends = np.append(starts[1:], flags.size)[: starts.size]
    table = [
        (
            float(view.signal.t_s[start]),
            float(view.signal.t_s[end - 1]),
            _why(flags[start], int(start), int(end) - 1),
        )
        for start, end in zip(starts, ends, strict=True)
        if flags[start] != Flag.OK
    ]
    return pd.DataFrame(table, columns=_LEFT_OUT_COLUMNS)


def _why(flag: int, start: int, end: int) -> str:
    why = say(f"flag.{Flag(int(flag)).name.lower()}")
    return say("session.left_out.hover", start=formats.clock(start), end=formats.clock(end), why=why)


def falls(view: SessionView) -> pd.DataFrame:
    """One row a recovery of a session, for its trace."""
    table = [
        (
            str(key_of(row)),
            row.recovery.order,
            row.recovery.end_of_effort_s,
            row.recovery.window_s,
            row.recovery.peak_bpm,
            _said_of(row),
        )
        for row in view.recoveries
    ]
    return pd.DataFrame(table, columns=_FALL_COLUMNS)


def stretches(view: SessionView) -> tuple[int, pd.DataFrame]:
    """Condense a trace to at most `MAX_TRACE_ROWS` rows.

    Returns
    -------
    minutes, table
        Length of a stretch, and a row for each: ``start_s``, ``mean``, ``lowest``, ``highest``
        (bpm, NaN without any trusted second), ``left_out_s``.
    """
    t, hr = view.signal.t_s, view.signal.hr_bpm
    total_min = (t[-1] if t.size else 0.0) / 60
    minutes = next((m for m in (1, 2, 5, 10, 15, 30) if total_min / m <= MAX_TRACE_ROWS), 60)
    rows = []
    for start_s in range(0, int(t[-1]) + 1 if t.size else 0, 60 * minutes):
        inside = hr[(t >= start_s) & (t < start_s + 60 * minutes)]
        kept = inside[np.isfinite(inside)]
        figures = (kept.mean(), kept.min(), kept.max()) if kept.size else (np.nan, np.nan, np.nan)
        rows.append((start_s, *figures, int(inside.size - kept.size)))
    return minutes, pd.DataFrame(rows, columns=["start_s", "mean", "lowest", "highest", "left_out_s"])
