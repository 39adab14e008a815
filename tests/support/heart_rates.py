"""Clean signals made from plain heart rates, for tests that need no importer."""

from collections.abc import Sequence

import numpy as np

from rideready.model.clean import CleanSignal, Flag


def clean_signal(hr_bpm: Sequence[float] | np.ndarray) -> CleanSignal:
    """One heart rate a second, NaN where absent; no other channel."""
    hr = np.asarray(hr_bpm, dtype=float)
    t_s = np.arange(hr.size, dtype=float)
    absent = np.isnan(hr)
    nothing = np.full(hr.shape, np.nan)
    return CleanSignal(
        t_s=t_s,
        hr_bpm=hr,
        flags=np.where(absent, Flag.ABSENT, Flag.OK).astype(np.uint8),
        power_w=nothing,
        cadence_rpm=nothing,
        speed_m_s=nothing,
        raw_t_s=t_s[~absent],
        raw_hr_bpm=hr[~absent],
        spacing_s=1.0,
        longest_bridge_s=1.0,
    )
