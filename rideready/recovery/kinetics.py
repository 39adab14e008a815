"""How fast the heart came down: delay, sensor lag and time constant with an interval that holds.

The model is a fall with one time constant that starts after a delay, seen through a sensor with
first-order lag and noise that remembers (AR(1)). The interval is the posterior's, summed over everything
that is not known (`rideready.recovery.posterior`); coverage is measured in ``tests/validation``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from rideready.model.recovery import RecoveryFit
from rideready.model.rider import Rider
from rideready.recovery.curves import lagged_unit_fall
from rideready.recovery.levels import LevelPrior, level_prior
from rideready.recovery.misfit import find_misfit
from rideready.recovery.posterior import CurveWeights, Evidence
from rideready.recovery.predict import FallPosterior, predict_drop
from rideready.recovery.refine import weigh_finely
from rideready.recovery.sampling import sampling_tables, whole_seconds

__all__ = [
    "FittedFall",
    "drop_with_error",
    "fit_all_with_posterior",
    "fit_recoveries",
    "fit_recovery",
    "fit_with_posterior",
]

Floats = npt.NDArray[np.float64]
Window = tuple[npt.ArrayLike, npt.ArrayLike]
_Fitted = tuple[RecoveryFit, CurveWeights, float]

#: With fewer samples or a shorter window seven unknowns say nothing but the prior (our choice, no source).
MIN_SAMPLES, MIN_WINDOW_S = 6, 20.0
#: No interval is narrower than a normal one of this log-SD: whole bpm are no Gaussian noise and no heart keeps to
#: the formula. Without it intervals narrower than 1.2 from end to end held tau in 92 %, with it in 96 %, at a
#: noise SD of 0.2 to 0.8 bpm; wider ones hardly change (measured; no source).
LEAST_LOG_SD = 0.01
#: Curves lighter than this share of the heaviest are not kept for predictions.
LIGHTEST = 1e-4


@dataclass(frozen=True, slots=True)
class FittedFall:
    """A fit together with the posterior it summarises.

    Parameters
    ----------
    fit
        The figures.
    posterior
        For `rideready.recovery.predict`.
    """

    fit: RecoveryFit
    posterior: FallPosterior


def fit_recovery(t_s: npt.ArrayLike, hr_bpm: npt.ArrayLike, *, rider: Rider | None = None) -> RecoveryFit:
    """Time constant of one recovery with its 95 % interval, and whether the curve describes it.

    Under 90 s the interval is wide (often a factor of 2.5 from end to end): nobody can know tau from so
    little. After maximal efforts the fall has two phases and one time constant misleads; ``misfit`` says so
    where it shows.

    Parameters
    ----------
    t_s
        Shape (n,), s from the end of the effort, strictly increasing, any spacing; the last at least 20 s.
        Times before the end of the effort may be given and are taken as level.
    hr_bpm
        Shape (n,), bpm; NaN is left out. At least 6 values must remain.
    rider
        Standing or resting pulse, if known, says where the fall may end.

    Returns
    -------
    RecoveryFit
        ``tau_s`` is the posterior median, the interval its 2.5 and 97.5 % points. The other parameters are
        posterior means given that tau, so that together they make a curve through the data.

    Raises
    ------
    ValueError
        If the window is too short, times do not increase or the shapes differ.

    References
    ----------
    Pierpont, Stolpman, Gornick 2000, J Auton Nerv Syst 80:169-74; Bosquet, Gamelin, Berthoin 2008, Int J
    Sports Med 29:238-43. The posterior is ours.

    Examples
    --------
    >>> t = np.arange(0.0, 181.0)
    >>> fit = fit_recovery(t, 90.0 + 80.0 * np.exp(-t / 50.0))
    >>> fit.tau_low_s < 50.0 < fit.tau_high_s
    True
    """
    return fit_with_posterior(t_s, hr_bpm, rider=rider).fit


def fit_recoveries(windows: Sequence[Window], *, rider: Rider | None = None) -> list[RecoveryFit | None]:
    """Fit many recoveries; the tables of each set of sampling times are made once.

    Parameters
    ----------
    windows
        Pairs of ``t_s`` and ``hr_bpm`` as in `fit_recovery`.
    rider
        Whose they are.

    Returns
    -------
    list
        In the order of the windows; None where a window is too short to fit.

    Raises
    ------
    ValueError
        If times of a window do not increase or its shapes differ.

    References
    ----------
    See `fit_recovery`.
    """
    return [None if found is None else found[0] for found in _fit_all(windows, rider)]


def fit_all_with_posterior(
    windows: Sequence[Window], *, rider: Rider | None = None
) -> list[FittedFall | None]:
    """Fit many recoveries and keep their posteriors, for drops and bands without a second fit.

    Parameters
    ----------
    windows, rider
        As in `fit_recoveries`.

    Returns
    -------
    list
        In the order of the windows; None where a window is too short to fit.

    Raises
    ------
    ValueError
        If times of a window do not increase or its shapes differ.

    References
    ----------
    See `fit_recovery`.
    """
    return [None if found is None else _with_posterior(*found) for found in _fit_all(windows, rider)]


def fit_with_posterior(
    t_s: npt.ArrayLike, hr_bpm: npt.ArrayLike, *, rider: Rider | None = None
) -> FittedFall:
    """Fit one recovery and keep its posterior.

    Parameters
    ----------
    t_s, hr_bpm, rider
        As in `fit_recovery`.

    Returns
    -------
    FittedFall
        Figures and posterior.

    Raises
    ------
    ValueError
        If the window is too short, times do not increase or the shapes differ.

    References
    ----------
    See `fit_recovery`.
    """
    t, hr = _usable(t_s, hr_bpm)
    problem = _too_short(t)
    if problem is not None:
        raise ValueError(problem)
    return _with_posterior(*_fit(t, hr, level_prior(rider)))


def drop_with_error(
    t_s: npt.ArrayLike, hr_bpm: npt.ArrayLike, at_s: float, *, rider: Rider | None = None
) -> tuple[float, float]:
    """Drop from the end of the effort to a time, with its standard error.

    Uses the whole window, so its error is smaller than that of two 5 s means; where the fit reports a
    misfit, two means are the safer figure.

    Parameters
    ----------
    t_s, hr_bpm, rider
        As in `fit_recovery`.
    at_s
        When, s from the end of the effort; inside the window.

    Returns
    -------
    drop_bpm, se_bpm
        bpm.

    Raises
    ------
    ValueError
        As `fit_recovery`, or if ``at_s`` lies outside the window.

    References
    ----------
    See `fit_recovery`.
    """
    both = fit_with_posterior(t_s, hr_bpm, rider=rider)
    if not 0 <= at_s <= both.fit.window_s:
        raise ValueError(f"at_s is {at_s}; the window runs from 0 to {both.fit.window_s:g} s")
    drop, se = predict_drop(both.posterior, at_s)
    return float(drop[0]), float(se[0])


def _usable(t_s: npt.ArrayLike, hr_bpm: npt.ArrayLike) -> tuple[Floats, Floats]:
    t, hr = np.asarray(t_s, dtype=float), np.asarray(hr_bpm, dtype=float)
    if t.ndim != 1 or t.shape != hr.shape:
        raise ValueError(f"times and heart rates must be two rows of equal length, got {t.shape}, {hr.shape}")
    known = np.isfinite(t) & np.isfinite(hr)
    t, hr = t[known], hr[known]
    if np.any(np.diff(t) <= 0):
        raise ValueError("times must increase from sample to sample")
    return t, hr


def _too_short(t: Floats) -> str | None:
    if len(t) < MIN_SAMPLES:
        return f"a recovery needs at least {MIN_SAMPLES} heart rates, got {len(t)}"
    if t[-1] < MIN_WINDOW_S:
        return f"a recovery needs at least {MIN_WINDOW_S:g} s, got {t[-1]:g}"
    return None


def _fit_all(windows: Sequence[Window], rider: Rider | None) -> list[_Fitted | None]:
    prior = level_prior(rider)
    usable = [_usable(t, hr) for t, hr in windows]
    fitted: list[_Fitted | None] = [None] * len(usable)
    # Windows with the same times follow each other, so that their tables are still at hand.
    for i in sorted(range(len(usable)), key=lambda i: (len(usable[i][0]), usable[i][0].tobytes())):
        if _too_short(usable[i][0]) is None:
            fitted[i] = _fit(*usable[i], prior)
    return fitted


def _fit(t: Floats, hr: Floats, prior: LevelPrior) -> _Fitted:
    """Return the figures, the weights of the curves, and what was taken off their delay, s."""
    fraction, times = whole_seconds(t)
    tables = sampling_tables(tuple(times.tolist()))
    data = Evidence.of(hr, tables)
    weights = weigh_finely(times, hr, tables, prior, data=data)
    low, middle, high = _tau_quantiles(weights, (0.025, 0.5, 0.975))
    delay, lag, end, peak = _given_tau(weights, middle)
    fitted = end + (peak - end) * lagged_unit_fall(times, tau_s=middle, delay_s=delay, lag_s=lag)
    fit = RecoveryFit(
        tau_s=middle,
        tau_low_s=low,
        tau_high_s=high,
        end_bpm=end,
        amplitude_bpm=peak - end,
        delay_s=delay + fraction,
        lag_s=lag,
        noise_sd_bpm=weights.noise_sd_bpm,
        noise_phi=weights.noise_phi,
        window_s=float(t[-1]),
        n_samples=len(t),
        misfit=find_misfit(times, hr, fitted, tables=tables, data=data, noise_phi=weights.noise_phi),
    )
    return fit, weights, fraction


def _tau_quantiles(weights: CurveWeights, levels: tuple[float, ...]) -> list[float]:
    """Quantiles of tau from its log density at the nodes, interpolated by a cubic spline and smeared."""
    nodes = np.log(weights.grid.tau_nodes_s)
    log_density = _spline(len(nodes)) @ weights.log_tau_mass
    density = np.exp(log_density - log_density.max())
    step = float(nodes[-1] - nodes[0]) / (len(density) - 1)
    reach = int(np.ceil(4.0 * LEAST_LOG_SD / step))
    smear = np.exp(-0.5 * (np.arange(-reach, reach + 1) * step / LEAST_LOG_SD) ** 2)
    density = np.convolve(density, smear)
    log_tau = nodes[0] + step * np.arange(-reach, len(density) - reach)
    below = np.cumsum(density) - 0.5 * density
    return [float(q) for q in np.exp(np.interp(levels, below / density.sum(), log_tau))]


@lru_cache(maxsize=4)
def _spline(n: int) -> Floats:
    """Matrix that takes values at n even nodes to a cubic spline 40 times as fine."""
    from scipy.interpolate import CubicSpline

    matrix: Floats = CubicSpline(np.arange(n), np.eye(n))(np.linspace(0, n - 1, 40 * (n - 1) + 1))
    return matrix


def _given_tau(weights: CurveWeights, tau_s: float) -> list[float]:
    """Delay, lag, end level and peak to be expected at a tau, from the nodes on its two sides."""
    grid = weights.grid
    right = int(np.clip(np.searchsorted(grid.tau_nodes_s, tau_s), 1, len(grid.tau_nodes_s) - 1))
    log_nodes = np.log(grid.tau_nodes_s[right - 1 : right + 1])
    share = float((np.log(tau_s) - log_nodes[0]) / (log_nodes[1] - log_nodes[0]))
    # Curves lie sorted by tau, so the curves of a node are one stretch.
    width = len(grid.tau_s) // len(grid.tau_nodes_s)
    ends = np.searchsorted(weights.kept, width * np.arange(right - 1, right + 2))
    total, found = 0.0, np.zeros(4)
    for start, stop, part in ((ends[0], ends[1], 1.0 - share), (ends[1], ends[2], share)):
        here, w = weights.kept[start:stop], weights.weight[start:stop]
        mass = float(w.sum())
        if mass > 0:
            columns = (
                grid.delay_s[here],
                grid.lag_s[here],
                weights.end_bpm[start:stop],
                weights.peak_bpm[start:stop],
            )
            found += part / mass * np.array([w @ column for column in columns])
            total += part
    means: list[float] = (found / total).tolist()
    return means


def _with_posterior(fit: RecoveryFit, weights: CurveWeights, fraction_s: float) -> FittedFall:
    grid = weights.grid
    heavy = weights.weight > LIGHTEST * weights.weight.max()
    kept = weights.kept[heavy]
    end_variance, peak_variance, covariance = weights.level_spreads()
    posterior = FallPosterior(
        tau_s=grid.tau_s[kept],
        delay_s=grid.delay_s[kept] + fraction_s,
        lag_s=grid.lag_s[kept],
        weight=weights.weight[heavy] / weights.weight[heavy].sum(),
        end_bpm=weights.end_bpm[heavy],
        peak_bpm=weights.peak_bpm[heavy],
        end_variance=end_variance[heavy],
        peak_variance=peak_variance[heavy],
        covariance=covariance[heavy],
    )
    return FittedFall(fit, posterior)
