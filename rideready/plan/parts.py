"""A session part by part, with how hard each part is, and its form for when there are only 20 minutes."""

from rideready.intensity import IntensityClass, target_bpm, why_no_classes
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.season import Targets
from rideready.model.today import SessionPart
from rideready.model.week import Form, PlannedSession, SessionKind
from rideready.plan.effort import burst_effort, effort_in
from rideready.plan.sizes import (
    BURST_WARM_UP_MIN,
    COOL_DOWN_MIN,
    SHORT_CIRCUIT_MIN,
    SHORT_COOL_DOWN_MIN,
    SHORT_LEAD_IN_MIN,
    SHORT_STRENGTH_MIN,
    burst_set_min,
    mobility_session,
)

SHORT_DAY_MIN = 20
_SHORT_BURSTS, _SHORT_BURST_WARM_UP_MIN = 6, 6


def parts_of(session: PlannedSession, targets: Targets, rider: Rider) -> tuple[SessionPart, ...]:
    """Split a session into its parts, each with its minutes and how hard it is.

    Parameters
    ----------
    session
        What is planned.
    targets
        The week's targets, for the number of bursts.
    rider
        Whose pulse numbers.

    Returns
    -------
    tuple of SessionPart
        Their minutes add up to the session's.
    """
    if session.kind is SessionKind.CIRCUIT:
        cool_down = COOL_DOWN_MIN if session.form is Form.FULL else SHORT_COOL_DOWN_MIN
        lead_in = session.minutes - session.vigorous_min - cool_down
        return _circuit(lead_in, session.vigorous_min, cool_down, rider)
    if session.kind is SessionKind.BURSTS:
        return _bursts(targets.bursts, BURST_WARM_UP_MIN, session.minutes, rider)
    if session.kind is SessionKind.STRENGTH:
        code = "season.how_strength_short" if session.form is Form.SHORT else "season.how_strength"
        what = {Form.LEGS: "strength, legs", Form.UPPER_AND_TRUNK: "strength, upper body and trunk"}
        return (SessionPart(what.get(session.form, "strength"), session.minutes, None, because(code)),)
    if session.kind is SessionKind.MOBILITY:
        return (SessionPart("mobility", session.minutes, None, because("season.how_mobility")),)
    effort = effort_in(IntensityClass.MODERATE, rider)
    return (SessionPart(session.kind.value, session.minutes, effort, because("season.how_steady")),)


def way_back_part(minutes: int, rider: Rider) -> SessionPart:
    """Make the easy piece of a day on the way back from an illness."""
    return SessionPart(
        "easy piece", minutes, effort_in(IntensityClass.LIGHT, rider), because("season.how_way_back")
    )


def short_parts_of(
    sessions: tuple[PlannedSession, ...], targets: Targets, rider: Rider
) -> tuple[SessionPart, ...]:
    """Say what to do of a day's sessions with 20 minutes: its hardest, shortened; what fits stays as it is.

    Parameters
    ----------
    sessions
        The day's sessions, hardest first; none on a day of rest.
    targets
        The week's targets.
    rider
        Whose pulse numbers.

    Returns
    -------
    tuple of SessionPart
        20 minutes at most.
    """
    if not sessions:
        return (_rest_part(),)
    first = sessions[0]
    if first.minutes <= SHORT_DAY_MIN:
        return parts_of(first, targets, rider)
    if first.kind is SessionKind.CIRCUIT:
        work = min(first.vigorous_min, SHORT_CIRCUIT_MIN)
        return _circuit(SHORT_LEAD_IN_MIN, work, SHORT_COOL_DOWN_MIN, rider)
    if first.kind is SessionKind.BURSTS:
        return _bursts(min(targets.bursts, _SHORT_BURSTS), _SHORT_BURST_WARM_UP_MIN, SHORT_DAY_MIN, rider)
    if first.kind is SessionKind.STRENGTH:
        how = because("season.how_strength_short")
        return (SessionPart("strength", SHORT_STRENGTH_MIN, None, how),)
    effort = effort_in(IntensityClass.MODERATE, rider)
    how = because("season.short_long" if first.kind is SessionKind.LONG else "season.how_steady")
    return (SessionPart(SessionKind.EASY.value, SHORT_DAY_MIN, effort, how),)


def _rest_part() -> SessionPart:
    return SessionPart("mobility", mobility_session().minutes, None, because("season.short_rest"))


def _circuit(lead_in: int, work: int, cool_down: int, rider: Rider) -> tuple[SessionPart, ...]:
    """Steady work, then straight into the circuit."""
    moderate, vigorous = (effort_in(i, rider) for i in (IntensityClass.MODERATE, IntensityClass.VIGOROUS))
    return (
        SessionPart("steady work leading in", lead_in, moderate, because("season.how_lead_in")),
        SessionPart("circuit", work, vigorous, _how_circuit(rider)),
        SessionPart("cool-down", cool_down, None, because("season.how_cool_down")),
    )


def _bursts(bursts: int, warm_up: int, minutes: int, rider: Rider) -> tuple[SessionPart, ...]:
    """Warm up, one set of bursts, cool down."""
    work = burst_set_min(bursts)
    moderate = effort_in(IntensityClass.MODERATE, rider)
    how = because("season.how_bursts", bursts=bursts)
    return (
        SessionPart("warm-up", warm_up, moderate, because("season.how_warm_up")),
        SessionPart(f"{bursts} bursts", work, burst_effort(rider), how),
        SessionPart("cool-down", minutes - warm_up - work, None, because("season.how_cool_down")),
    )


def _how_circuit(rider: Rider) -> Reason:
    """Rest by pulse where pulse is a guide, else by breath."""
    settle = target_bpm(rider.settle_reserve, rider)
    if settle is None or why_no_classes(rider) is not None:
        return because("season.how_circuit_by_feel")
    return because("season.how_circuit", bpm=round(settle))
