"""Whether one delayed, lagged exponential describes a fall at all, and if not, in which way.

Two looks, both set so that a fall which is what the model says is seldom accused (measured in
``tests/recovery/test_misfit.py``): a two-phase fall must win by the Bayesian information criterion, and
the residuals must cross the curve about as often as noise of their own memory would.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from rideready.model.reason import Reason, because
from rideready.recovery.curves import lagged_unit_fall
from rideready.recovery.grids import N_TAU, fall_grid
from rideready.recovery.least_squares import fit_least_squares
from rideready.recovery.noise_layout import inverse_ar1
from rideready.recovery.posterior import Evidence
from rideready.recovery.sampling import (
    TABLE_S,
    SamplingTables,
    quadratic,
    running_sums,
    sampling_tables,
    times_curves,
    whole_in_table,
)

__all__ = ["find_misfit", "runs_score", "two_phase_gain"]

Floats = npt.NDArray[np.float64]

#: Under 90 s a slow phase cannot be told from a higher end level.
TWO_PHASE_WINDOW_S = 90.0
#: The slow phase must be at least this many times as slow, and each phase carry this share of the fall;
#: anything less is one phase in two pieces (our choice, no source).
SLOWNESS, SMALLEST_SHARE = 2.5, 0.15
#: A gain of 2 in the criterion is "positive" evidence (Kass, Raftery 1995, J Am Stat Assoc 90:773-95,
#: table in section 3.2; from memory).
POSITIVE_EVIDENCE = 2.0
#: The search for the best single phase off the grid ends when the sum of squares changes by less than
#: this share: 0.001 in the criterion at 200 samples.
REFINE_TOLERANCE = 5e-6
#: Score that counts as misfit; about 1 in 100 falls of the simulated kind scores lower by chance.
FEW_CROSSINGS = -2.5
MIN_SAMPLES_FOR_RUNS = 30
#: Residuals smaller than this are no misfit to anyone; whole-bpm rounding alone leaves 0.29 bpm, in runs.
SMALLEST_MISFIT_BPM = 0.5
N_ONE_PHASE, N_TWO_PHASE = 7, 9  # end, amplitude, tau, delay, lag, noise SD, phi; and a second phase


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Pairs of a fast and a slow curve, and products of curves from which the end level is taken out.

    Index into the grid of each pair's curves; norms and product of each pair's curves, and the inverse
    determinant (0 where the two are one curve).
    """

    fast: npt.NDArray[np.int64]
    slow: npt.NDArray[np.int64]
    fast_fast: Floats
    slow_slow: Floats
    fast_slow: Floats
    inverse_det: Floats


@dataclass(frozen=True, slots=True)
class _Best:
    """Where on the grid a model explains most."""

    bic: float
    phi: float
    cell: int


def find_misfit(
    t_s: Floats,
    hr_bpm: Floats,
    fitted_bpm: Floats,
    *,
    tables: SamplingTables,
    data: Evidence,
    noise_phi: float,
) -> Reason | None:
    """Say why one exponential does not describe a fall.

    Parameters
    ----------
    t_s, hr_bpm, fitted_bpm
        Shape (n,): times from the end of the effort (s), heart rate and fitted curve (bpm).
    tables, data
        Of `fall_grid` at these times, and the products of the heart rate with them.
    noise_phi
        Correlation of the noise 1 s apart as fitted; used where spacing is uneven.

    Returns
    -------
    Reason or None
        None if the curve describes the fall.

    References
    ----------
    Pierpont, Stolpman, Gornick 2000, J Auton Nerv Syst 80:169-74: residuals of one exponential are not
    random after maximal exercise.
    """
    long_enough = t_s[-1] - t_s[0] >= TWO_PHASE_WINDOW_S
    if long_enough and two_phase_gain(t_s, hr_bpm, tables=tables, data=data) > POSITIVE_EVIDENCE:
        return because("kinetics.two_phase")
    score, crossings, expected = runs_score(t_s, hr_bpm - fitted_bpm, noise_phi=noise_phi)
    if score < FEW_CROSSINGS:
        return because("kinetics.runs", crossings=crossings, expected=expected)
    return None


