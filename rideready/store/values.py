"""What the store hands back: summary rows, never samples."""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rideready.model.clean import Flag
from rideready.model.maximum import HeldPulse
from rideready.model.recovery import Recovery
from rideready.model.session import Kind


@dataclass(frozen=True, slots=True)
class SessionRow:
    """One session as a line in a list; everything a list or a chart of sessions needs.

    Parameters
    ----------
    session_id
        Number of the session in its store.
    start_utc
        Time of the first sample, aware and in UTC; None if the file had no clock.
    zone
        IANA name or fixed offset ("UTC+02:00") of the place; None if unknown.
    kind, device
        What was done, and with which recorder (None if the file does not say).
    duration_s, n_samples
        Time from first to last sample, s, pauses included; number of raw samples.
    has_heart_rate
        Whether any heart-rate value is present.
    posture
        Posture in the recoveries as the rider logged it; None if not logged.
    rpe
        Session RPE as the rider logged it, 0 to 10; None if not logged.
    notes
        The rider's own words; may be empty.
    mean_hr_bpm, peak_hr_bpm
        Mean and highest trustworthy heart rate, bpm; None without any.
    clean_share
        Share of the recorded seconds with a trustworthy heart rate, 0 to 1.
    flagged_s
        Seconds by flag, the trustworthy ones (`Flag.OK`) included.
    class_minutes
        Minutes in each intensity class, lightest first; None while the rider's maximum is unknown.
    maximum_is_predicted
        Whether the classes rest on a maximum predicted from age instead of a measured one.
    trimp
        Training impulse; None if it cannot be had.
    n_recoveries, n_trusted
        Recoveries found, and those of grade good or fair.
    median_hrr60_bpm
        Median drop in 60 s over the good and fair recoveries, bpm; None without any.
    warnings
        One sentence for each thing about the recording its rider should know.
    files
        Names of the files it came from.
    """

    session_id: int
    start_utc: dt.datetime | None
    zone: str | None
    kind: Kind
    device: str | None
    duration_s: float
    n_samples: int
    has_heart_rate: bool
    posture: str | None
    rpe: float | None
    notes: str
    mean_hr_bpm: float | None
    peak_hr_bpm: float | None
    clean_share: float
    flagged_s: Mapping[Flag, int]
    class_minutes: tuple[float, ...] | None
    maximum_is_predicted: bool
    trimp: float | None
    n_recoveries: int
    n_trusted: int
    median_hrr60_bpm: float | None
    warnings: tuple[str, ...]
    files: tuple[str, ...]

    @property
    def start_local(self) -> dt.datetime | None:
        """Start in local time where the zone is known, else in UTC; None without a clock."""
        return local_time(self.start_utc, self.zone)


@dataclass(frozen=True, slots=True)
class MeasuredRecovery:
    """A recovery with what the surroundings were at the end of its effort.

    Parameters
    ----------
    recovery
        All figures, grade and reasons.
    altitude_m, temperature_c
        Median in the minute around the end of the effort; None if not recorded.
    """

    recovery: Recovery
    altitude_m: float | None = None
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Analysis:
    """What was worked out of one session, by which version and for which numbers of the rider.

    Parameters
    ----------
    version
        Version of the analysis; a later one works everything out again.
    made_for
        The rider's numbers as one text, compared and never read.
    mean_hr_bpm, peak_hr_bpm, clean_share, flagged_s, class_minutes, maximum_is_predicted, trimp
        As in `SessionRow`.
    recoveries
        In order of time.
    held
        The highest and lowest pulse held; None if it was not looked for.
    """

    version: int
    made_for: str
    mean_hr_bpm: float | None
    peak_hr_bpm: float | None
    clean_share: float
    flagged_s: Mapping[Flag, int]
    class_minutes: tuple[float, ...] | None
    maximum_is_predicted: bool
    trimp: float | None
    recoveries: tuple[MeasuredRecovery, ...]
    held: HeldPulse | None = None


@dataclass(frozen=True, slots=True)
class RecoveryRow:
    """One recovery with the session it belongs to; addressed by ``(session_id, recovery.order)``.

    Parameters
    ----------
    session_id, session_start_utc, session_zone, device, kind, posture
        As in `SessionRow`.
    recovery
        All figures, grade and reasons.
    altitude_m, temperature_c
        As in `MeasuredRecovery`.
    """

    session_id: int
    session_start_utc: dt.datetime | None
    session_zone: str | None
    device: str | None
    kind: Kind
    posture: str | None
    recovery: Recovery
    altitude_m: float | None
    temperature_c: float | None

    @property
    def session_start_local(self) -> dt.datetime | None:
        """Start of the session in local time where the zone is known, else in UTC; None without a clock."""
        return local_time(self.session_start_utc, self.session_zone)

    @property
    def end_local(self) -> dt.datetime | None:
        """End of the effort on the clock; None if the session has none."""
        # In UTC first: on a local clock a sum of hours is wrong where summer time begins or ends in between.
        start = self.session_start_utc
        after = dt.timedelta(seconds=self.recovery.end_of_effort_s)
        return local_time(None if start is None else start + after, self.session_zone)


def local_time(moment_utc: dt.datetime | None, zone: str | None) -> dt.datetime | None:
    """Bring a moment to the clock of its place.

    Parameters
    ----------
    moment_utc
        Aware, in UTC; None stays None.
    zone
        IANA name or ``UTC+hh:mm``; None or an unknown name leaves the moment in UTC.
    """
    if moment_utc is None or zone is None:
        return moment_utc
    try:
        return moment_utc.astimezone(_offset(zone) or ZoneInfo(zone))
    except (ZoneInfoNotFoundError, ValueError):
        return moment_utc


def _offset(zone: str) -> dt.timezone | None:
    """Read ``UTC+hh:mm``; None if the name is another; raises ``ValueError`` beyond a day."""
    found = re.fullmatch(r"UTC([+-])(\d{1,2})(?::(\d{2}))?", zone)
    if found is None:
        return None
    offset = dt.timedelta(hours=int(found[2]), minutes=int(found[3] or 0))
    return dt.timezone(-offset if found[1] == "-" else offset)
