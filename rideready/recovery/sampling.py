"""Tables that depend on sampling times and not on the heart rate, made once for each set of times."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from rideready.recovery.grids import FallGrid, fall_grid, falls_on
from rideready.recovery.noise_layout import NoiseLayout

__all__ = [
    "SamplingTables",
    "make_tables",
    "quadratic",
    "running_sums",
    "sampling_tables",
    "times_curves",
    "whole_in_table",
    "whole_seconds",
]

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

#: Whole seconds up to here come from one shared table of curves.
TABLE_S = 300
#: Multiplications up to which OpenBLAS does not start threads (its default threshold, from memory).
SINGLE_THREAD = 250_000


@dataclass(frozen=True, slots=True)
class SamplingTables:
    """What depends on the sampling times and not on the heart rate.

    R is the correlation matrix of AR(1) noise at these times, one for each phi; its inverse has three
    diagonals.

    Parameters
    ----------
    grid
        The curves.
    falls
        Shape (n, m): each curve of the grid at each time. Time comes first because a product with few
        rows on the left is several times as fast that way round.
    noise
        Inverse R.
    ones_ones
        Shape (p,): 1' R^-1 1.
    ones_fall, fall_fall
        Shape (p, m): 1' R^-1 g and g' R^-1 g for each curve g.
    ones_share, inverse_norm
        Shape (p, m): share of ones in each curve, and 1 through the norm of what is left of it.
    least_norm
        Shape (p, n_tau): the least of those norms at each tau.
    """

    grid: FallGrid
    falls: Floats
    noise: NoiseLayout
    ones_ones: Floats
    ones_fall: Floats
    fall_fall: Floats
    ones_share: Floats
    inverse_norm: Floats
    least_norm: Floats

    def times_falls(self, y: Floats) -> Floats:
        """Return y' R^-1 g for each phi and curve g, shape (p, m)."""
        noise, inside = self.noise, self.noise.inside
        z = noise.times(y)
        if not inside.any():
            return times_curves(z, self.falls)
        both = np.zeros((2, len(y)))
        both[0, inside] = y[inside]
        both[1, 1:-1] = np.where(inside[1:-1], y[2:] + y[:-2], 0.0)
        inner = np.stack([noise.inner_diagonal, noise.inner_beside], axis=1)
        product = inner @ times_curves(both, self.falls)
        return product + times_curves(z[:, ~inside], self.falls[~inside])


@lru_cache(maxsize=24)
def sampling_tables(times_s: tuple[float, ...]) -> SamplingTables:
    """Tables of `fall_grid` for one set of sampling times.

    Parameters
    ----------
    times_s
        At least two times from the end of the effort, s, strictly increasing.

    Returns
    -------
    SamplingTables
        Shared between calls; not to be written to.
    """
    grid, t = fall_grid(), np.array(times_s)
    whole = whole_in_table(t)
    if whole is None:
        return make_tables(grid, t, falls_on(grid, t))
    each = _each_second()
    evenly = whole[-1] - whole[0] == len(whole) - 1
    falls = each.falls[whole[0] : whole[-1] + 1] if evenly else each.falls[whole]
    noise = NoiseLayout.of(t, grid.phis, running=True)
    row_sums, edge, gap = noise.times(np.ones(len(t))), ~noise.inside, np.flatnonzero(~noise.joined)
    ones_fall = times_curves(row_sums[:, edge], falls[edge])
    if noise.inside.any():
        inner = sum_of_runs(each.running_falls, whole, noise.inside)
        ones_fall += np.outer(noise.inner_diagonal + 2.0 * noise.inner_beside, inner)
    fall_fall = quadratic(
        noise,
        whole,
        at_edges=each.squares[whole[edge]],
        over_gaps=_neighbours(falls, gap),
        running=(each.running_squares, each.running_products),
    )
    return _tables(grid, falls, noise, row_sums.sum(axis=1), (ones_fall, fall_fall))


def _neighbours(falls: Floats, at: Indices) -> Floats:
    """Twice the product of some rows with the next, shape (len(at), m)."""
    product = 2.0 * falls[:-1] if len(at) == len(falls) - 1 else 2.0 * falls[at]
    product *= falls[1:] if len(at) == len(falls) - 1 else falls[at + 1]
    return product


def make_tables(grid: FallGrid, t_s: Floats, falls: Floats) -> SamplingTables:
    """Tables of any grid for any times.

    Parameters
    ----------
    grid
        The curves.
    t_s
        Shape (n,), s, strictly increasing.
    falls
        Shape (n, m): the curves at those times.

    Returns
    -------
    SamplingTables
        The tables.
    """
    noise = NoiseLayout.of(t_s, grid.phis, running=False)
    row_sums = noise.times(np.ones(len(t_s)))
    fall_fall = times_curves(noise.diagonal, falls * falls)
    fall_fall += times_curves(noise.beside, 2.0 * falls[:-1] * falls[1:])
    return _tables(grid, falls, noise, row_sums.sum(axis=1), (times_curves(row_sums, falls), fall_fall))


