"""How much does one session's figure vary by itself, and which change stands out of that."""

import numpy as np
import numpy.typing as npt


def typical_error(first: npt.ArrayLike, second: npt.ArrayLike) -> float:
    """Give the typical error of a measurement from pairs of it.

    ``TE = SD(second - first) / sqrt(2)``. A change common to all pairs drops out.

    Parameters
    ----------
    first, second
        Shape (n,), n >= 2, paired, same unit.

    Returns
    -------
    float
        Typical error in that unit.

    Raises
    ------
    ValueError
        If there are fewer than two pairs.

    References
    ----------
    Hopkins 2000, Sports Med 30:1-15.

    Examples
    --------
    >>> round(typical_error([30, 35, 28, 40, 33], [32, 33, 30, 43, 33]), 4)
    1.4142
    """
    differences = np.asarray(second, dtype=float) - np.asarray(first, dtype=float)
    if differences.size < 2:
        raise ValueError("a typical error needs two pairs")
    return float(differences.std(ddof=1) / np.sqrt(2))


def minimal_detectable_change(typical_error: float, *, n_each: int = 1) -> float:
    """Say which change between two figures stands out of the typical error with 95 % confidence.

    ``MDC = 1.96 * sqrt(2) * TE / sqrt(n)`` where each figure is the mean of ``n`` sessions.

    Parameters
    ----------
    typical_error
        Of one session's figure, any unit.
    n_each
        Sessions on either side.

    Returns
    -------
    float
        In the unit of ``typical_error``.

    References
    ----------
    Hopkins 2000, Sports Med 30:1-15.

    Examples
    --------
    >>> round(minimal_detectable_change(3.0), 2)
    8.32
    """
    return 1.96 * float(np.sqrt(2 / n_each)) * typical_error
