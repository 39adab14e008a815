"""How many minutes a week of the season asks for, and why."""

import math
from dataclasses import dataclass

from rideready.model.condition import Clearance, Injury
from rideready.model.reason import Reason, because
from rideready.model.season import Phase, SeasonRequest
from rideready.plan.calendar_weeks import in_words
from rideready.plan.capacity import Capacity
from rideready.plan.guidance import AMPLE_WEEKLY_MIN, LEAST_WEEKLY_MIN
from rideready.plan.phases import Row
from rideready.plan.ramp import EASIER_SHARE, START_MIN, Ramp
from rideready.plan.shapes import FreeDays, bursts_wait
from rideready.plan.sizes import Shape
from rideready.plan.taper import taper_minutes

# A day on the way back after an illness counts for this much of the week's minutes. Ours.
_STEP_DAY_MIN = 10
# The taper is cut from the plan's last full week; without one, from the last week done if that was kept up, else
# from what the weeks before the taper carry.
_KEPT_UP = 0.9


def floor_to_5(minutes: float) -> int:
    """Round down to a multiple of five."""
    return 5 * math.floor(minutes / 5 + 1e-9)


@dataclass(frozen=True, slots=True)
class Setting:
    """Everything one week of the season is planned from.

    Parameters
    ----------
    request
        What the season is planned from.
    row
        The week in the calendar.
    is_easier
        Whether it is an easier week, chosen or because of days lost.
    ramp
        What the weeks before carry; in the taper, the weeks before the taper.
    last_full_min
        What the plan's last full week before it asks for; None if the plan has none.
    free
        Its days.
    injuries
        Sore joints planned with.
    wished
        Numbers of sessions it should have.
    capacity
        What the ordinary week holds of them.
    """

    request: SeasonRequest
    row: Row
    is_easier: bool
    ramp: Ramp
    last_full_min: int | None
    free: FreeDays
    injuries: tuple[Injury, ...]
    wished: Shape
    capacity: Capacity

    @property
    def is_tapering(self) -> bool:
        """Whether it belongs to the taper or is the week of an early opening day."""
        return self.row.phase in {Phase.TAPER, Phase.OPENING}

    @property
    def start_min(self) -> float:
        """Minutes a plan starts from that has nothing to start from."""
        return START_MIN[self.request.level]


def minutes_of(setting: Setting) -> tuple[int, tuple[Reason, ...]]:
    """Say how many moderate-equivalent minutes a week asks for, and why.

    Parameters
    ----------
    setting
        The week and what it is planned from.

    Returns
    -------
    int, tuple of Reason
        Minutes, and the reasons, the main one first.
    """
    if setting.is_tapering:
        total, why = _in_taper(setting)
    elif setting.is_easier:
        total, why = _when_easier(setting)
    else:
        total, why = _while_building(setting)
    total, held = _held_back(setting, total)
    if held and why.code == "season.week_ramp":  # it names what the week asks, which is less now
        why = because(why.code, **{**dict(why.values), "minutes": total})
    return total, (why, *held)


def about_sessions(setting: Setting) -> tuple[Reason, ...]:
    """Say why a week has the sessions it has, where that is not plain.

    Parameters
    ----------
    setting
        The week and what it is planned from.

    Returns
    -------
    tuple of Reason
        None, or one for bursts that wait and one for days that do not hold what is wished.
    """
    said = []
    if bursts_wait(setting.row.phase, setting.request.level, setting.ramp):
        said.append(because("season.week_bursts_wait"))
    held, wished = setting.capacity.shape, setting.wished
    counts = {"circuits": held.circuits, "bursts": held.burst_practices, "strength": held.strength}
    if tuple(counts.values()) != (wished.circuits, wished.burst_practices, wished.strength):
        said.append(because("season.week_days_hold", **counts))
    return tuple(said)


def _while_building(setting: Setting) -> tuple[int, Reason]:
    """Climb with the ramp up to what is ample; while bursts are new, hold from the guidance on."""
    base, limit = setting.ramp.base_min, setting.ramp.limit_min
    holds = setting.row.phase is Phase.BURSTS
    wish = min(limit, max(base, LEAST_WEEKLY_MIN if holds else AMPLE_WEEKLY_MIN))
    total = floor_to_5(min(wish, setting.capacity.total_min))
    if total < floor_to_5(wish):
        code = "season.week_days_full"
    elif base < setting.start_min / 2:
        code = "season.week_start"
    elif setting.ramp.is_after_easier and limit - base < 1:
        code = "season.week_after_easier"
    elif wish < limit:
        code = "season.week_hold" if holds else "season.week_ample"
    else:
        code = "season.week_ramp"
    return total, because(code, base=round(base), limit=math.floor(limit), minutes=total)


def _when_easier(setting: Setting) -> tuple[int, Reason]:
    """Ask a fifth less than the weeks before."""
    usual = min(setting.ramp.base_min, setting.capacity.total_min)
    if setting.last_full_min is not None:
        usual = min(usual, setting.last_full_min)
    total = floor_to_5(EASIER_SHARE * usual + 2.5)
    code = "season.week_broken" if setting.free.is_broken else "season.week_easier"
    return total, because(code, minutes=total)


def _in_taper(setting: Setting) -> tuple[int, Reason]:
    """Cut to the taper's share; before an opening day early in its week, go on as in its second week."""
    likely, ramp = setting.request.window.likely, setting.ramp
    usual = ramp.last_min if ramp.last_min >= _KEPT_UP * ramp.base_min else ramp.base_min
    usual = min(usual or setting.start_min, setting.capacity.total_min)
    if setting.last_full_min is not None:
        usual = setting.last_full_min
    day, which = in_words(likely), setting.row.taper_week
    if which is None:
        left = taper_minutes(usual, 1) * likely.weekday() / 7
        return floor_to_5(left), because("season.week_opening", day=day)
    total = taper_minutes(usual, which)
    allowed = floor_to_5(ramp.limit_min)
    if total > allowed:
        why = because("season.week_taper_after_loss", week=which + 1, day=day, minutes=allowed)
        return allowed, why
    cut = round(100 * (1 - total / usual)) if usual else 0
    figures = {"week": which + 1, "cut": cut, "usual": round(usual), "minutes": total}
    return total, because("season.week_taper", day=day, **figures)


def _held_back(setting: Setting, total: int) -> tuple[int, tuple[Reason, ...]]:
    """Take off what an open health question, an injury, an illness or days away take off."""
    free, held = setting.free, []
    if setting.request.clearance is Clearance.ASK_FIRST:
        total = min(total, LEAST_WEEKLY_MIN)
        held.append(because("season.week_ask_first"))
    if setting.injuries:
        total = min(total, floor_to_5(max(setting.ramp.base_min, setting.start_min)))
        joints = " and ".join(sorted({injury.joint.value for injury in setting.injuries}))
        held.append(because("season.week_injury", joints=joints))
    if free.free < free.days:
        left = total * free.free / free.days + _STEP_DAY_MIN * free.on_the_way_back
        total = floor_to_5(min(total, left))
        ill = free.days - free.free - free.away
        if free.away:
            held.append(because("season.week_away", days=free.away, minutes=total))
        if ill:
            held.append(because("season.week_ill", days=ill, minutes=total))
    return total, tuple(held)
