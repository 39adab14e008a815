"""The fit's part of the validation report: coverage and error by window and sensor, least squares beside it.

``python -m tests.validation.kinetics_section`` prints it (about two minutes of processor time); ``--draws 100``
draws fewer recoveries. Every recovery is simulated by ``tests/support/falls.py`` with fixed seeds; its sensor
is a filter, not the formula of the fit, and its noise is rounded to whole bpm, which the fit only knows as a
floor of the noise.
"""

import argparse
import sys
import warnings
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import curve_fit

from rideready.model.rider import Rider
from rideready.recovery.kinetics import FittedFall, fit_all_with_posterior
from rideready.recovery.predict import predict_drop
from tests.support.falls import Ranges, SimulatedFall, simulate_fall
from tests.validation.drawing import Axis, Line, line_chart
from tests.validation.section import Section, percent, standard_error

Floats = npt.NDArray[np.float64]
Spacing = Callable[[np.random.Generator, float], Floats]

WINDOWS_S = (60.0, 90.0, 120.0, 180.0, 300.0)


def each_second(_rng: np.random.Generator, window_s: float) -> Floats:
    """Sample every second."""
    return np.arange(window_s + 1.0)


def each_ten_seconds(_rng: np.random.Generator, window_s: float) -> Floats:
    """Sample every ten seconds."""
    return np.arange(0.0, window_s + 1.0, 10.0)


def on_change(rng: np.random.Generator, window_s: float) -> Floats:
    """Sample every 1 to 6 s, at random."""
    t = np.cumsum(rng.integers(1, 7, size=int(window_s))).astype(float) - 1.0
    return t[t <= window_s]


@dataclass(frozen=True, slots=True)
class Sensor:
    """A kind of recorder: what it does to a recovery."""

    name: str
    ranges: Ranges
    spacing: Spacing = each_second


#: Ranges of a chest strap and of a wrist sensor are common practice, no source.
SENSORS = (
    Sensor(
        "chest strap", Ranges(lag_s=(0, 1), delay_s=(0, 8), noise_sd_bpm=(0.5, 1.2), noise_phi=(0.3, 0.8))
    ),
    Sensor("wrist", Ranges(lag_s=(3, 8), delay_s=(3, 15), noise_sd_bpm=(1.5, 2.5), noise_phi=(0.7, 0.9))),
    Sensor("any, every 1 to 6 s", Ranges(), on_change),
    Sensor("any, every 10 s", Ranges(), each_ten_seconds),
    Sensor("noise remembers: phi 0.90 to 0.98", Ranges(noise_phi=(0.90, 0.98))),
    Sensor(
        "almost no noise: SD 0.2 to 0.8, phi 0 to 0.9", Ranges(noise_sd_bpm=(0.2, 0.8), noise_phi=(0, 0.9))
    ),
    Sensor("fast falls: tau 20 to 40 s", Ranges(tau_s=(20, 40))),
    Sensor("slow falls: tau 100 to 160 s", Ranges(tau_s=(100, 160))),
)


@dataclass(frozen=True, slots=True)
class Rates:
    """What a set of intervals for tau and errors of a drop came to."""

    n: int
    held: float
    error: float
    bias: float
    width: float
    drop_held: float
    drop_error_bpm: float


def simulate(
    draws: int, window_s: float, *, seed: int, sensor: Sensor | None = None, slow_share: float = 0.0
) -> list[SimulatedFall]:
    """Draw recoveries of one kind."""
    rng = np.random.default_rng([seed, int(window_s)])
    kind = sensor or Sensor("any", Ranges())
    return [
        simulate_fall(rng, kind.spacing(rng, window_s), ranges=kind.ranges, slow_share=slow_share)
        for _ in range(draws)
    ]


def fit_all(falls: list[SimulatedFall], rider: Rider | None = None) -> list[FittedFall]:
    """Fit them; all windows here are long enough."""
    fits = fit_all_with_posterior([(f.t_s, f.hr_bpm) for f in falls], rider=rider)
    return [fit for fit in fits if fit is not None]


def rates_of_fits(falls: list[SimulatedFall], fits: list[FittedFall]) -> Rates:
    """Score the posterior's intervals and its drop at 60 s."""
    taus = np.array([[f.fit.tau_low_s, f.fit.tau_s, f.fit.tau_high_s] for f in fits])
    drops = np.array([np.ravel(predict_drop(f.posterior, min(60.0, f.fit.window_s))) for f in fits])
    return _rates(falls, taus, drops)


