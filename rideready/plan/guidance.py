"""What health guidance asks of an adult each week, and how vigorous minutes count in it."""

# Bull et al. 2020, World Health Organization 2020 guidelines on physical activity and sedentary behaviour,
# Br J Sports Med 54:1451-62: 150 to 300 min moderate, or 75 to 150 min vigorous, or an equivalent
# combination, and muscle strengthening of all major groups on two days or more.
LEAST_WEEKLY_MIN = 150
AMPLE_WEEKLY_MIN = 300
STRENGTH_DAYS = 2
#: One vigorous minute counts as this many moderate ones: 75 against 150.
VIGOROUS_COUNTS = 2
# Garber et al. 2011, Med Sci Sports Exerc 43:1334-59: flexibility on two or three days a week.
FLEXIBILITY_DAYS = 2


def moderate_equivalent_min(moderate_min: float, vigorous_min: float) -> float:
    """Add up a week's minutes in moderate ones: ``moderate + 2 * vigorous``.

    Near-maximal minutes count as vigorous; light ones do not count.

    Parameters
    ----------
    moderate_min, vigorous_min
        Minutes of each class, counted once, 0 or more.

    Returns
    -------
    float
        Moderate-equivalent minutes.

    Raises
    ------
    ValueError
        If a figure is negative.

    References
    ----------
    Bull et al. 2020, Br J Sports Med 54:1451-62.

    Examples
    --------
    >>> moderate_equivalent_min(60, 50)
    160
    """
    if moderate_min < 0 or vigorous_min < 0:
        raise ValueError("minutes are 0 or more")
    return moderate_min + VIGOROUS_COUNTS * vigorous_min
