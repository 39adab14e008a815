"""What a rider should know about a plan, the rules it keeps, and what a changed plan gives up or wins."""

import datetime as dt

from rideready.model.condition import Clearance, IllnessKind
from rideready.model.reason import Reason, because
from rideready.model.season import FloorLine, Phase, Season
from rideready.plan.calendar_weeks import in_words
from rideready.plan.conditions import STEP_DAYS, STEP_MOST_MIN, assumed_end
from rideready.plan.floor import WEEKS_OF_MINUTES, WEEKS_OF_STRENGTH
from rideready.plan.guidance import LEAST_WEEKLY_MIN

# Under two weeks nothing that is begun now has time to become fitness (training effects take weeks; practice).
_DAYS_TO_BUILD = 14
_LONG_WAY_WEEKS = 26


def missing_in_words(lines: tuple[FloorLine, ...]) -> str:
    """Say what the floor still lacks, in words."""
    return "; ".join(
        f"{line.given:.0f} of {line.needed:.0f} {line.what}" for line in lines if not line.is_met
    )


def statements_of(season: Season, *, most_min: int) -> tuple[Reason, ...]:
    """Say what the rider should know about a plan, most important first.

    Parameters
    ----------
    season
        The plan.
    most_min
        The most minutes its ordinary weeks hold.

    Returns
    -------
    tuple of Reason
        Health first, then the floor, then the peak.
    """
    return (*_health(season), *_floor(season, most_min), *_peak(season), *_guidance(season))


def rules_kept() -> tuple[Reason, ...]:
    """Name the rules every plan keeps, with their sources, in a fixed order."""
    return (
        because("season.rule_minutes"),
        because("season.rule_ramp"),
        because("season.rule_easier"),
        because("season.rule_taper"),
        because("season.rule_floor"),
        because("season.rule_no_record"),
    )


def _health(season: Season) -> list[Reason]:
    """Put first what an open health question or an illness asks for."""
    request, said = season.request, []
    if request.clearance is Clearance.ASK_FIRST:
        said.append(because("season.ask_first"))
    for illness in request.illnesses:
        if illness.kind is not IllnessKind.FEVER or illness.first_day > request.today:
            continue
        end = assumed_end(illness, request.today)
        if illness.last_day is None:
            said.append(because("season.fever_now", day=in_words(end)))
        if (request.today - end).days <= STEP_DAYS * len(STEP_MOST_MIN):
            said.append(because("season.fever"))
    return said


def _floor(season: Season, most_min: int) -> list[Reason]:
    """Whether and when the floor is reached, and what would help."""
    request, floor, window = season.request, season.floor, season.request.window
    earliest, likely = in_words(window.earliest), in_words(window.likely)
    missing = missing_in_words(floor.lines)
    is_open = window.earliest <= request.today
    if floor.is_sure_by_earliest and floor.reached_by is not None:
        if is_open:
            return [because("season.floor_reached_now")]
        if floor.reached_by <= request.today:
            return [because("season.floor_already", earliest=earliest)]
        days = (window.earliest - floor.reached_by).days
        day = in_words(floor.reached_by)
        return [because("season.floor_in_time", day=day, days=days, earliest=earliest)]
    if is_open:
        said = [because("season.floor_now", missing=missing)]
    elif floor.reached_by is None:
        said = [because("season.floor_never", likely=likely, earliest=earliest, missing=missing)]
    else:
        day = in_words(floor.reached_by)
        said = [because("season.floor_late", earliest=earliest, missing=missing, day=day)]
    short = {line.what for line in floor.lines if not line.is_met}
    if WEEKS_OF_MINUTES in short and most_min < LEAST_WEEKLY_MIN:
        more = LEAST_WEEKLY_MIN - most_min
        said.append(because("season.floor_days", minutes=most_min, needed=LEAST_WEEKLY_MIN, more=more))
    holds_one = all(w.targets.strength_days < 2 for w in season.weeks if w.phase is not Phase.OPENING)
    if WEEKS_OF_STRENGTH in short and holds_one and sum(m >= 20 for m in request.minutes_by_weekday) < 3:
        said.append(because("season.floor_third_day"))
    return [*said, because("season.floor_advice")]