def _tables(
    grid: FallGrid, falls: Floats, noise: NoiseLayout, ones_ones: Floats, products: tuple[Floats, Floats]
) -> SamplingTables:
    ones_fall, fall_fall = products
    ones_share = ones_fall / ones_ones[:, None]
    inverse_norm = 1.0 / np.maximum(fall_fall - ones_fall * ones_share, 1e-9)
    return SamplingTables(
        grid=grid,
        falls=falls,
        noise=noise,
        ones_ones=ones_ones,
        ones_fall=ones_fall,
        fall_fall=fall_fall,
        ones_share=ones_share,
        inverse_norm=inverse_norm,
        least_norm=1.0 / inverse_norm.reshape(len(grid.phis), len(grid.tau_nodes_s), -1).max(axis=2),
    )


def quadratic(
    noise: NoiseLayout,
    whole_s: Indices,
    *,
    at_edges: Floats,
    over_gaps: Floats,
    running: tuple[Floats, Floats],
) -> Floats:
    """Return f' R^-1 g for each phi and pair of curves f and g; running sums serve where R^-1 repeats itself.

    Parameters
    ----------
    noise
        Inverse R at n times.
    whole_s
        Shape (n,): the times, whole seconds.
    at_edges
        Shape (samples not inside, m): product of f and g there.
    over_gaps
        Shape (pairs not joined, m): f before each times g after it, plus f after times g before.
    running
        Shapes (seconds + 1, m) and (seconds, m): sums before each second of ``f·g``, and of f at one second
        times g at the next plus the other way round.

    Returns
    -------
    numpy.ndarray
        Shape (p, m).
    """
    product = times_curves(noise.diagonal[:, ~noise.inside], at_edges)
    if len(over_gaps):
        product += times_curves(noise.beside[:, ~noise.joined], over_gaps)
    if noise.joined.any():
        inside, joined = noise.inside, noise.joined
        sums = np.stack(
            [sum_of_runs(running[0], whole_s, inside), sum_of_runs(running[1], whole_s[:-1], joined)]
        )
        product += np.stack([noise.inner_diagonal, noise.inner_beside], axis=1) @ sums
    return product


def running_sums(rows: Floats) -> Floats:
    """Return the sums of the rows before each row, and of all, shape (n + 1, m), not to be written to."""
    total = np.concatenate([np.zeros((1, rows.shape[1])), np.cumsum(rows, axis=0)])
    total.setflags(write=False)
    return total


def sum_of_runs(running: Floats, whole_s: Indices, taken: Flags) -> Floats:
    """Sum the rows of the seconds that are taken, from running sums, shape (m,)."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], taken, [False]))))
    total = np.zeros(running.shape[1])
    for start, stop in edges.reshape(-1, 2).tolist():
        total += running[whole_s[stop - 1] + 1]
        total -= running[whole_s[start]]
    return total


def times_curves(rows: Floats, curves: Floats) -> Floats:
    """Matrix product in pieces so small that the library keeps each on one thread.

    These products take tens of microseconds; started on several threads of a busy machine they were seen
    to take a hundred times as long.

    Parameters
    ----------
    rows
        Shape (p, n), p small.
    curves
        Shape (n, m).

    Returns
    -------
    numpy.ndarray
        Shape (p, m).
    """
    width = max(SINGLE_THREAD // rows.size, 8)
    product = np.empty((len(rows), curves.shape[1]))
    for start in range(0, curves.shape[1], width):
        product[:, start : start + width] = rows @ curves[:, start : start + width]
    return product


def whole_seconds(t_s: Floats) -> tuple[float, Floats]:
    """Split times a whole number of seconds apart into a common fraction and whole seconds.

    A fall with delay d seen at ``k + fraction`` is the fall with delay ``d - fraction`` seen at k, so
    recordings at whole seconds share their tables wherever the end of the effort lies.

    Parameters
    ----------
    t_s
        Shape (n,), s.

    Returns
    -------
    fraction_s, times_s
        0 and the times themselves, where they are not whole seconds apart.
    """
    whole = np.floor(t_s[0]) + np.round(t_s - t_s[0])
    fraction = float(t_s[0] - np.floor(t_s[0]))
    if np.max(np.abs(whole + fraction - t_s)) < 1e-6:
        return fraction, whole
    return 0.0, t_s


def whole_in_table(t_s: Floats) -> Indices | None:
    """Give times as whole seconds, shape (n,), if the shared table has them all; else None."""
    whole = t_s.astype(np.int64)
    return whole if whole[0] >= 0 and whole[-1] <= TABLE_S and np.array_equal(whole, t_s) else None


@dataclass(frozen=True, slots=True)
class _EachSecond:
    """Curves of the grid at every second, their squares, and running sums, each row for a second.

    ``running_products`` sums twice the product of each curve with itself one second later.
    """

    falls: Floats
    squares: Floats
    running_falls: Floats
    running_squares: Floats
    running_products: Floats


@lru_cache(maxsize=1)
def _each_second() -> _EachSecond:
    falls = falls_on(fall_grid(), np.arange(TABLE_S + 1.0))
    falls.setflags(write=False)
    squares = falls * falls
    products = 2.0 * falls[:-1] * falls[1:]
    return _EachSecond(falls, squares, running_sums(falls), running_sums(squares), running_sums(products))
