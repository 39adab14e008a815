"""From a week's targets to its days, by an exact programme, and what does not fit."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace

from rideready.model.condition import Away, Illness, Injury
from rideready.model.reason import Reason, because
from rideready.model.season import Season, Week
from rideready.model.week import (
    DayPlan,
    DoneSession,
    Form,
    MuscleGroup,
    PlannedSession,
    SessionKind,
    WeekPlan,
)
from rideready.plan.calendar_weeks import weekday_in_words
from rideready.plan.conditions import Step, allowance_on, is_away, strength_forms_left
from rideready.plan.fit import dropped_from, moved_from
from rideready.plan.programme import DayRoom, Placement, Programme
from rideready.plan.rooms import active_days, done_on, rooms_left
from rideready.plan.sizes import counts_as_long
from rideready.plan.solve import solve
from rideready.plan.wishes import offers_for, wanted, wanted_counts

_WORTH_SAYING_MIN = 20


def plan_week(
    week: Week,
    availability: Mapping[dt.date, int],
    done_so_far: Sequence[DoneSession] = (),
    *,
    today: dt.date | None = None,
    long_day: int | None = None,
    injuries: Sequence[Injury] = (),
    illnesses: Sequence[Illness] = (),
    sore: Mapping[MuscleGroup, dt.date] | None = None,
    previous: WeekPlan | None = None,
) -> WeekPlan:
    """Place what is left of a week's targets on the days that are left.

    Hard rules: the minutes of each day; no two hard days in a row; 48 h (a whole day between) for each muscle
    group; one main session a day; a day of rest; the ramp's limit; what illness, injury and the eve of opening
    day forbid. Under them the placement is the best there is by the worths in ``wishes``. What does not fit
    is dropped with its reason, not carried into next week.

    Parameters
    ----------
    week
        The week with its targets.
    availability
        Minutes at hand by date; a date that is missing has none.
    done_so_far
        Sessions done in this week, and those of the day before it, whose rest still counts.
    today
        First day that can still be planned; None for the whole week.
    long_day
        Weekday wanted for the long piece, Monday 0.
    injuries, illnesses
        What holds the rider back.
    sore
        Muscle groups that are sore, and the day the rider said so: left alone on that day and the next.
    previous
        The plan that was in force before, to say what was missed and where it went.

    Returns
    -------
    WeekPlan
        Days, what was dropped and why, and what was moved.

    References
    ----------
    48 h for a muscle group: American College of Sports Medicine, from memory. Hard and easy days in turn, a
    day of rest: common practice.
    """
    programme, placement, days = _placed(
        week,
        availability,
        done_so_far,
        today=today,
        long_day=long_day,
        injuries=injuries,
        illnesses=illnesses,
        sore=sore or {},
    )
    today = max(today or week.start, week.start)
    done = tuple(session for session in done_so_far if 0 <= (session.day - week.start).days < 7)
    dropped = dropped_from(programme, placement)
    placed = sum(session.moderate_equivalent_min for plan in days for session in plan.sessions)
    short = max(programme.wanted.aim_min - placed, 0)
    return WeekPlan(
        week,
        days,
        done,
        dropped,
        moved_from(previous, days, dropped, done, today) if previous else (),
        short,
        placement.worth,
        _about_week(programme, placement, week, short),
    )


def place_sessions(
    week: Week,
    availability: Mapping[dt.date, int],
    done_so_far: Sequence[DoneSession] = (),
    *,
    today: dt.date | None = None,
    long_day: int | None = None,
    injuries: Sequence[Injury] = (),
    illnesses: Sequence[Illness] = (),
) -> tuple[DayPlan, ...]:
    """Place a week as `plan_week` does, without finding out why something was dropped.

    That takes solving the week again with one rule lifted at a time, which is long for many weeks at once.

    Parameters
    ----------
    week, availability, done_so_far, today, long_day, injuries, illnesses
        As for `plan_week`.

    Returns
    -------
    tuple of DayPlan
        The days of `plan_week`.

    References
    ----------
    As for `plan_week`.
    """
    return _placed(
        week,
        availability,
        done_so_far,
        today=today,
        long_day=long_day,
        injuries=injuries,
        illnesses=illnesses,
        sore={},
    )[2]


def week_at_hand(
    season: Season,
    done_so_far: Sequence[DoneSession] = (),
    *,
    availability: Mapping[dt.date, int] | None = None,
    sore: Mapping[MuscleGroup, dt.date] | None = None,
    previous: WeekPlan | None = None,
) -> WeekPlan:
    """Place the season's week of today, with everything else taken from the season's request.

    Parameters
    ----------
    season
        The plan.
    done_so_far
        Sessions done in this week, and those of the day before it.
    availability
        Minutes at hand by date, where this week is unlike others; None for the usual ones.
    sore
        As for `plan_week`.
    previous
        The plan that was in force before.

    Returns
    -------
    WeekPlan
        From today on.
    """
    request, week = season.request, season.weeks[0]
    plan = plan_week(
        week,
        usual_availability(season, week) if availability is None else availability,
        done_so_far,
        today=request.today,
        long_day=request.long_day,
        injuries=request.injuries,
        illnesses=request.illnesses,
        sore=sore,
        previous=previous,
    )
    return replace(plan, days=tuple(_said_away(day, request.away) for day in plan.days))


def usual_availability(season: Season, week: Week) -> dict[dt.date, int]:
    """Say how many minutes each day of a week has by the rider's usual week; none on days away.

    Parameters
    ----------
    season
        Its request tells the usual week and the days away.
    week
        The week.

    Returns
    -------
    dict
        Date to minutes.
    """
    request = season.request
    return {
        day: 0 if is_away(day, request.away) else request.minutes_by_weekday[day.weekday()]
        for day in week.days
    }


def _placed(
    week: Week,
    availability: Mapping[dt.date, int],
    done_so_far: Sequence[DoneSession],
    *,
    today: dt.date | None,
    long_day: int | None,
    injuries: Sequence[Injury],
    illnesses: Sequence[Illness],
    sore: Mapping[MuscleGroup, dt.date],
) -> tuple[Programme, Placement, tuple[DayPlan, ...]]:
    """Write the week as a programme, solve it, and lay the answer out by day."""
    today = max(today or week.start, week.start)
    programme = _programme(
        week,
        done_so_far,
        rooms_left(week, availability, done_so_far, today=today, illnesses=illnesses, sore=sore),
        today=today,
        long_day=long_day,
        forms=strength_forms_left(injuries),
    )
    placement = solve(programme)
    days = tuple(
        DayPlan(
            room.day,
            max(availability.get(room.day, 0), 0),
            sessions,
            _about_day(week, room, sessions, illnesses, today),
        )
        for room, sessions in zip(programme.days, placement.sessions, strict=True)
    )
    return programme, placement, days


def _programme(
    week: Week,
    done_so_far: Sequence[DoneSession],
    rooms: tuple[DayRoom, ...],
    *,
    today: dt.date,
    long_day: int | None,
    forms: frozenset[Form],
) -> Programme:
    """Write the week as a programme: what is on offer, what is left of its wishes, what came before."""
    in_week = [session for session in done_so_far if 0 <= (session.day - week.start).days < 7]
    done_min = sum(session.moderate_equivalent_min for session in in_week)
    done = {kind: sum(session.kind is kind for session in in_week) for kind in SessionKind}
    # Which steady piece was the long one is a matter of its length, whatever it was called.
    steady = [s for s in in_week if s.kind in {SessionKind.LONG, SessionKind.EASY}]
    done[SessionKind.LONG] = sum(counts_as_long(s.minutes, week.targets.long_piece_min) for s in steady)
    was_hard, groups = done_on(done_so_far, today - dt.timedelta(days=1))
    return Programme(
        rooms,
        tuple(
            offer
            for offer in offers_for(week.targets)
            if offer.kind is not SessionKind.STRENGTH or offer.session.form in forms
        ),
        wanted(
            week.phase,
            wanted_counts(week.targets),
            done=done,
            aim_min=round(week.targets.moderate_equivalent_min - done_min),
            most_min=int(week.limit_min - done_min),
            long_day=next((day for day in week.days if day.weekday() == long_day), None),
        ),
        active_days_before=active_days(done_so_far, week.start, today),
        is_hard_before=was_hard,
        groups_before=groups,
    )


def _about_day(
    week: Week,
    room: DayRoom,
    sessions: Sequence[PlannedSession],
    illnesses: Sequence[Illness],
    today: dt.date,
) -> tuple[Reason, ...]:
    """Say why a day is bounded or empty, where that is not plain."""
    allowed = allowance_on(room.day, illnesses, today)
    if allowed.step is Step.ILL:
        return (because("season.day_ill"),)
    if allowed.step is Step.COLD:
        return (because("season.day_cold", most=allowed.most_min or 0),)
    if allowed.step is not Step.FREE:
        return (because("season.day_step", step=int(allowed.step), most=allowed.most_min or 0),)
    said = []
    if week.opening_day is not None and room.day == week.last_day:
        said.append(because("season.day_eve"))
    elif room.spared:
        said.append(because("season.day_sore", groups=" and ".join(sorted(room.spared))))
    elif not sessions and not room.is_active:
        said.append(because("season.day_rest" if room.minutes else "season.day_no_time"))
    return tuple(said)


def _said_away(plan: DayPlan, away: Sequence[Away]) -> DayPlan:
    """Name the journey as the reason for an empty day."""
    if plan.sessions or not is_away(plan.day, away):
        return plan
    return replace(plan, reasons=(because("season.day_away"),))


def _about_week(programme: Programme, placement: Placement, week: Week, short_min: int) -> tuple[Reason, ...]:
    """Say what about the placement a rider would ask."""
    said = [because("season.week_rules")]
    wish = programme.wanted.long_day
    for room, sessions in zip(programme.days, placement.sessions, strict=True):
        is_long = any(session.kind is SessionKind.LONG for session in sessions)
        if is_long and wish is not None and room.day != wish:
            said.append(
                because("season.long_elsewhere", day=weekday_in_words(room.day), wish=weekday_in_words(wish))
            )
    if short_min >= _WORTH_SAYING_MIN:
        target = week.targets.moderate_equivalent_min
        said.append(because("season.week_short", minutes=short_min, target=target))
    return tuple(said)
