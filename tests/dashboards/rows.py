"""Rows and views to draw, as the services hand them over; all figures invented."""

import datetime as dt
from typing import Any

import numpy as np

from rideready.intensity import IntensityClass
from rideready.model.clean import CleanSignal, Flag
from rideready.model.recovery import Recovery
from rideready.model.session import Kind
from rideready.services.recoveries import RecoveryRow, RecoveryView
from rideready.services.sessions import SessionRow, SessionView
from tests.support.stores import AN_EVENING, a_recovery, a_session


def a_recovery_row(recovery: Recovery | None = None, **changes: Any) -> RecoveryRow:
    told: dict[str, Any] = {
        "session_id": 12,
        "session_start_utc": AN_EVENING,
        "session_zone": "Europe/Oslo",
        "device": "Strap",
        "kind": Kind.BIKE,
        "posture": None,
        "recovery": recovery or a_recovery(),
        "altitude_m": None,
        "temperature_c": None,
    }
    return RecoveryRow(**(told | changes))


def a_session_row(**changes: Any) -> SessionRow:
    told: dict[str, Any] = {
        "session_id": 12,
        "start_utc": AN_EVENING,
        "zone": "Europe/Oslo",
        "kind": Kind.BIKE,
        "device": "Strap",
        "duration_s": 600.0,
        "n_samples": 600,
        "has_heart_rate": True,
        "posture": None,
        "rpe": None,
        "notes": "",
        "mean_hr_bpm": 121.4,
        "peak_hr_bpm": 150.0,
        "clean_share": 0.98,
        "flagged_s": {Flag.OK: 590, Flag.ABSENT: 10},
        "class_minutes": (1.0, 2.0, 3.0, 3.5, 0.25),
        "maximum_is_predicted": False,
        "trimp": 21.5,
        "n_recoveries": 1,
        "n_trusted": 1,
        "median_hrr60_bpm": 31.0,
        "warnings": (),
        "files": ("a.fit",),
    }
    return SessionRow(**(told | changes))


def a_signal(flags: list[Flag]) -> CleanSignal:
    """One second for each flag, at 120 bpm where it is OK."""
    codes = np.array(flags, dtype=np.uint8)
    t_s = np.arange(float(codes.size))
    nothing = np.full(t_s.shape, np.nan)
    hr_bpm = np.where(codes == Flag.OK, 120.0, np.nan)
    return CleanSignal(t_s, hr_bpm, codes, nothing, nothing, nothing, t_s, hr_bpm, 1.0, 1.0)


def a_session_view(**changes: Any) -> SessionView:
    told: dict[str, Any] = {
        "row": a_session_row(),
        "session": a_session(),
        "signal": a_signal([Flag.OK] * 600),
        "recoveries": [a_recovery_row()],
        "minutes_by_class": dict(zip(IntensityClass, (1.0, 2.0, 3.0, 3.5, 0.25), strict=True)),
        "class_bounds_bpm": list(
            zip(IntensityClass, (54.0, 92, 106, 132, 173), (92.0, 106, 132, 173, 186), strict=True)
        ),
        "trimp": 21.5,
        "flagged": (),
        "session_rpe_load": None,
        "posture": "seated",
    }
    return SessionView(**(told | changes))


def a_recovery_view(**changes: Any) -> RecoveryView:
    t_s = np.arange(-30.0, 121.0)
    hr_bpm = np.where(t_s < 0, 165.0, 95 + 70 * np.exp(-np.maximum(t_s, 0) / 62))
    curve_t_s = np.arange(0.0, 121.0)
    curve_bpm = 95 + 70 * np.exp(-curve_t_s / 62)
    told: dict[str, Any] = {
        "row": a_recovery_row(),
        "raw_t_s": t_s,
        "raw_hr_bpm": hr_bpm,
        "clean_t_s": t_s,
        "clean_hr_bpm": hr_bpm,
        "curve_t_s": curve_t_s,
        "curve_bpm": curve_bpm,
        "curve_low_bpm": curve_bpm - 2,
        "curve_high_bpm": curve_bpm + 2,
        "settle_bpm": 132.0,
        "sentences": ("Watched for two minutes.",),
    }
    return RecoveryView(**(told | changes))


def on_day(day: int, **changes: Any) -> RecoveryRow:
    """Return a recovery of a session that many days after the evening, numbered likewise."""
    return a_recovery_row(session_id=day, session_start_utc=AN_EVENING + dt.timedelta(days=day), **changes)
