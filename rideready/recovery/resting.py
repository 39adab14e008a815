"""What the logged resting pulses come to, and where they conflict with the one entered."""

import datetime as dt
from collections.abc import Mapping

import numpy as np

from rideready.model.maximum import RestingSummary, SustainedPulse
from rideready.model.reason import Reason, because
from rideready.recovery.same_weeks import same_weeks

#: What the median is taken over, and how many pulses it takes (ours).
WEEKS, LEAST_PULSES = 4, 3
#: An entered value off by more than this from the log, or above a recording, is a conflict, bpm (ours).
DIFFERS_BPM = 4.0


def summarise_resting(pulses: Mapping[dt.date, float], today: dt.date) -> RestingSummary:
    """Sum up the resting pulses of the last four weeks, and say whether they shifted.

    The shift is the median of the last two weeks less that of the four before, called when it stands out
    of the pulse's own day-to-day variation (`rideready.recovery.same_weeks`).

    Parameters
    ----------
    pulses
        Day and resting pulse, bpm; any spacing, NaN is left out.
    today
        Last day that counts.

    Returns
    -------
    RestingSummary
        Without a median, and with a reason, if fewer than three were logged.

    References
    ----------
    Typical error and detectable change: Hopkins 2000, Sports Med 30:1-15.

    Examples
    --------
    >>> days = {dt.date(2026, 9, day): 52.0 + day % 3 for day in range(1, 8)}
    >>> summarise_resting(days, dt.date(2026, 9, 8)).median_bpm
    53.0
    """
    recent = {
        day: bpm for day, bpm in pulses.items() if 0 <= (today - day).days < 7 * WEEKS and np.isfinite(bpm)
    }
    first_day = min(recent, default=None)
    weeks = same_weeks(today, resting_pulse=pulses)
    reasons = []
    if len(recent) < LEAST_PULSES:
        reasons.append(
            because("rest.too_few", n=float(len(recent)), weeks=float(WEEKS), least=float(LEAST_PULSES))
        )
    if weeks.pulse_shifted and weeks.pulse_shift_bpm is not None:
        code = "rest.rose" if weeks.pulse_shift_bpm > 0 else "rest.fell"
        reasons.append(because(code, bpm=abs(weeks.pulse_shift_bpm)))
    values = np.array(list(recent.values()))
    is_enough = values.size >= LEAST_PULSES
    return RestingSummary(
        median_bpm=float(np.median(values)) if is_enough else None,
        low_bpm=float(values.min()) if is_enough else None,
        high_bpm=float(values.max()) if is_enough else None,
        n=len(recent),
        first_day=first_day,
        shift_bpm=weeks.pulse_shift_bpm,
        has_shifted=weeks.pulse_shifted,
        reasons=tuple(reasons),
    )


def resting_conflicts(
    entered_bpm: float | None, summary: RestingSummary, *, lowest: SustainedPulse | None = None
) -> tuple[Reason, ...]:
    """Say where the resting pulse entered does not go with the log or a recording; nothing is resolved.

    Parameters
    ----------
    entered_bpm
        As the rider entered it, bpm; None if not.
    summary
        From `summarise_resting`.
    lowest
        The lowest level any recording held for a minute, from `rideready.recovery.maximum.lowest_held`.

    Returns
    -------
    tuple of Reason
        Empty if they go together.
    """
    if entered_bpm is None:
        return ()
    found = []
    logged_bpm = summary.median_bpm
    if logged_bpm is not None and abs(entered_bpm - logged_bpm) >= DIFFERS_BPM:
        found.append(
            because(
                "rest.entered_differs",
                entered=entered_bpm,
                logged=logged_bpm,
                n=float(summary.n),
                since=str(summary.first_day),
            )
        )
    if lowest is not None and lowest.bpm <= entered_bpm - DIFFERS_BPM:
        found.append(because("rest.seen_lower", seen=lowest.bpm, entered=entered_bpm))
    return tuple(found)
