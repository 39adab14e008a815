"""What each week up to opening day is for: build, practise bursts, taper; and which weeks are easier."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from rideready.model.season import OpeningWindow, Phase
from rideready.plan.calendar_weeks import monday_of, weeks_between
from rideready.plan.taper import taper_start

# Easier weeks: every fourth at the latest, every third where that fits the taper better. Common practice, no source.
LONGEST_RUN = 3
# Burst practice takes the last third of the weeks before the taper, at most four; and at least three weeks
# before the earliest opening day, so that the floor's two practices are behind the rider by then. Ours.
_BURST_SHARE = 3
_MOST_BURST_WEEKS = 4
_WEEKS_BEFORE_EARLIEST = 3

# What it costs to end a run of weeks early, by its length; and to go into the taper straight from an easier
# week, or after one week only. Only their order matters.
_SHORT_RUN_COST = {0: 9, 1: 4, 2: 1}
_TAPER_AFTER_COST = {0: 12, 1: 2}


@dataclass(frozen=True, slots=True)
class Row:
    """One week of the calendar.

    Parameters
    ----------
    start, last_day
        Its Monday and its last day for training.
    phase
        What it is for.
    taper_week
        0 or 1 in the taper, else None.
    ends_with_eve
        Whether its last day is the day before the likely opening day.
    """

    start: dt.date
    last_day: dt.date
    phase: Phase
    taper_week: int | None
    ends_with_eve: bool


def burst_start(window: OpeningWindow, began: dt.date) -> dt.date:
    """Say on which Monday burst practice begins.

    Parameters
    ----------
    window
        The opening window.
    began
        Day on which the first plan was made; the share of the weeks is taken from it.

    Returns
    -------
    datetime.date
        A Monday not before that of ``began``.
    """
    first, taper = monday_of(began), taper_start(window.likely)
    weeks = max(weeks_between(first, taper), 0)
    late = taper - dt.timedelta(weeks=min(-(-weeks // _BURST_SHARE), _MOST_BURST_WEEKS))
    early = monday_of(window.earliest) - dt.timedelta(weeks=_WEEKS_BEFORE_EARLIEST)
    return max(min(late, early), first)


def calendar(window: OpeningWindow, today: dt.date, began: dt.date) -> list[Row]:
    """Lay out the weeks from today's to that of the likely opening day.

    Parameters
    ----------
    window
        The opening window; its likely day is not before today.
    today
        The day of planning.
    began
        Day on which the first plan was made.

    Returns
    -------
    list of Row
        In order, at least one.
    """
    taper, bursts = taper_start(window.likely), burst_start(window, began)
    last, monday = monday_of(window.likely), monday_of(today)
    rows = []
    eve = window.likely - dt.timedelta(days=1)
    while monday <= last:
        end = min(monday + dt.timedelta(days=6), eve)
        week = weeks_between(taper, monday)
        if week > 1:
            phase = Phase.OPENING
        elif week >= 0:
            phase = Phase.TAPER
        else:
            phase = Phase.BURSTS if monday >= bursts else Phase.BUILD
        rows.append(Row(monday, end, phase, week if phase is Phase.TAPER else None, end == eve))
        monday += dt.timedelta(weeks=1)
    return rows


def easier_weeks(count: int, run: int, *, forced: Sequence[int] = ()) -> frozenset[int]:
    """Choose the easier ones among the weeks before the taper.

    No more than three weeks in a row without one, runs as long as that allows, and the taper not
    straight after one: the cheapest choice by exact search, the later easier week winning a tie.

    Parameters
    ----------
    count
        Weeks before the taper, this one included.
    run
        Weeks kept up since the last easier one.
    forced
        Weeks that are easy anyway (days away, illness), numbered from 0.

    Returns
    -------
    frozenset of int
        Numbers of the easier weeks, the forced ones included.
    """

    @cache
    def cheapest(week: int, behind: int) -> tuple[int, tuple[int, ...]]:
        if week == count:
            return _TAPER_AFTER_COST.get(behind, 0), ()
        if week in forced:
            cost, rest = cheapest(week + 1, 0)
            return cost, (week, *rest)
        eased, rest_eased = cheapest(week + 1, 0)
        eased += _SHORT_RUN_COST.get(behind, 0) if behind < LONGEST_RUN else 0
        if behind >= LONGEST_RUN:
            return eased, (week, *rest_eased)
        kept, rest_kept = cheapest(week + 1, behind + 1)
        return (kept, rest_kept) if kept <= eased else (eased, (week, *rest_eased))

    return frozenset(cheapest(0, min(run, LONGEST_RUN))[1])
