"""Join the cleaning steps: raw session in, clean seconds with reasons out."""

import numpy as np

from rideready.model.clean import CleanSignal, Flag
from rideready.model.session import FloatArray, Session
from rideready.signal.artefacts import FlagArray, flag_samples
from rideready.signal.cadence_lock import locked_seconds
from rideready.signal.gaps import LONGEST_BRIDGE_S, in_pause, longest_bridge_s, median_spacing_s
from rideready.signal.grid import draw_line, even_times, hold_last


def clean(session: Session) -> CleanSignal:
    """Bring a session on an even 1 s grid and flag every second that cannot be trusted.

    Parameters
    ----------
    session
        As read; it is not changed. A session without heart rate gives a grid of absent seconds.

    Returns
    -------
    CleanSignal
        Heart rate is NaN wherever the flag is not OK. Lines are drawn across short steps only;
        ``longest_bridge_s`` states how short.
    """
    t_s, hr_bpm = session.t_s, session.hr_bpm
    sample_flags = flag_samples(t_s, hr_bpm)
    grid_s = even_times(t_s)
    spacing_s = median_spacing_s(t_s[sample_flags != Flag.ABSENT])
    bridge_s = longest_bridge_s(spacing_s)
    channels = {
        name: hold_last(grid_s, t_s, session.channel(name), longest_bridge_s=bridge_s)
        for name in ("power_w", "cadence_rpm", "speed_m_s")
    }
    kept = sample_flags == Flag.OK
    line = draw_line(grid_s, t_s[kept], hr_bpm[kept], longest_bridge_s=bridge_s)
    flags = _second_flags(session, sample_flags, grid_s, line)
    locked = locked_seconds(line, channels["cadence_rpm"]) & (flags == Flag.OK)
    flags[locked] = Flag.CADENCE_LOCK
    kept &= ~locked[np.minimum(np.rint(t_s).astype(int), grid_s.size - 1)] if grid_s.size else False
    return CleanSignal(
        t_s=grid_s,
        hr_bpm=np.where(flags == Flag.OK, line, np.nan),
        flags=flags,
        raw_t_s=t_s[kept],
        raw_hr_bpm=hr_bpm[kept],
        spacing_s=spacing_s,
        longest_bridge_s=bridge_s,
        **channels,
    )


def _second_flags(
    session: Session, sample_flags: FlagArray, grid_s: FloatArray, line: FloatArray
) -> FlagArray:
    """Give each second its reason: that of its own rejected sample, of the one last seen, pause or gap."""
    flags = np.where(np.isfinite(line), Flag.OK, Flag.GAP).astype(np.uint8)
    if not grid_s.size:
        return flags
    t_s = session.t_s
    last = np.clip(np.searchsorted(t_s, grid_s + 0.5, side="right") - 1, 0, t_s.size - 1)
    is_rejected = sample_flags[last] != Flag.OK
    own = is_rejected & (grid_s - t_s[last] < 0.5)
    # Behind a rejected sample lies more of the same, until it is too long ago to tell.
    behind = is_rejected & (flags == Flag.GAP) & (grid_s - t_s[last] <= LONGEST_BRIDGE_S)
    flags[own | behind] = sample_flags[last[own | behind]]
    flags[(flags == Flag.GAP) & in_pause(grid_s, session.pauses)] = Flag.PAUSED
    return flags