def runs_score(t_s: Floats, residuals_bpm: Floats, *, noise_phi: float) -> tuple[float, float, float]:
    """How many standard deviations more often residuals cross zero than noise of their memory does.

    Gaussian noise with correlation r between neighbours changes sign between them with probability
    ``arccos(r) / pi``. The memory is read from the fast part of the residuals (variances of differences
    over one and two samples), which slow misfit hardly touches. That reading is itself uncertain, for which
    the variance of the count, n·p·(1 - p) by itself, is doubled; the score is no exact normal deviate, and
    its threshold was set by the false alarms of whole fits.

    Parameters
    ----------
    t_s, residuals_bpm
        Shape (n,), s and bpm.
    noise_phi
        Correlation 1 s apart, used where the spacing is uneven.

    Returns
    -------
    score, crossings, expected
        Score far below 0 means runs longer than noise makes; 0 where samples are too few to say, or
        residuals too small to matter.

    References
    ----------
    Runs as a test of randomness: Wald, Wolfowitz 1940, Ann Math Stat 11:147-62; crossings of a Gaussian
    process: Rice 1945, Bell Syst Tech J 24:46-156 (both from memory).
    """
    steps = np.diff(t_s)
    if len(residuals_bpm) < MIN_SAMPLES_FOR_RUNS or np.std(residuals_bpm) < SMALLEST_MISFIT_BPM:
        return 0.0, float("nan"), float("nan")
    evenly = np.ptp(steps) < 1e-6
    correlation = _fast_memory(residuals_bpm) if evenly else noise_phi**steps
    p = np.broadcast_to(np.arccos(np.clip(correlation, 0.0, 0.999)) / np.pi, steps.shape)
    below = residuals_bpm < 0
    crossings, expected = float(np.count_nonzero(below[1:] != below[:-1])), float(p.sum())
    return (crossings - expected) / float(np.sqrt(2.0 * np.sum(p * (1.0 - p)))), crossings, expected


def two_phase_gain(t_s: Floats, hr_bpm: Floats, *, tables: SamplingTables, data: Evidence) -> float:
    """Bayesian information criterion of the best one-phase fall minus that of the best two-phase fall.

    Where two phases seem to win, the single phase is fitted off the grid, since it suffers more from the
    grid's steps than two do; the two phases never are, which errs on the side of one.

    Parameters
    ----------
    t_s, hr_bpm
        Shape (n,), s and bpm.
    tables, data
        Of `fall_grid` at these times, and the products of the heart rate with them.

    Returns
    -------
    float
        Above 0 speaks for two phases.

    References
    ----------
    Schwarz 1978, Ann Stat 6:461-4 (the criterion, from memory); Joseph, Kanthakumar, Tharion 2023, Indian J
    Physiol Pharmacol 67:125-30 (two phases after maximal exercise).
    """
    one, two = _best_on_grid(data, tables, _pairs(tuple(t_s.tolist())))
    if one.bic - two.bic <= POSITIVE_EVIDENCE:
        return one.bic - two.bic
    return min(one.bic, _one_phase_off_grid(t_s, hr_bpm, one)) - two.bic


def _best_on_grid(data: Evidence, tables: SamplingTables, pairs: _Pairs) -> tuple[_Best, _Best]:
    """Smallest criterion of one curve and of a pair, with end level and heights free."""
    y_y = (data.y_y - data.ones_y**2 / tables.ones_ones)[:, None]
    one = _smallest_bic(data.free_rest, tables, data.n, N_ONE_PHASE)
    y_f, y_s = (
        data.fall_y.take(curves, 1) - data.ones_y[:, None] * tables.ones_share.take(curves, 1)
        for curves in (pairs.fast, pairs.slow)
    )
    high_f = (pairs.slow_slow * y_f - pairs.fast_slow * y_s) * pairs.inverse_det
    high_s = (pairs.fast_fast * y_s - pairs.fast_slow * y_f) * pairs.inverse_det
    possible = np.minimum(high_f, high_s) > SMALLEST_SHARE * np.abs(high_f + high_s)
    rest = np.where(possible, y_y - high_f * y_f - high_s * y_s, np.inf)
    return one, _smallest_bic(rest, tables, data.n, N_TWO_PHASE)


def _smallest_bic(rest: Floats, tables: SamplingTables, n: int, n_parameters: int) -> _Best:
    cells = rest.argmin(axis=1)
    bics = [
        _bic(float(r), float(d), n, n_parameters)
        for r, d in zip(rest.min(axis=1), tables.noise.log_det, strict=True)
    ]
    i = int(np.argmin(bics))
    return _Best(bics[i], float(fall_grid().phis[i]), int(cells[i]))


