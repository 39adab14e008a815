"""Ready-made sensors: chest strap, wrist optical, coarse recorder."""

import numpy as np

from rideready.simulate.faults import Fault, FaultRate
from rideready.simulate.sensor import SensorTraits


def chest_strap(rng: np.random.Generator) -> SensorTraits:
    """Draw a chest strap: short lag, little noise, seldom a lost contact.

    Magnitudes are plausible values, no source; that a strap follows the electrocardiogram at all
    intensities is from Gillinov et al. 2017, Med Sci Sports Exerc 49:1697.
    """
    return SensorTraits(
        "simulated chest strap",
        lag_s=float(rng.uniform(0, 3)),
        smoothing_s=float(rng.uniform(0, 3)),
        noise_sd_bpm=float(rng.uniform(0.6, 1.5)),
        noise_phi=float(rng.uniform(0.5, 0.8)),
        faults=(
            FaultRate(Fault.ABSENT, 0.3, 4, 40),
            FaultRate(Fault.ZERO, 0.2, 3, 20),
            FaultRate(Fault.SPIKE, 0.4, 1, 3),
            FaultRate(Fault.HOLE, 0.1, 8, 60),
        ),
    )


def wrist_optical(rng: np.random.Generator) -> SensorTraits:
    """Draw a wrist sensor: lags, smooths, writes on change, sticks, drops out, locks on to cadence.

    Magnitudes are plausible values, no source; that optical sensors err most in gripping and
    interval work is from memory.
    """
    return SensorTraits(
        "simulated wrist optical sensor",
        lag_s=float(rng.uniform(3, 8)),
        smoothing_s=float(rng.uniform(2, 6)),
        noise_sd_bpm=float(rng.uniform(1.2, 2.5)),
        noise_phi=float(rng.uniform(0.75, 0.9)),
        longest_hold_s=int(rng.integers(4, 11)),
        faults=(
            FaultRate(Fault.STUCK, 0.8, 25, 80),
            FaultRate(Fault.ABSENT, 0.8, 5, 40),
            FaultRate(Fault.ZERO, 0.5, 3, 20),
            FaultRate(Fault.SPIKE, 0.6, 1, 3),
            FaultRate(Fault.CADENCE_LOCK, 3.0, 45, 150),
        ),
    )


def coarse_recorder(rng: np.random.Generator) -> SensorTraits:
    """Draw an old recorder that writes every 5 or every 10 s. Magnitudes: no source."""
    return SensorTraits(
        "simulated coarse recorder",
        lag_s=float(rng.uniform(1, 5)),
        smoothing_s=float(rng.uniform(0, 5)),
        noise_sd_bpm=float(rng.uniform(0.8, 1.8)),
        noise_phi=float(rng.uniform(0.5, 0.9)),
        spacing_s=int(rng.choice([5, 10])),
        faults=(FaultRate(Fault.ABSENT, 0.2, 10, 40),),
    )