def rates_of_least_squares(falls: list[SimulatedFall]) -> Rates:
    """Score what ``scipy.optimize.curve_fit`` says of a plain exponential; failures count as not held."""
    taus = np.full((len(falls), 3), np.nan)
    drops = np.full((len(falls), 2), np.nan)
    for i, fall in enumerate(falls):
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                found, spread = curve_fit(
                    lambda t, end, height, tau: end + height * np.exp(-t / tau),
                    fall.t_s,
                    fall.hr_bpm,
                    p0=[100.0, 60.0, 60.0],
                )
        except RuntimeError:  # it gave up
            continue
        se = float(np.sqrt(spread[2, 2]))
        taus[i] = found[2] + 1.96 * se * np.array([-1.0, 0.0, 1.0])
        fallen = 1.0 - np.exp(-60.0 / found[2])
        slope = np.array([0.0, fallen, -found[1] * np.exp(-60.0 / found[2]) * 60.0 / found[2] ** 2])
        drops[i] = found[1] * fallen, np.sqrt(slope @ spread @ slope)
    return _rates(falls, taus, drops)


def _rates(falls: list[SimulatedFall], taus: Floats, drops: Floats) -> Rates:
    truth = np.array([f.tau_s for f in falls])
    drop = np.array([f.drop_bpm(min(60.0, float(f.t_s[-1]))) for f in falls])
    off = drops[:, 0] - drop
    with np.errstate(invalid="ignore"):
        return Rates(
            n=len(falls),
            held=float(np.mean((taus[:, 0] <= truth) & (truth <= taus[:, 2]))),
            error=float(np.nanmedian(np.abs(taus[:, 1] / truth - 1.0))),
            bias=float(np.nanmedian(taus[:, 1] / truth - 1.0)),
            width=float(np.nanmedian(taus[:, 2] / taus[:, 0])),
            drop_held=float(np.mean(np.abs(off) < 1.96 * drops[:, 1])),
            drop_error_bpm=float(np.nanmedian(np.abs(off))),
        )