def _one_phase_off_grid(t_s: Floats, hr_bpm: Floats, best: _Best) -> float:
    """Criterion of the best single phase near the grid's best, under the same noise memory."""
    grid, phi, n = fall_grid(), np.array([best.phi]), len(t_s)
    rho = best.phi ** np.diff(t_s)
    scale = np.sqrt(1.0 - rho**2)

    def whiten(x: Floats) -> Floats:
        return np.concatenate([x[:1], (x[1:] - rho * x[:-1]) / scale])

    def columns(shape: Floats) -> Floats:
        tau, delay, lag = np.maximum(np.abs(shape), [1.0, 0.0, 0.0]) - [0.0, 1.0, 1.0]
        fall = lagged_unit_fall(t_s, tau_s=tau, delay_s=max(delay, 0.0), lag_s=max(lag, 0.0))
        return np.column_stack([whiten(np.ones(n)), whiten(fall)])

    # Delay and lag are searched as 1 s more than they are, because the search scales with its start.
    start = [grid.tau_s[best.cell], grid.delay_s[best.cell] + 1.0, grid.lag_s[best.cell] + 1.0]
    found = fit_least_squares(columns, whiten(hr_bpm), start=start, tolerance=REFINE_TOLERANCE)
    return _bic(found.sum_of_squares, float(inverse_ar1(t_s, phi)[2][0]), n, N_ONE_PHASE)


def _bic(rest: float, log_det: float, n: int, n_parameters: int) -> float:
    return float(n * np.log(max(rest, 1e-6) / n) + log_det + n_parameters * np.log(n))


@lru_cache(maxsize=8)
def _pairs(times_s: tuple[float, ...]) -> _Pairs:
    """Pairs of a fast and a slow curve with the same delay and lag, and their products at these times."""
    tables, (fast, slow) = sampling_tables(times_s), _pair_indices()
    noise, whole = tables.noise, whole_in_table(np.array(times_s))
    gap = np.flatnonzero(~noise.joined)
    before, after = tables.falls[gap], tables.falls[gap + 1]
    over_gaps = before.take(fast, 1) * after.take(slow, 1) + after.take(fast, 1) * before.take(slow, 1)
    if whole is None:
        at_times = tables.falls.take(fast, 1) * tables.falls.take(slow, 1)
        fast_slow = times_curves(noise.diagonal, at_times) + times_curves(noise.beside, over_gaps)
    else:
        products, *running = _pairs_each_second()
        fast_slow = quadratic(
            noise,
            whole,
            at_edges=products[whole[~noise.inside]],
            over_gaps=over_gaps,
            running=(running[0], running[1]),
        )
    norm_f, norm_s = (1.0 / tables.inverse_norm.take(curves, 1) for curves in (fast, slow))
    fast_slow -= tables.ones_share.take(fast, 1) * tables.ones_fall.take(slow, 1)
    det = norm_f * norm_s - fast_slow**2
    inverse_det = np.where(det > 1e-9, 1.0 / np.maximum(det, 1e-9), 0.0)
    return _Pairs(fast, slow, norm_f, norm_s, fast_slow, inverse_det)


@lru_cache(maxsize=1)
def _pair_indices() -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return indices into the grid of the faster and the slower curve of every pair."""
    grid = fall_grid()
    index = np.arange(len(grid.tau_s)).reshape(N_TAU, -1)
    thin = np.isin(grid.delay_s, grid.delay_nodes_s[::2]) & np.isin(grid.lag_s, grid.lag_nodes_s[::2])
    nuisance = np.flatnonzero(thin[: index.shape[1]])
    nodes = range(0, N_TAU, 3)
    pairs = [(i, j) for i in nodes for j in nodes if grid.tau_nodes_s[j] >= SLOWNESS * grid.tau_nodes_s[i]]
    fast, slow = (index[rows][:, nuisance].ravel() for rows in np.array(pairs).T)
    return fast, slow


@lru_cache(maxsize=1)
def _pairs_each_second() -> tuple[Floats, Floats, Floats]:
    """Return each pair's product at every second, its running sums, and those of products with the next second."""
    fast, slow = _pair_indices()
    each_second = sampling_tables(tuple(np.arange(TABLE_S + 1.0).tolist())).falls
    f, s = each_second[:, fast], each_second[:, slow]
    return f * s, running_sums(f * s), running_sums(f[:-1] * s[1:] + f[1:] * s[:-1])


def _fast_memory(residuals_bpm: Floats) -> float:
    """Correlation between neighbours from differences over one and two samples.

    ``E(x[i+1] - x[i])² = 2 s² (1 - r)`` and ``E(x[i+2] - x[i])² = 2 s² (1 - r²)``, so their ratio is
    ``1 + r``. Whole-bpm rounding adds 1/6 to both.
    """
    one = float(np.mean(np.diff(residuals_bpm) ** 2)) - 1.0 / 6.0
    two = float(np.mean((residuals_bpm[2:] - residuals_bpm[:-2]) ** 2)) - 1.0 / 6.0
    return float(np.clip(two / max(one, 1e-3) - 1.0, 0.0, 0.97))
