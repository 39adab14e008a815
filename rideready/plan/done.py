"""What a recorded or logged session counts for in the plan."""

import datetime as dt
from collections.abc import Mapping

from rideready.errors import BadInput
from rideready.intensity import IntensityClass
from rideready.model.session import Kind
from rideready.model.week import WHOLE_BODY, DoneSession, SessionKind
from rideready.plan.guidance import moderate_equivalent_min

# A session is hard from ten vigorous minutes on, or rated 7 ("very hard", Foster et al. 2001, from memory) or more.
_HARD_VIGOROUS_MIN = 10.0
_HARD_RPE = 7
# Without heart rate, the rating decides what the minutes were: 3 and 4 moderate, from 5 on vigorous (same scale).
_MODERATE_RPE, _VIGOROUS_RPE = 3, 5
_COUNTS_AS = {Kind.CIRCUIT: SessionKind.CIRCUIT, Kind.STRENGTH: SessionKind.STRENGTH}
_WITHOUT_MINUTES = frozenset({SessionKind.STRENGTH, SessionKind.MOBILITY})
_WHOLE_BODY_KINDS = frozenset({SessionKind.CIRCUIT, SessionKind.STRENGTH})


def done_session(
    day: dt.date,
    kind: Kind,
    minutes: float,
    *,
    minutes_by_class: Mapping[IntensityClass, float] | None = None,
    rpe: float | None = None,
    counts_as: SessionKind | None = None,
) -> DoneSession:
    """Say what a session counts for in the plan.

    Minutes come from the heart rate where it was recorded; else from the rating; else steady sessions count as
    moderate throughout, which flatters them. Strength and mobility count no minutes.

    Parameters
    ----------
    day
        Local day.
    kind
        What was done.
    minutes
        How long it took, 0 or more.
    minutes_by_class
        Minutes in each intensity class; None or empty if there was no heart rate.
    rpe
        The rating, 0 to 10; None if not rated.
    counts_as
        What it counts as, where the rider says so (burst practice, stretching); None goes by ``kind``.

    Returns
    -------
    DoneSession
        For `rideready.plan.week.plan_week` and `rideready.plan.history.week_done_from`.

    Raises
    ------
    BadInput
        If the rating lies outside 0 to 10.

    References
    ----------
    Bull et al. 2020, Br J Sports Med 54:1451-62 (a vigorous minute counts as two). Foster et al. 2001, J Strength
    Cond Res 15:109-15 (ratings, from memory).
    """
    if rpe is not None and not 0 <= rpe <= 10:
        raise BadInput(f"the rating (RPE) is {rpe:g}; it should lie between 0 and 10", "session")
    sort = counts_as or _COUNTS_AS.get(kind, SessionKind.EASY)
    moderate, vigorous = _minutes(sort, minutes, minutes_by_class, rpe)
    is_hard = vigorous >= _HARD_VIGOROUS_MIN or (rpe or 0) >= _HARD_RPE
    is_hard = is_hard or kind is Kind.TEST or sort in {SessionKind.CIRCUIT, SessionKind.BURSTS}
    return DoneSession(
        day,
        sort,
        minutes,
        moderate_equivalent_min(moderate, vigorous),
        vigorous,
        WHOLE_BODY if sort in _WHOLE_BODY_KINDS else frozenset(),
        is_hard=is_hard,
    )


def _minutes(
    sort: SessionKind,
    minutes: float,
    minutes_by_class: Mapping[IntensityClass, float] | None,
    rpe: float | None,
) -> tuple[float, float]:
    """Moderate and vigorous minutes, each counted once."""
    if sort in _WITHOUT_MINUTES:
        return 0.0, 0.0
    if minutes_by_class:
        hard = (IntensityClass.VIGOROUS, IntensityClass.NEAR_MAXIMAL)
        return (
            minutes_by_class.get(IntensityClass.MODERATE, 0.0),
            sum(minutes_by_class.get(which, 0.0) for which in hard),
        )
    if rpe is None or _MODERATE_RPE <= rpe < _VIGOROUS_RPE:
        return minutes, 0.0
    return (0.0, minutes) if rpe >= _VIGOROUS_RPE else (0.0, 0.0)
