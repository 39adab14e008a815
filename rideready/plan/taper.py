"""The taper before the likely opening day: when it begins and how much is left of the minutes."""

import datetime as dt
import math

from rideready.plan.calendar_weeks import monday_of

# Bosquet, Montpetit, Arvisais, Mujika 2007, Med Sci Sports Exerc 39:1358-65: two weeks, volume down
# exponentially by 41 to 60 %, intensity and frequency kept. Wang et al. 2023, PLoS ONE 18:e0282838, find the
# same cut good up to 21 days.
CUT_LEAST, CUT_MOST = 0.41, 0.60
# What is left in the first and in the second week. Both lie inside the band by themselves, so do all means;
# the ratio of the two is that of an exponential fall with a time constant of about 25 days.
LEFT_BY_WEEK = (0.57, 0.43)


def taper_start(likely: dt.date) -> dt.date:
    """Say on which Monday the taper begins.

    Weeks begin on Mondays, so "two weeks" is 11 to 17 days: with opening day from Friday to Sunday, its own
    week is the second of the taper; from Monday to Thursday, the two weeks before are the taper.

    Parameters
    ----------
    likely
        The likely opening day.

    Returns
    -------
    datetime.date
        A Monday, 11 to 17 days before.

    References
    ----------
    Bosquet et al. 2007, Med Sci Sports Exerc 39:1358-65.
    """
    weeks_before = 1 if likely.weekday() >= 4 else 2
    return monday_of(likely) - dt.timedelta(weeks=weeks_before)


def taper_minutes(usual_min: float, which: int) -> int:
    """Say how many weekly minutes the taper leaves.

    Parameters
    ----------
    usual_min
        What the weeks before the taper held, minutes.
    which
        0 for the first week, 1 for the second.

    Returns
    -------
    int
        A multiple of 5 if one lies 41 to 60 % below, else the nearest whole number that does; 0 if none.

    References
    ----------
    Bosquet et al. 2007, Med Sci Sports Exerc 39:1358-65.

    Examples
    --------
    >>> taper_minutes(400, 0), taper_minutes(400, 1)
    (230, 170)
    """
    low, high = (1 - CUT_MOST) * usual_min, (1 - CUT_LEAST) * usual_min
    wanted = LEFT_BY_WEEK[which] * usual_min
    for step in (5, 1):
        steps = range(math.ceil(low / step), math.floor(high / step) + 1)
        if steps:
            return step * min(steps, key=lambda n: abs(n * step - wanted))
    return 0