def _peak(season: Season) -> list[Reason]:
    """When the rider is at their best, and how short or long the way is."""
    request, likely = season.request, season.request.window.likely
    days = (likely - request.today).days
    if days == 0:
        return [because("season.opens_today")]
    if days == 1:
        return [because("season.opens_tomorrow")]
    if season.taper_start <= request.today:
        said = [because("season.taper_under_way", likely=in_words(likely))]
    else:
        said = [because("season.peak", likely=in_words(likely), start=in_words(season.taper_start))]
    if days < _DAYS_TO_BUILD:
        said.append(because("season.no_time_to_build", days=days))
    if len(season.weeks) > _LONG_WAY_WEEKS:
        specific = sum(week.phase is Phase.BURSTS for week in season.weeks)
        said.append(because("season.long_way", weeks=len(season.weeks), specific=specific))
    return said


def _guidance(season: Season) -> list[Reason]:
    """When health guidance is reached, where the rider starts below it."""
    first = next((w for w in season.weeks if w.targets.moderate_equivalent_min >= LEAST_WEEKLY_MIN), None)
    starts_below = season.weeks[0].base_min < LEAST_WEEKLY_MIN
    if not starts_below or season.taper_start <= season.request.today:
        return []
    if first is not None:
        return [because("season.below_guidance", day=in_words(first.start))]
    most = max(week.targets.moderate_equivalent_min for week in season.weeks)
    return [because("season.guidance_not_reached", minutes=most)]


def consequences_of(before: Season, after: Season, first: dt.date) -> tuple[Reason, ...]:
    """Say what changes up to opening day, the floor first.

    Parameters
    ----------
    before, after
        The two plans.
    first
        Monday from which both are compared.

    Returns
    -------
    tuple of Reason
        Floor, weeks of building, sessions, taper; empty if nothing of that changes.
    """
    said = [*_floor_change(before, after)]
    for what, then, now in (
        ("weeks of building", _weeks_of(before, Phase.BUILD, first), _weeks_of(after, Phase.BUILD, first)),
        (
            "weeks of burst practice",
            _weeks_of(before, Phase.BURSTS, first),
            _weeks_of(after, Phase.BURSTS, first),
        ),
        ("circuits", _sum_of(before, "circuits", first), _sum_of(after, "circuits", first)),
        (
            "burst practices",
            _sum_of(before, "burst_practices", first),
            _sum_of(after, "burst_practices", first),
        ),
    ):
        if now != then:
            code = "season.given_up" if now < then else "season.won"
            said.append(because(code, what=what, count=abs(now - then), then=then, now=now))
    then, now = _fullest(before, first), _fullest(after, first)
    if now != then:
        said.append(because("season.peak_changes", then=then, now=now))
    return (*said, *_taper_change(before, after))


def _floor_change(before: Season, after: Season) -> list[Reason]:
    """Compare when the floor is reached, against each plan's own earliest opening day."""
    then, now = before.floor, after.floor
    earliest = in_words(after.request.window.earliest)
    if then.is_sure_by_earliest and not now.is_sure_by_earliest:
        missing = missing_in_words(now.lines)
        return [because("season.floor_lost", earliest=earliest, missing=missing)]
    if now.is_sure_by_earliest and not then.is_sure_by_earliest:
        return [because("season.floor_won", earliest=earliest)]
    if now.reached_by not in {None, then.reached_by} and now.reached_by > after.request.today:
        return [because("season.floor_moves", day=in_words(now.reached_by))]
    return []


def _taper_change(before: Season, after: Season) -> list[Reason]:
    """Say when the taper begins, and whether too little of it is left."""
    if before.taper_start == after.taper_start:
        return []
    if after.taper_start <= after.request.today:
        days = (after.request.window.likely - after.request.today).days
        return [because("season.taper_cut", days=days)]
    return [because("season.taper_moves", day=in_words(after.taper_start))]


def _weeks_of(season: Season, phase: Phase, first: dt.date) -> int:
    return sum(week.phase is phase for week in season.weeks if week.start >= first)


def _sum_of(season: Season, what: str, first: dt.date) -> int:
    return sum(int(getattr(week.targets, what)) for week in season.weeks if week.start >= first)


def _fullest(season: Season, first: dt.date) -> int:
    """Find the most minutes that any of the weeks asks for."""
    weeks = [week for week in season.weeks if week.start >= first]
    return max((week.targets.moderate_equivalent_min for week in weeks), default=0)
