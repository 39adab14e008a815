"""Time of a fit with interval beside least squares with a block bootstrap, on the same recoveries.

Run from the project's folder: ``python -m tests.benchmarks.bench_kinetics``. Prints milliseconds a recovery
(processor time, all threads) and their ratio; issue 3 asks for at least 20.
"""

import sys
import time
import warnings
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt
from scipy.optimize import curve_fit

from rideready.recovery.kinetics import fit_recoveries, fit_recovery
from tests.support.falls import SimulatedFall, simulate_fall

Floats = npt.NDArray[np.float64]

BOOTSTRAP_SAMPLES = 200
#: Length of a block, s: some times the memory of the noise (phi 0.9 forgets in about 10 s).
BLOCK_S = 15
#: Recoveries timed by bootstrap and by us: first ones of the same list.
N_BOOTSTRAP, N_OURS = 12, 240


def exponential(t: Floats, end: float, height: float, tau: float) -> Floats:
    """Fall without delay and lag, what least squares is usually given."""
    fall: Floats = end + height * np.exp(-t / tau)
    return fall


def bootstrap_interval(fall: SimulatedFall, rng: np.random.Generator) -> tuple[float, float]:
    """Interval of tau from refits to the curve plus blocks of its residuals."""
    start = [100.0, 60.0, 60.0]
    best, _ = curve_fit(exponential, fall.t_s, fall.hr_bpm, p0=start, maxfev=5000)
    curve = exponential(fall.t_s, *best)
    residuals = fall.hr_bpm - curve
    n = len(residuals)
    taus = []
    for _ in range(BOOTSTRAP_SAMPLES):
        starts = rng.integers(0, n - BLOCK_S, size=n // BLOCK_S + 1)
        blocks = np.concatenate([residuals[s : s + BLOCK_S] for s in starts])[:n]
        taus.append(curve_fit(exponential, fall.t_s, curve + blocks, p0=best, maxfev=5000)[0][2])
    low, high = np.quantile(taus, [0.025, 0.975])
    return float(low), float(high)


def milliseconds(work: Callable[[], object], n: int) -> float:
    """Give the processor time of some work in ms for each of n recoveries."""
    start = time.process_time()
    work()
    return 1e3 * (time.process_time() - start) / n


def share_held(falls: Sequence[SimulatedFall], intervals: Sequence[tuple[float, float]]) -> float:
    """Share of intervals that hold the true tau."""
    return float(np.mean([low <= f.tau_s <= high for f, (low, high) in zip(falls, intervals, strict=True)]))


def main() -> None:
    """Print the table and the ratio for windows of 60 to 300 s."""
    rng = np.random.default_rng(7)
    fit_recovery(np.arange(0.0, 61.0), 100.0 + 60.0 * np.exp(-np.arange(0.0, 61.0) / 40.0))  # shared tables
    sys.stdout.write(
        "window s | ours, batch ms | ours, single ms | bootstrap ms | ratio batch | holds, ours/bootstrap\n"
    )
    for window in (60, 90, 120, 180, 300):
        t = np.arange(window + 1.0)
        falls = [simulate_fall(rng, t) for _ in range(N_OURS)]
        windows = [(f.t_s, f.hr_bpm) for f in falls]
        batch = milliseconds(lambda w=windows: fit_recoveries(w), N_OURS)  # type: ignore[misc]
        single = milliseconds(lambda w=windows[:60]: [fit_recovery(*x) for x in w], 60)  # type: ignore[misc]
        intervals: list[tuple[float, float]] = []
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            bootstrap = milliseconds(
                lambda f=falls, out=intervals: out.extend(  # type: ignore[misc]
                    bootstrap_interval(fall, rng) for fall in f[:N_BOOTSTRAP]
                ),
                N_BOOTSTRAP,
            )
        ours = [(f.tau_low_s, f.tau_high_s) for f in fit_recoveries(windows) if f is not None]
        sys.stdout.write(
            f"{window:8d} | {batch:14.2f} | {single:15.2f} | {bootstrap:12.1f} | {bootstrap / batch:11.1f} |"
            f" {share_held(falls, ours):.2f} / {share_held(falls[:N_BOOTSTRAP], intervals):.2f}\n"
        )


if __name__ == "__main__":
    main()
