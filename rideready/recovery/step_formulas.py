"""The published formulas of the step tests: index and oxygen uptake."""

from collections.abc import Sequence

from rideready.model.rider import Sex

#: The Harvard test ends here, s.
HARVARD_FULL_S = 300.0
#: Counts of the Harvard test: begin after the stop and length, s (Brouha 1943).
HARVARD_COUNTS_S = ((60.0, 30.0), (120.0, 30.0), (180.0, 30.0))
#: Count of the YMCA test (Golding 2000): it may begin up to 5 s after the stop, so the middle stands here.
YMCA_COUNT_S = (2.5, 60.0)
#: Count of the Queens College test (McArdle et al. 1972).
QUEENS_COUNT_S = (5.0, 15.0)
#: Intercept and fall per bpm, ml/kg/min. Women: McArdle et al. 1972, Med Sci Sports 4:182-6; men: the same
#: group; both as several teaching pages print them.
UPTAKE_LINES = {Sex.MALE: (111.33, 0.42), Sex.FEMALE: (65.81, 0.1847)}
#: The abstract puts one standard error at 2.9 ml/kg/min, 8 % of the measured value, in 41 women; textbooks
#: carry the two standard errors as "within 16 %".
UPTAKE_ERROR = 0.16


def harvard_index(seconds: float, counts: Sequence[float]) -> float:
    """Give the fitness index of the Harvard step test.

    ``index = 100 * seconds / (2 * (P1 + P2 + P3))``, P the beats counted 60-90, 120-150 and 180-210 s
    after the stop. It misleads where the stepping was slowed down rather than stopped.

    Parameters
    ----------
    seconds
        How long the stepping lasted, s, above 0 and up to 300.
    counts
        Shape (3,), beats in 30 s each.

    Returns
    -------
    float
        Index, a pure number.

    References
    ----------
    Brouha 1943, Res Q 14:31-36.

    Examples
    --------
    >>> harvard_index(300, (90, 80, 70))
    62.5
    """
    return 100.0 * seconds / (2.0 * sum(counts))


def harvard_short_index(seconds: float, first_count: float) -> float:
    """Give the short form of the Harvard index, from the first count alone.

    ``index = 100 * seconds / (5.5 * P1)``.

    Parameters
    ----------
    seconds
        How long the stepping lasted, s.
    first_count
        Beats 60-90 s after the stop.

    Returns
    -------
    float
        Index, a pure number; not quite the same as the long form's.

    References
    ----------
    Brouha 1943, Res Q 14:31-36 (as teaching pages print it).

    Examples
    --------
    >>> round(harvard_short_index(150, 80), 3)
    34.091
    """
    return 100.0 * seconds / (5.5 * first_count)


def queens_college_uptake(pulse_bpm: float, sex: Sex) -> float:
    """Estimate maximal oxygen uptake from the pulse after the Queens College step test.

    Men: ``111.33 - 0.42 * pulse``; women: ``65.81 - 0.1847 * pulse``. Off by more than 16 % for about one
    person in twenty, and made with students.

    Parameters
    ----------
    pulse_bpm
        Heart rate 5 to 20 s after the stop, bpm: four times the 15 s count.
    sex
        Which line.

    Returns
    -------
    float
        ml/kg/min.

    References
    ----------
    McArdle, Katch, Pechar, Jacobson, Ruck 1972, Med Sci Sports 4:182-6.

    Examples
    --------
    >>> round(queens_college_uptake(160, Sex.MALE), 2)
    44.13
    """
    at_zero, per_bpm = UPTAKE_LINES[sex]
    return at_zero - per_bpm * pulse_bpm
