"""Days, intensities and cautions as shared documents say them, in plain English and of any locale."""

import datetime as dt
from collections.abc import Sequence

from rideready.intensity import IntensityClass
from rideready.model.rider import Rider
from rideready.model.today import EffortAim, SessionPart
from rideready.plan.effort import burst_effort, effort_in
from rideready.share.plan_file import RESERVE_BOUNDS

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

#: Before the plan: questions in the spirit of the usual pre-exercise forms, in our own words.
QUESTIONS = (
    "a heart condition or high blood pressure",
    "pain or pressure in the chest, at rest or with effort",
    "dizziness, or fainting in the last year",
    "another lasting illness, or asthma that cold air sets off",
    "a medicine for any of these, or one that changes the pulse",
    "a bone, joint or soft tissue that training could make worse",
    "a doctor's word to train only under supervision",
)
#: What a plan cannot do, and what to beware of.
CAUTIONS = (
    "Fever or an infection: no hard training until it is over, then begin easily.",
    "Beta-blockers and some other medicines hold the pulse down, others drive it up: go by rating and talk test.",
    "Do not lift heavy things alone and out of breath; breathe out as you lift.",
    "Cold air can set off asthma: warm up longer, cover mouth and nose, keep your inhaler at hand.",
    "Fitness replaces neither avalanche training nor the local bulletin, nor a partner who can dig.",
)
STOP = (
    "Stop and get help for chest pain or pressure, faintness, palpitations, confusion, or breathlessness that "
    "is not like you."
)


def day_in_words(day: dt.date) -> str:
    """Write a day as ``5 December``."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def short_day(day: dt.date) -> str:
    """Write a day as ``5 Dec``."""
    return f"{day.day} {_MONTHS[day.month - 1][:3]}"


def weekday_and_day(day: dt.date) -> str:
    """Write a day as ``Sat 5 Dec``."""
    return f"{_WEEKDAYS[day.weekday()][:3]} {short_day(day)}"


def efforts_of(rider: Rider) -> list[tuple[str, str, EffortAim]]:
    """List what a plan's efforts are for, how they lie on the reserve, and how hard they are for a rider."""

    def reserve(which: IntensityClass) -> str:
        low, high = RESERVE_BOUNDS[which]
        return f"{100 * low:.0f} to {100 * high - 1:.0f} % of the reserve"

    return [
        (
            "Steady work",
            reserve(IntensityClass.MODERATE),
            effort_in(IntensityClass.MODERATE, rider),
        ),
        ("Circuit", reserve(IntensityClass.VIGOROUS), effort_in(IntensityClass.VIGOROUS, rider)),
        ("Bursts, by their end", "85 to 90 % of the maximum", burst_effort(rider)),
    ]


def pulse_of(aim: EffortAim) -> str:
    """Write the heart rates of an effort; empty where pulse is no guide."""
    return "" if aim.low_bpm is None or aim.high_bpm is None else f"{aim.low_bpm} to {aim.high_bpm} bpm"


def part_in_words(part: SessionPart) -> str:
    """Write a part of a session in one line: what, how long, how hard."""
    line = f"{part.what} {part.minutes} min"
    return line if part.effort is None else f"{line} ({_hard(part.effort)})"


def _hard(effort: EffortAim) -> str:
    """Write how hard by rating, and by pulse where it is a guide."""
    pulse = pulse_of(effort)
    return f"RPE {effort.rpe_low} to {effort.rpe_high}{', ' + pulse if pulse else ''}"


def in_one_line(parts: Sequence[SessionPart]) -> str:
    """Write a session's parts in one line; a single one needs neither its name nor its minutes again."""
    if len(parts) == 1:
        (part,) = parts
        return part.how.sentence if part.effort is None else f"{_hard(part.effort)}. {part.how.sentence}"
    line = "; ".join(part_in_words(part) for part in parts)
    return f"{line[:1].upper()}{line[1:]}."
