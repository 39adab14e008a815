"""How hard was it: fraction of the reserve, predicted maximum, intensity classes, minutes in each."""

from enum import IntEnum, StrEnum
from typing import overload

import numpy as np
import numpy.typing as npt

from rideready.model.clean import CleanSignal
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.session import FloatArray


class IntensityClass(IntEnum):
    """The five classes of Garber et al. 2011; the edition matters, older ones have other bounds."""

    VERY_LIGHT = 0
    LIGHT = 1
    MODERATE = 2
    VIGOROUS = 3
    NEAR_MAXIMAL = 4

    @property
    def label(self) -> str:
        """The class as the literature writes it."""
        return _LABELS[self]


_LABELS = {
    IntensityClass.VERY_LIGHT: "very light",
    IntensityClass.LIGHT: "light",
    IntensityClass.MODERATE: "moderate",
    IntensityClass.VIGOROUS: "vigorous",
    IntensityClass.NEAR_MAXIMAL: "near-maximal to maximal",
}

# Garber et al. 2011, Med Sci Sports Exerc 43:1334-59, doi 10.1249/MSS.0b013e318213fefb: where light,
# moderate, vigorous and near-maximal begin. Each class is half open, so 40 % is moderate and 39.9 % light.
# One reprint begins the last class at 95 % of maximum; 96 is the more frequent reading.
_EDGES_OF_RESERVE = (0.30, 0.40, 0.60, 0.90)
_EDGES_OF_MAXIMUM = (0.57, 0.64, 0.77, 0.96)


class MaximumEquation(StrEnum):
    """Published predictions of maximum heart rate from age alone."""

    FOX = "Fox 1971"
    TANAKA = "Tanaka 2001"
    GELLISH = "Gellish 2007"
    GELLISH_REGRESSION = "Gellish 2007, regression as printed"
    NES = "Nes 2013"

    @property
    def see_bpm(self) -> float:
        """Standard error of estimate, bpm: about two people in three lie within it."""
        return _PREDICTIONS[self][2]


# Intercept (bpm), fall per year (bpm), standard error of estimate (bpm). The equations are from the papers
# named; the errors: Fox as reviewed by Robergs, Landwehr 2002, JEPonline 5(2):1-10 (SD 10 to 12, the middle
# stands here); Nes 10.8 as printed; Tanaka about 10 and Gellish up to 8 from memory.
_PREDICTIONS = {
    MaximumEquation.FOX: (220.0, 1.0, 11.0),
    MaximumEquation.TANAKA: (208.0, 0.7, 10.0),
    MaximumEquation.GELLISH: (207.0, 0.7, 8.0),
    MaximumEquation.GELLISH_REGRESSION: (206.9, 0.67, 8.0),
    MaximumEquation.NES: (211.0, 0.64, 10.8),
}


def predicted_maximum_bpm(age_years: float, equation: MaximumEquation = MaximumEquation.TANAKA) -> float:
    """Predict the maximum heart rate from age.

    ``maximum = a - b * age``. It misleads by ten beats or more in a third of people; a measured
    maximum always wins.

    Parameters
    ----------
    age_years
        Age, 8 to 110 years.
    equation
        Which published line; its error is ``equation.see_bpm``.

    Returns
    -------
    float
        Predicted maximum, bpm.

    Raises
    ------
    ValueError
        If the age lies outside what a rider can have.

    References
    ----------
    Fox, Naughton, Haskell 1971, Ann Clin Res 3:404-32. Tanaka, Monahan, Seals 2001, J Am Coll Cardiol
    37:153-6. Gellish et al. 2007, Med Sci Sports Exerc 39:822-9. Nes et al. 2013, Scand J Med Sci Sports
    23:697-704.

    Examples
    --------
    >>> predicted_maximum_bpm(40)
    180.0
    """
    if not 8 <= age_years <= 110:
        raise ValueError(f"age_years is {age_years}; it should lie between 8 and 110")
    at_birth, per_year, _ = _PREDICTIONS[equation]
    return at_birth - per_year * age_years


def working_maximum_bpm(rider: Rider) -> float | None:
    """Say which maximum heart rate to work with: the measured one, else predicted from age (Tanaka 2001).

    Parameters
    ----------
    rider
        A rider on a medicine that alters the pulse gets no prediction: the equations were made without.

    Returns
    -------
    float or None
        Maximum, bpm; None if neither is to be had.

    References
    ----------
    Tanaka, Monahan, Seals 2001, J Am Coll Cardiol 37:153-6.
    """
    if rider.max_hr_bpm is not None:
        return rider.max_hr_bpm
    if rider.age_years is None or rider.takes_heart_rate_medicine:
        return None
    return predicted_maximum_bpm(rider.age_years)


@overload
def reserve_fraction(hr_bpm: float, rider: Rider) -> float: ...
@overload
def reserve_fraction(hr_bpm: FloatArray, rider: Rider) -> FloatArray: ...


