"""How much next week may ask, from what was really done in the last four."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rideready.model.exercise import Level
from rideready.plan.guidance import LEAST_WEEKLY_MIN

# About 10 % a week is a rule of thumb, common practice without a good source: a randomised trial of it found
# no fewer injuries (Buist et al. 2008, Am J Sports Med 36:33-9). It is kept because steps far above it, over
# 30 % in two weeks, went with more running injuries (Nielsen et al. 2014, J Orthop Sports Phys Ther 44:739-47).
STEP_SHARE = 0.10
# 10 % of little is nothing: below the health guidance the step is a quarter of an hour a week. At 150 min both
# steps are the same. Common practice, no source.
STEP_MIN = 15.0
STEP_VIGOROUS_MIN = 5.0
# A week that stands out above every other counts only this far: one week is not a habit. The 30 % are Nielsen's.
SPIKE = 1.30
WINDOW_WEEKS = 4
MEMORY_WEEKS = 8

# Where a plan starts that has nothing to start from: three pieces of 20, 25 or 30 min, and a few
# vigorous minutes in them. Common practice, no source.
START_MIN = {Level.BEGINNER: 60.0, Level.INTERMEDIATE: 75.0, Level.ADVANCED: 90.0}
START_VIGOROUS_MIN = {Level.BEGINNER: 10.0, Level.INTERMEDIATE: 16.0, Level.ADVANCED: 24.0}

# What an easier week asks of the weeks before it, and which share of them reads as one. Common practice.
EASIER_SHARE = 0.80
_EASIER_LOW, _EASIER_HIGH = 0.60, 0.88
_KEPT_UP = 0.90


@dataclass(frozen=True, slots=True)
class Ramp:
    """What the last weeks carry.

    Parameters
    ----------
    base_min
        Weekly minutes the rider is used to.
    limit_min
        The most next week may ask; never below the start for the rider's level.
    is_after_easier
        Whether last week was an easier one.
    last_min
        What last week held.
    """

    base_min: float
    limit_min: float
    is_after_easier: bool
    last_min: float


def reads_as_easier(weeks: Sequence[float], index: int) -> bool:
    """Say whether a week was an easier one among weeks that were kept up, rather than a lost one.

    It is if it holds 60 to 88 % of the biggest of the three weeks before, and the week right before
    held at least 90 % of that. A climb back after a lost week is none.

    Parameters
    ----------
    weeks
        Minutes really done, week by week, oldest first.
    index
        Which week; without a week before, none is easier.

    Returns
    -------
    bool
        Whether it reads as easier.
    """
    before = weeks[max(index - 3, 0) : index]
    if not before or max(before) <= 0:
        return False
    biggest = max(before)
    return _EASIER_LOW <= weeks[index] / biggest <= _EASIER_HIGH and before[-1] >= _KEPT_UP * biggest


def weeks_since_easier(weeks: Sequence[float], *, at_most: int) -> int:
    """Count the weeks kept up since the last easier or lost one.

    Parameters
    ----------
    weeks
        Minutes really done, oldest first.
    at_most
        Where to stop counting.

    Returns
    -------
    int
        0 to ``at_most``.
    """
    count = 0
    for index in range(len(weeks) - 1, -1, -1):
        biggest = max(weeks[max(index - 3, 0) : index + 1])
        if count >= at_most or weeks[index] < _EASIER_HIGH * biggest or weeks[index] <= 0:
            break
        count += 1
    return count


def ramp_from(weeks: Sequence[float], *, start_min: float) -> Ramp:
    """Say how much next week may ask.

    The base is the larger of last week and the mean of the last four, easier weeks aside and a week
    that stands more than 30 % above every other of the last eight counted only so far. The limit is
    the base and a step: 10 % or 15 min, whichever is more; after an easier week none, except up to
    the health guidance. Lost weeks count as what they were. It says nothing about injuries.

    Parameters
    ----------
    weeks
        Moderate-equivalent minutes really done, oldest first; eight are looked at.
    start_min
        The least limit: where a rider starts who has done nothing.

    Returns
    -------
    Ramp
        Base and limit, minutes.

    References
    ----------
    Common practice, no source. Against it: Buist et al. 2008, Am J Sports Med 36:33-9. For a bound:
    Nielsen et al. 2014, J Orthop Sports Phys Ther 44:739-47.

    Examples
    --------
    >>> round(ramp_from([200, 200, 200, 200], start_min=60).limit_min, 1)
    220.0
    """
    weeks = weeks[-MEMORY_WEEKS:]
    if not weeks:
        return Ramp(0.0, start_min, is_after_easier=False, last_min=0.0)
    second = sorted(weeks)[-2] if len(weeks) > 1 else 0.0
    cap = max(start_min, SPIKE * second)
    recent = range(max(len(weeks) - WINDOW_WEEKS, 0), len(weeks))
    loaded = [min(weeks[i], cap) for i in recent if not reads_as_easier(weeks, i)]
    base = max(sum(loaded) / len(loaded), loaded[-1]) if loaded else min(weeks[-1], cap)
    step = max(STEP_SHARE * base, STEP_MIN)
    after_easier = reads_as_easier(weeks, len(weeks) - 1)
    if after_easier:
        step = min(max(LEAST_WEEKLY_MIN - base, 0.0), STEP_MIN)
    return Ramp(base, max(base + step, start_min), after_easier, weeks[-1])


def vigorous_limit(weeks: Sequence[float], *, start_min: float) -> float:
    """Say how many vigorous minutes next week may hold: the same rule with a step of 10 % or 5 min.

    Parameters
    ----------
    weeks
        Vigorous minutes really done, oldest first; four are looked at.
    start_min
        The least limit.

    Returns
    -------
    float
        Minutes.

    References
    ----------
    Common practice, no source.
    """
    recent = weeks[-WINDOW_WEEKS:]
    if not recent:
        return start_min
    pairs = [max(pair) for pair in pairwise(recent)] or list(recent)
    base = max(sum(recent) / len(recent), pairs[-1])
    return max(base + max(STEP_SHARE * base, STEP_VIGOROUS_MIN), start_min)
