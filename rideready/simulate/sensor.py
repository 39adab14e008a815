"""What a heart-rate sensor makes of a true curve: lag, smoothing, noise with memory, faults, rounding."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.signal import lfilter

from rideready.model.session import FloatArray
from rideready.simulate.faults import Artefact, FaultRate, draw_artefacts, write_artefact
from rideready.simulate.traits import STEP_S


@dataclass(frozen=True, slots=True)
class SensorTraits:
    """One sensor with its recorder.

    Parameters
    ----------
    device
        Recorder as plain text; says that it is simulated.
    lag_s
        First-order lag, 0 to 8 s.
    smoothing_s
        Length of a trailing mean after the lag, 0 to 10 s; 0 for none.
    noise_sd_bpm, noise_phi
        Standard deviation (bpm) and lag-one (1 s) correlation of the noise.
    spacing_s
        A record every so many seconds.
    longest_hold_s
        If set, a record only when the whole-bpm value has changed, and at the latest after so
        many seconds.
    faults
        What goes wrong, and how often.

    Raises
    ------
    ValueError
        If lag, smoothing, noise or spacing lie outside what is described above.
    """

    device: str
    lag_s: float = 1.0
    smoothing_s: float = 0.0
    noise_sd_bpm: float = 1.0
    noise_phi: float = 0.6
    spacing_s: int = 1
    longest_hold_s: int | None = None
    faults: tuple[FaultRate, ...] = ()

    def __post_init__(self) -> None:
        limits = {
            "lag_s": (0, 8),
            "smoothing_s": (0, 10),
            "noise_sd_bpm": (0, 10),
            "noise_phi": (0, 0.99),
            "spacing_s": (1, 60),
        }
        for name, (low, high) in limits.items():
            if not low <= getattr(self, name) <= high:
                raise ValueError(f"{name} is {getattr(self, name)}; it should lie between {low} and {high}")


@dataclass(frozen=True, slots=True, eq=False)
class Sensed:
    """What a sensor wrote.

    Parameters
    ----------
    t_s
        Shape (n,), whole seconds, rising from 0.
    hr_bpm
        Shape (n,), whole bpm; NaN where the value is missing, 0 where the sensor wrote 0.
    artefacts
        The faults that are in it, by time.
    """

    t_s: FloatArray
    hr_bpm: FloatArray
    artefacts: tuple[Artefact, ...]


def lagged(hr_bpm: FloatArray, lag_s: float, *, step_s: float = STEP_S) -> FloatArray:
    """Pass a curve through a first-order lag, exact for a curve held constant over each step.

    Parameters
    ----------
    hr_bpm
        Shape (n,), every ``step_s``, bpm; the lag starts settled on the first value.
    lag_s
        Time constant of the lag, s; 0 changes nothing.

    Returns
    -------
    FloatArray
        Shape (n,), bpm.
    """
    if lag_s == 0:
        return hr_bpm.copy()
    keep = float(np.exp(-step_s / lag_s))
    out, _ = lfilter([1 - keep], [1, -keep], hr_bpm, zi=[keep * hr_bpm[0]])
    return np.asarray(out, dtype=float)


def smoothed(hr_bpm: FloatArray, smoothing_s: float, *, step_s: float = STEP_S) -> FloatArray:
    """Take the mean of the last ``smoothing_s`` seconds; before the start, the first value is repeated.

    Parameters and return value as for `lagged`.
    """
    width = max(round(smoothing_s / step_s), 1)
    padded = np.concatenate([np.full(width - 1, hr_bpm[0]), hr_bpm])
    return np.convolve(padded, np.full(width, 1 / width), mode="valid")


def noise_with_memory(rng: np.random.Generator, n: int, *, sd_bpm: float, phi: float) -> FloatArray:
    """Draw stationary first-order autoregressive noise, one value a second.

    ``e[t] = phi * e[t-1] + w[t]``, ``w`` normal with ``sd * sqrt(1 - phi^2)``, so that ``sd_bpm`` is
    the standard deviation of ``e`` itself.

    Parameters
    ----------
    n
        Number of seconds.
    sd_bpm, phi
        Standard deviation, bpm, and lag-one correlation, 0 to below 1.

    Returns
    -------
    FloatArray
        Shape (n,), bpm.

    References
    ----------
    Box, Jenkins, Time Series Analysis, chapter on autoregressive processes [from memory].
    """
    if n == 0:
        return np.empty(0)
    pushes = sd_bpm * np.sqrt(1 - phi**2) * rng.standard_normal(n)
    first = sd_bpm * rng.standard_normal()
    out, _ = lfilter([1.0], [1.0, -phi], pushes, zi=[phi * first])
    return np.asarray(out, dtype=float)


def sense(
    true_hr_bpm: FloatArray,
    traits: SensorTraits,
    rng: np.random.Generator,
    *,
    limb_per_min: FloatArray | None = None,
) -> Sensed:
    """Record a true curve with a sensor.

    Parameters
    ----------
    true_hr_bpm
        Shape (m,), every `STEP_S` from 0, bpm.
    traits
        The sensor.
    rng
        Draws noise and faults.
    limb_per_min
        Shape (seconds,), steps or crank turns a minute for each whole second; NaN or 0 where the
        limbs rest. A cadence lock needs it; without it none happens.

    Returns
    -------
    Sensed
        Whole seconds, whole bpm.
    """
    fine = smoothed(lagged(true_hr_bpm, traits.lag_s), traits.smoothing_s)
    hr = fine[:: round(1 / STEP_S)]
    hr = hr + noise_with_memory(rng, hr.size, sd_bpm=traits.noise_sd_bpm, phi=traits.noise_phi)
    limb = np.full(hr.size, np.nan) if limb_per_min is None else limb_per_min
    artefacts = draw_artefacts(traits.faults, rng, limb)
    written = np.rint(hr)
    is_written = np.ones(hr.size, dtype=bool)
    for artefact in artefacts:
        write_artefact(artefact, written, is_written, rng, limb)
    kept = _spaced(written, traits) & is_written
    return Sensed(np.flatnonzero(kept).astype(float), written[kept], tuple(artefacts))


def _spaced(written_bpm: FloatArray, traits: SensorTraits) -> npt.NDArray[np.bool_]:
    kept = np.zeros(written_bpm.size, dtype=np.bool_)
    if traits.longest_hold_s is None:
        kept[:: traits.spacing_s] = True
        return kept
    last, value = -traits.longest_hold_s, np.inf
    for i in range(0, written_bpm.size, traits.spacing_s):
        now = float(written_bpm[i])
        is_same = now == value or (np.isnan(now) and np.isnan(value))
        if not is_same or i - last >= traits.longest_hold_s:
            kept[i], last, value = True, i, now
    return kept