def section(*, draws: int = 600) -> Section:
    """Write the section.

    Parameters
    ----------
    draws
        Recoveries for each window; the tables by sensor and of misfit take half.

    Returns
    -------
    Section
        With a drawing of coverage by window.
    """
    half = max(draws // 2, 4)
    rates = rates_by_window(draws)
    drawing = "![How often intervals of tau and of the drop hold the truth, by window](coverage.svg)"
    parts = [
        _by_window(rates),
        drawing,
        _by_sensor(half),
        _limits(),
        _with_standing_pulse(half),
        _misfit(half),
    ]
    text = "\n\n".join(["## Fit of one recovery", *parts]) + "\n"
    return Section(text, {"coverage.svg": draw_coverage(rates)})


def rates_by_window(draws: int) -> dict[float, tuple[Rates, Rates]]:
    """Rates of the posterior and of least squares on the same recoveries, by window in s."""
    found = {}
    for window in WINDOWS_S:
        falls = simulate(draws, window, seed=1)
        found[window] = rates_of_fits(falls, fit_all(falls)), rates_of_least_squares(falls)
    return found


def draw_coverage(rates: dict[float, tuple[Rates, Rates]]) -> str:
    """Draw how often the intervals hold the truth."""

    def line(name: str, *, which: int, figure: str) -> Line:
        shares = (
            (window, float(getattr(both[which], figure)), both[which].n) for window, both in rates.items()
        )
        return Line(name, tuple((at, 100 * share, 100 * standard_error(share, n)) for at, share, n in shares))

    return line_chart(
        "Intervals called 95 % that hold the truth",
        Axis("window, s", (0, 60, 90, 120, 180, 240, 300)),
        Axis("held, %", (0, 20, 40, 60, 80, 100)),
        [
            line("tau", which=0, figure="held"),
            line("tau, least squares", which=1, figure="held"),
            line("drop in 60 s", which=0, figure="drop_held"),
            line("drop, least squares", which=1, figure="drop_held"),
        ],
        wanted=(92, 98),
    )


def _limits() -> str:
    return (
        "Known limits. Noise whose memory lasts longer than the grid of the fit expects (phi above 0.9) costs some"
        " points: a wave of ten seconds and more looks like part of the fall. No interval is narrower than 4 % from"
        " end to end, since whole bpm are no Gaussian noise; that brought recordings almost without noise from 92 to"
        " 96 %. A tau above 100 s is pulled towards the usual ones while the window is short."
    )


def _by_window(rates: dict[float, tuple[Rates, Rates]]) -> str:
    draws = next(iter(rates.values()))[0].n
    lines = [
        (
            f"Simulated recoveries, {draws} for each window: tau 30 to 110 s, delay 0 to 15 s, lag 0 to 8 s, noise with"
            " phi 0.5 to 0.9 and SD 1 to 2.5 bpm, whole bpm, every second. Asked for: intervals of tau and of the drop in"
            " 60 s that hold the truth in 92 to 98 % (tau up to 99.5 % at 60 and 90 s); median error of tau under 20 % at"
            " 90 s and 8 % at 180 s. Least squares is `scipy.optimize.curve_fit` of a plain exponential on the same"
            " recoveries, its interval 1.96 standard errors."
        ),
        "",
        *_head("window"),
    ]
    for window, (ours, least_squares) in rates.items():
        lines.append(_row(f"{window:.0f} s", ours))
        lines.append(_row(f"{window:.0f} s, least squares", least_squares))
    return "\n".join(lines)


def _by_sensor(draws: int) -> str:
    lines = [f"By sensor, {draws} each, everything else as above.", "", *_head("sensor, window")]
    for i, sensor in enumerate(SENSORS):
        for window in (90.0, 180.0):
            falls = simulate(draws, window, seed=100 + i, sensor=sensor)
            lines.append(_row(f"{sensor.name}, {window:.0f} s", rates_of_fits(falls, fit_all(falls))))
    return "\n".join(lines)


def _with_standing_pulse(draws: int) -> str:
    lines = [
        f"A rider whose falls end at 95 to 105 bpm, {draws} windows of 60 s, without and with a standing pulse.",
        "",
        *_head("known"),
    ]
    sensor = Sensor("one rider", Ranges(end_bpm=(95.0, 105.0)))
    falls = simulate(draws, 60.0, seed=200, sensor=sensor)
    lines.append(_row("nothing", rates_of_fits(falls, fit_all(falls))))
    lines.append(_row("standing 78 bpm", rates_of_fits(falls, fit_all(falls, Rider(standing_hr_bpm=78.0)))))
    lines.append(
        _row(
            "standing 98 bpm (20 too high)", rates_of_fits(falls, fit_all(falls, Rider(standing_hr_bpm=98.0)))
        )
    )
    return "\n".join(lines)


def _misfit(draws: int) -> str:
    lines = [
        (
            f"Misfit alleged, {draws} recoveries each: one phase (false alarms) and two phases (40 % of the fall 4 to 8"
            " times as slow)."
        ),
        "",
        "| window | one phase | two phases |",
        "| --- | --- | --- |",
    ]
    fast = Sensor(
        "two phases", Ranges(tau_s=(20.0, 40.0), end_bpm=(80.0, 105.0), amplitude_bpm=(60.0, 100.0))
    )
    for window in (90.0, 180.0, 300.0):
        shares = []
        for share, sensor in ((0.0, None), (0.4, fast)):
            fits = fit_all(simulate(draws, window, seed=300, sensor=sensor, slow_share=share))
            shares.append(np.mean([f.fit.misfit is not None for f in fits]))
        lines.append(f"| {window:.0f} s | {100 * shares[0]:.1f} % | {100 * shares[1]:.0f} % |")
    return "\n".join(lines)


def _head(first: str) -> list[str]:
    columns = [first, "tau held", "median error", "bias", "width", "drop held", "median error of drop"]
    return ["| " + " | ".join(columns) + " |", "|" + " --- |" * len(columns)]


def _row(name: str, r: Rates) -> str:
    error = f"{100 * r.error:.1f} %" if r.error < 10 else "over 1000 %"
    bias = f"{100 * r.bias:+.1f} %" if r.bias < 10 else "over 1000 %"
    width = f"x {r.width:.2f}" if r.width > 0 else "from below 0"
    return (
        f"| {name} | {percent(r.held, r.n)} | {error} | {bias} | {width}"
        f" | {percent(r.drop_held, r.n)} | {r.drop_error_bpm:.1f} bpm |"
    )


def main() -> None:
    """Print the section."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=600, help="recoveries for each window")
    sys.stdout.write(section(draws=parser.parse_args().draws).text)


if __name__ == "__main__":
    main()
