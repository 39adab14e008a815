"""Where an optical sensor followed the arm or the legs instead of the heart.

Lock on to cadence is a known fault of wrist optics (from memory; see the sensor papers in README's
sources). A pulse near the cadence proves nothing: 160 steps a minute at 160 bpm is an ordinary run.
What gives a lock away is that the pulse follows the cadence through its changes.
"""

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray

#: Cadence multiples that sensors lock on to: one leg, both legs, arm swing.
MULTIPLES = (0.5, 1.0, 2.0)
CLOSE_BPM = 3.0
SHORTEST_LOCK_S = 30
#: The cadence must have moved by this much, or the pulse must have jumped on to it by this much.
LEAST_CHANGE_BPM = 8.0


def locked_seconds(hr_bpm: FloatArray, cadence_rpm: FloatArray) -> npt.NDArray[np.bool_]:
    """Say for each second whether the heart rate is really the cadence.

    Parameters
    ----------
    hr_bpm, cadence_rpm
        Shape (m,), on the 1 s grid, NaN where absent.

    Returns
    -------
    numpy.ndarray
        Shape (m,), True where the pulse stays within 3 bpm of 0.5, 1 or 2 times the cadence for
        30 s or more and either goes with its changes of 8 bpm or more, or jumped on to it by 8 bpm or
        more.
    """
    locked = np.zeros(hr_bpm.shape, dtype=bool)
    for multiple in MULTIPLES:
        target = multiple * cadence_rpm
        with np.errstate(invalid="ignore"):
            close = (np.abs(hr_bpm - target) <= CLOSE_BPM) & (cadence_rpm > 20)
        for start, stop in _runs(close):
            if stop - start < SHORTEST_LOCK_S:
                continue
            if _follows(hr_bpm[start:stop], target[start:stop]) or _jumped_on(hr_bpm, start):
                locked[start:stop] = True
    return locked


def _runs(mask: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return start and end (exclusive) of each stretch of True."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _follows(hr_bpm: FloatArray, target_bpm: FloatArray) -> bool:
    # A pulse that stays within 3 bpm of a target that moves by 8 moves with it.
    return bool(np.ptp(target_bpm) >= LEAST_CHANGE_BPM and np.ptp(hr_bpm) >= LEAST_CHANGE_BPM / 2)


def _jumped_on(hr_bpm: FloatArray, start: int) -> bool:
    """Whether the pulse came from at least 8 bpm away within the 4 s before it met the cadence."""
    before = hr_bpm[max(start - 4, 0) : start]
    before = before[np.isfinite(before)]
    if not before.size:
        return False
    return bool(np.abs(before - hr_bpm[start]).max() >= LEAST_CHANGE_BPM)
