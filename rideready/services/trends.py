"""Is recovery getting faster over the season."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from rideready.model.trend import Trend
from rideready.services.context import Context
from rideready.services.recoveries import list_recoveries
from rideready.services.remembered import remembered
from rideready.services.riders import get_rider
from rideready.services.sessions import list_sessions, usual_posture
from rideready.store.diary import resting_pulses
from rideready.store.values import RecoveryRow, SessionRow

if TYPE_CHECKING:
    import pandas as pd

#: A season as it is shown by default: half a year holds a long autumn. The trend's time grows with the
#: cube of its sessions, and a change of ten years ago says nothing about this autumn.
SEASON_WEEKS = 26
SEASON = dt.timedelta(weeks=SEASON_WEEKS)

#: Local days differ by one at most.
_TOMORROW = dt.timedelta(days=1)

#: Figures that may be missing, as columns of numbers.
_FIGURES = ("peak_bpm", "peak_reserve", "hrr60_bpm", "hrr60_se_bpm")


def trend(
    ctx: Context, *, since: dt.date | None = None, until: dt.date | None = None, device: str | None = None
) -> Trend:
    """Work out the trend of the standardised one-minute drop.

    Parameters
    ----------
    ctx
        Store and rider.
    since, until
        First and last local day; None leaves the side open, but for days still to come: a session there was
        recorded by a clock that was wrong, and would stretch the season by years.
    device
        Only sessions of this recorder.

    Notes
    -----
    Asked again with the same filters, the answer is remembered until the store changes.
    """
    until = until or ctx.today + _TOMORROW
    asked = ("trend", since, until, device)
    return remembered(ctx, asked, lambda: _work_out(ctx, since=since, until=until, device=device))


def season_start(ctx: Context) -> dt.date | None:
    """Return from which day on recoveries are shown while nobody asks for other days.

    Returns
    -------
    datetime.date or None
        `SEASON_WEEKS` before the newest session; None if no session is older than that, so that a
        first season is shown whole.
    """

    def found() -> dt.date | None:
        starts = (row.start_local for row in list_sessions(ctx))
        days = [start.date() for start in starts if start is not None]
        days = [day for day in days if day <= ctx.today + _TOMORROW]
        start = max(days, default=dt.date.min + SEASON) - SEASON
        return start if days and min(days) < start else None

    return remembered(ctx, ("season start", ctx.today), found)


def _work_out(ctx: Context, *, since: dt.date | None, until: dt.date | None, device: str | None) -> Trend:
    from rideready.recovery.trend import recovery_trend  # scipy and pandas, wanted only here

    rows = list_recoveries(ctx, since=since, until=until)
    kept = [row for row in rows if device is None or row.device == device]
    with ctx.store.reading() as connection:
        pulses = resting_pulses(connection, ctx.rider_id, until=until)
    return recovery_trend(
        recovery_table(kept),
        get_rider(ctx),
        weekly_load=weekly_load(list_sessions(ctx, until=until)),
        resting_pulse=pulses or None,
    )


def weekly_load(rows: Iterable[SessionRow]) -> dict[dt.date, float] | None:
    """Add up the training impulse of each week, by its Monday; weeks between without a session are 0.

    Returns
    -------
    dict or None
        None without sessions, or if one with heart rate has no training impulse: a week that lacks
        some of its load would look like rest.
    """
    dated = [row for row in rows if row.start_local is not None and row.has_heart_rate]
    if not dated or any(row.trimp is None for row in dated):
        return None
    load: dict[dt.date, float] = defaultdict(float)
    for row in dated:
        if row.start_local is not None and row.trimp is not None:
            day = row.start_local.date()
            load[day - dt.timedelta(days=day.weekday())] += row.trimp
    first, last = min(load), max(load)
    mondays = (first + dt.timedelta(weeks=week) for week in range((last - first).days // 7 + 1))
    return {monday: load[monday] for monday in mondays}


def recovery_table(rows: Iterable[RecoveryRow]) -> "pd.DataFrame":
    """Lay recoveries out as the table that trends are made from; those without a date are left out.

    Returns
    -------
    pandas.DataFrame
        One row a recovery: ``session_id``, ``start_utc`` (datetime64[ns, UTC]), ``device``, ``kind``,
        ``posture`` (logged, else `usual_posture`), ``mode``, ``order``, ``peak_bpm``, ``peak_reserve``,
        ``hrr60_bpm``, ``hrr60_se_bpm``, ``grade``, ``altitude_m``, ``temperature_c``; NaN where a
        figure is missing.
    """
    import pandas as pd

    dated = [row for row in rows if row.session_start_utc is not None]
    starts = [row.session_start_utc for row in dated if row.session_start_utc is not None]
    return pd.DataFrame(
        {
            "session_id": np.array([row.session_id for row in dated], dtype="int64"),
            "start_utc": pd.to_datetime(starts, utc=True).as_unit("ns"),
            "device": pd.Series([row.device for row in dated], dtype=object),
            "kind": pd.Series([str(row.kind) for row in dated], dtype=object),
            "posture": pd.Series([row.posture or usual_posture(row.kind) for row in dated], dtype=object),
            "mode": pd.Series([str(row.recovery.mode) for row in dated], dtype=object),
            "order": np.array([row.recovery.order for row in dated], dtype="int64"),
            **{
                name: np.array([_number(getattr(row.recovery, name)) for row in dated], dtype="float64")
                for name in _FIGURES
            },
            "grade": pd.Series([str(row.recovery.grade) for row in dated], dtype=object),
            "altitude_m": np.array([_number(row.altitude_m) for row in dated], dtype="float64"),
            "temperature_c": np.array([_number(row.temperature_c) for row in dated], dtype="float64"),
        }
    )


def _number(value: float | None) -> float:
    return np.nan if value is None else value
