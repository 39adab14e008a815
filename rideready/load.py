"""How much was it: training impulse, session-RPE load, monotony and strain."""

import numpy as np
import numpy.typing as npt

from rideready.errors import BadInput
from rideready.intensity import reserve_fraction, working_maximum_bpm
from rideready.model.clean import CleanSignal
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider, Sex
from rideready.model.session import FloatArray

# Banister 1991 (in MacDougall, Wenger, Green: Physiological Testing of Elite Athletes); Morton, Fitz-Clarke,
# Banister 1990, J Appl Physiol 69:1171-7. Both constants differ by sex; some pages keep 0.64 for women.
_TRIMP_CONSTANTS = {Sex.MALE: (0.64, 1.92), Sex.FEMALE: (0.86, 1.67)}


def why_no_trimp(signal: CleanSignal, rider: Rider) -> Reason | None:
    """Say why a session has no training impulse; None if it has one.

    Parameters
    ----------
    signal
        Clean heart rate.
    rider
        Whose rest, maximum, sex and medicine decide it.
    """
    if rider.takes_heart_rate_medicine:
        return because("intensity.medicine")
    if rider.resting_hr_bpm is None or working_maximum_bpm(rider) is None:
        return because("load.no_reserve")
    if rider.sex is None:
        return because("load.no_sex")
    return None if np.isfinite(signal.hr_bpm).any() else because("load.no_heart_rate")


def trimp(signal: CleanSignal, rider: Rider) -> float | None:
    """Give a session's training impulse (TRIMP), summed second by second.

    ``sum over seconds of (1/60) * x * a * exp(b * x)``, ``x = (hr - rest) / (max - rest)``, with a = 0.64,
    b = 1.92 for men and a = 0.86, b = 1.67 for women. Summed by samples, not from the mean: the weight is
    convex, so the mean heart rate understates interval work.

    Seconds without a trustworthy heart rate add nothing, so the figure is a floor where many are missing
    (see ``signal.clean_share``). Below rest x counts as 0. With the sex unknown there is no figure: at the
    same heart rate the two curves differ by 5 % at the maximum and 19 % at half the reserve, and neither
    their mean nor one of them taken for granted is a published quantity.

    Parameters
    ----------
    signal
        Clean heart rate on its 1 s grid.
    rider
        Rest, maximum (measured or predicted) and sex.

    Returns
    -------
    float or None
        TRIMP, arbitrary units; None if `why_no_trimp` has a reason.

    References
    ----------
    Banister 1991, Modeling elite athletic performance. Morton, Fitz-Clarke, Banister 1990, J Appl Physiol
    69:1171-7.
    """
    if rider.sex is None or why_no_trimp(signal, rider) is not None:
        return None
    scale, growth = _TRIMP_CONSTANTS[rider.sex]
    x = np.maximum(reserve_fraction(signal.hr_bpm[np.isfinite(signal.hr_bpm)], rider), 0.0)
    return float(np.sum(x * scale * np.exp(growth * x)) / 60)


def session_rpe_load(rpe: float, minutes: float) -> float:
    """Give a session's load from how hard it felt: ``rpe * minutes``.

    Parameters
    ----------
    rpe
        Rating of the whole session, 0 (rest) to 10 (maximal), asked about half an hour after.
    minutes
        Length of the session, min.

    Returns
    -------
    float
        Load, arbitrary units.

    Raises
    ------
    BadInput
        If the rating or the length cannot be.

    References
    ----------
    Foster et al. 2001, J Strength Cond Res 15:109-15.

    Examples
    --------
    >>> session_rpe_load(7, 60)
    420.0
    """
    if not 0 <= rpe <= 10:
        raise BadInput(f"a session is rated from 0 to 10, not {rpe:g}", "session RPE")
    if not 0 <= minutes < float("inf"):
        raise BadInput(f"a session cannot last {minutes:g} minutes", "session RPE")
    return float(rpe * minutes)


def _week(daily_loads: npt.ArrayLike) -> FloatArray:
    loads = np.asarray(daily_loads, dtype=float)
    if loads.shape != (7,) or not np.isfinite(loads).all() or (loads < 0).any():
        raise ValueError("daily_loads must be seven finite loads of 0 or more, rest days as 0")
    return loads


def monotony(daily_loads: npt.ArrayLike) -> float | None:
    """Say how alike the days of a week were: mean daily load over its standard deviation.

    The sample standard deviation (divisor 6) is used; the papers do not say which, and the population
    one gives figures 8 % higher.

    Parameters
    ----------
    daily_loads
        Shape (7,), any load unit, rest days as 0.

    Returns
    -------
    float or None
        Monotony, no unit; None if all seven days are equal, a week of rest included.

    Raises
    ------
    ValueError
        If there are not seven finite loads of 0 or more.

    References
    ----------
    Foster 1998, Med Sci Sports Exerc 30:1164-8.
    """
    loads = _week(daily_loads)
    if np.ptp(loads) == 0:
        return None
    return float(loads.mean() / loads.std(ddof=1))


def strain(daily_loads: npt.ArrayLike) -> float | None:
    """Give a week's strain: its load times its monotony.

    Parameters
    ----------
    daily_loads
        Shape (7,), any load unit, rest days as 0.

    Returns
    -------
    float or None
        Strain, in the unit of the loads; None where the monotony is.

    Raises
    ------
    ValueError
        If there are not seven finite loads of 0 or more.

    References
    ----------
    Foster 1998, Med Sci Sports Exerc 30:1164-8.
    """
    evenness = monotony(daily_loads)
    return None if evenness is None else float(_week(daily_loads).sum() * evenness)