def reserve_fraction(hr_bpm: float | FloatArray, rider: Rider) -> float | FloatArray:
    """Say which fraction of the heart-rate reserve a heart rate is.

    ``(hr - rest) / (max - rest)``. Below rest it is negative, above the maximum more than 1; neither is cut.

    Parameters
    ----------
    hr_bpm
        A heart rate or an array of any shape, bpm; NaN stays NaN.
    rider
        Resting and maximum heart rate.

    Returns
    -------
    float or ndarray
        As ``hr_bpm``, as a fraction; NaN throughout if rest or maximum is unknown.

    References
    ----------
    Karvonen, Kentala, Mustala 1957, Ann Med Exp Biol Fenn 35:307-15.

    Examples
    --------
    >>> reserve_fraction(144.0, Rider(max_hr_bpm=200, resting_hr_bpm=60))
    0.6
    """
    maximum, rest = working_maximum_bpm(rider), rider.resting_hr_bpm
    if maximum is None or rest is None:
        return hr_bpm * np.nan
    return (hr_bpm - rest) / (maximum - rest)


def target_bpm(fraction: float, rider: Rider) -> float | None:
    """Say which heart rate a fraction of the reserve is: ``rest + fraction * (max - rest)``.

    Parameters
    ----------
    fraction
        Fraction of the reserve, usually 0 to 1.
    rider
        Resting and maximum heart rate.

    Returns
    -------
    float or None
        Heart rate, bpm; None if rest or maximum is unknown.

    References
    ----------
    Karvonen, Kentala, Mustala 1957, Ann Med Exp Biol Fenn 35:307-15.

    Examples
    --------
    >>> target_bpm(0.6, Rider(max_hr_bpm=200, resting_hr_bpm=60))
    144.0
    """
    maximum, rest = working_maximum_bpm(rider), rider.resting_hr_bpm
    if maximum is None or rest is None:
        return None
    return rest + fraction * (maximum - rest)


def why_no_classes(rider: Rider) -> Reason | None:
    """Say why heart rate gives this rider no intensity classes; None if it does.

    Parameters
    ----------
    rider
        Whose maximum, age and medicine decide it.
    """
    if rider.takes_heart_rate_medicine:
        return because("intensity.medicine")
    return because("intensity.no_maximum") if working_maximum_bpm(rider) is None else None


def _edges_bpm(rider: Rider) -> FloatArray | None:
    """Where light, moderate, vigorous and near-maximal begin, bpm."""
    maximum, rest = working_maximum_bpm(rider), rider.resting_hr_bpm
    if maximum is None or rider.takes_heart_rate_medicine:
        return None
    if rest is None:
        return maximum * np.array(_EDGES_OF_MAXIMUM)
    return rest + (maximum - rest) * np.array(_EDGES_OF_RESERVE)


def class_bounds_bpm(rider: Rider) -> list[tuple[IntensityClass, float, float]]:
    """Give each intensity class its heart rates: by reserve, or by maximum where rest is unknown.

    The classes are half open, ``low <= hr < high``. The lowest is drawn from rest (0 if unknown) and the
    highest up to the maximum, but `classify` also counts what lies beyond.

    Parameters
    ----------
    rider
        Whose rest and maximum.

    Returns
    -------
    list of (IntensityClass, float, float)
        Class, low and high in bpm, from very light up; empty if `why_no_classes` has a reason.

    References
    ----------
    Garber et al. 2011, Med Sci Sports Exerc 43:1334-59.
    """
    edges = _edges_bpm(rider)
    maximum = working_maximum_bpm(rider)
    if edges is None or maximum is None:
        return []
    ends = [rider.resting_hr_bpm or 0.0, *edges.tolist(), maximum]
    return list(zip(IntensityClass, ends[:-1], ends[1:], strict=True))


def classify(hr_bpm: npt.ArrayLike, rider: Rider) -> npt.NDArray[np.int64]:
    """Say which intensity class each heart rate falls into.

    Parameters
    ----------
    hr_bpm
        Any shape, bpm; NaN where absent.
    rider
        Whose rest and maximum.

    Returns
    -------
    ndarray of int
        Values of `IntensityClass`, same shape; -1 where absent, and everywhere if there are no classes.

    References
    ----------
    Garber et al. 2011, Med Sci Sports Exerc 43:1334-59.
    """
    hr = np.asarray(hr_bpm, dtype=float)
    edges = _edges_bpm(rider)
    if edges is None:
        return np.full(hr.shape, -1, dtype=np.int64)
    classes = np.digitize(hr, edges).astype(np.int64)
    return np.where(np.isnan(hr), np.int64(-1), classes)


def minutes_in_class(signal: CleanSignal, rider: Rider) -> dict[IntensityClass, float]:
    """Say how many minutes of a session were spent in each intensity class.

    Every second with a trustworthy heart rate counts as one; flagged seconds count nowhere, so the sum
    is the session's clean time, not its length.

    Parameters
    ----------
    signal
        Clean heart rate on its 1 s grid.
    rider
        Whose rest and maximum.

    Returns
    -------
    dict
        Minutes by class, all five present; empty if `why_no_classes` has a reason.

    References
    ----------
    Garber et al. 2011, Med Sci Sports Exerc 43:1334-59.
    """
    if why_no_classes(rider) is not None:
        return {}
    classes = classify(signal.hr_bpm, rider)
    seconds = np.bincount(classes[classes >= 0], minlength=len(IntensityClass))
    return {which: float(seconds[which]) / 60 for which in IntensityClass}
