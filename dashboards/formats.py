"""How numbers, times and durations are written: with unit, without false digits, in local time.

Units and the order of dates are the rider's choice; `write_for` sets them for the request that is being answered.
"""

import datetime as dt
import math
from collections.abc import Sequence
from contextvars import ContextVar

from rideready.services.preferences import DateForm, Preferences, Units

MINUS = "\N{MINUS SIGN}"
NOT_KNOWN = "\N{EN DASH}"
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_WEEKDAYS_IN_FULL = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

#: Metres in a mile and in a foot, by definition (international yard and pound agreement, 1959).
METRES_A_MILE = 1609.344
METRES_A_FOOT = 0.3048

#: Languages whose readers write dates with the month, or the year, first (Unicode CLDR 46, date formats
#: "medium" and "short"; from memory, a small part of them); everybody else begins with the day.
_MONTH_FIRST = ("en-us", "en-ph", "fil")
_YEAR_FIRST = ("en-ca", "fr-ca", "hu", "ja", "ko", "lt", "mn", "sv", "zh", "eu")

_USUAL = Preferences(dates=DateForm.DAY_FIRST)
_CHOSEN: ContextVar[Preferences] = ContextVar("chosen", default=_USUAL)
_LANGUAGES: ContextVar[tuple[str, ...]] = ContextVar("languages", default=())


def write_for(preferences: Preferences, *, languages: Sequence[str] | None = None) -> None:
    """Write figures as a rider wants them, until told otherwise in this thread.

    Parameters
    ----------
    preferences
        The rider's choice.
    languages
        What the browser asks for, best first, as "en-GB"; decides the order of dates where the rider does not.
        None keeps those told last.
    """
    if languages is not None:
        _LANGUAGES.set(tuple(languages))
    dates = preferences.dates
    if dates is DateForm.BROWSER:
        dates = _form_of(next(iter(_LANGUAGES.get()), ""))
    _CHOSEN.set(Preferences(preferences.units, dates))


def _form_of(language: str) -> DateForm:
    tag = language.lower().replace("_", "-")
    places = {tag, tag.partition("-")[0]}
    if places.intersection(_MONTH_FIRST) or tag == "en":  # browsers that say no more are mostly American
        return DateForm.MONTH_FIRST
    return DateForm.YEAR_FIRST if places.intersection(_YEAR_FIRST) else DateForm.DAY_FIRST


def picker_form() -> str:
    """Return the form of a day for the component library's date fields (its own letters: D, MMM, YYYY)."""
    return {
        DateForm.MONTH_FIRST: "MMM D, YYYY",
        DateForm.YEAR_FIRST: "YYYY-MM-DD",
    }.get(_CHOSEN.get().dates, "D MMM YYYY")


def distance(metres: float | None) -> str:
    """Write a distance in the rider's unit, as "12.4 km" or "7.7 miles"; a dash if it could not be had."""
    if metres is None or not math.isfinite(metres):
        return NOT_KNOWN
    is_in_miles = _CHOSEN.get().units is Units.MILES
    return f"{tenths(metres / METRES_A_MILE)} miles" if is_in_miles else f"{tenths(metres / 1000)} km"


def speed(metres_per_second: float | None) -> str:
    """Write a speed in the rider's unit, as "18.3 km/h" or "11.4 mph"; a dash if it could not be had."""
    if metres_per_second is None or not math.isfinite(metres_per_second):
        return NOT_KNOWN
    metres_an_hour = metres_per_second * 3600
    is_in_miles = _CHOSEN.get().units is Units.MILES
    return (
        f"{tenths(metres_an_hour / METRES_A_MILE)} mph"
        if is_in_miles
        else f"{tenths(metres_an_hour / 1000)} km/h"
    )


def height(metres: float | None) -> str:
    """Write a height in the rider's unit, as "1240 m" or "4068 ft"; a dash if it could not be had."""
    if metres is None or not math.isfinite(metres):
        return NOT_KNOWN
    is_in_miles = _CHOSEN.get().units is Units.MILES
    return f"{whole(metres / METRES_A_FOOT)} ft" if is_in_miles else f"{whole(metres)} m"


def is_known(value: float | None) -> bool:
    """Whether a figure could be had at all."""
    return value is not None and math.isfinite(value)


def whole(value: float | None) -> str:
    """Write a figure without decimals; a dash if it could not be had."""
    return _signless(value, 0)


def recorder(name: str | None) -> str:
    """Name a recorder as its rider would; empty if the file names none.

    The FIT profile's maker number 255 is "development": it says that nobody registered, and nothing else.
    """
    return (name or "").removeprefix("development ")


def recorder_choices(names: Sequence[str]) -> list[dict[str, str]]:
    """Return value and label of each recorder to choose from; two that would read the same keep their names."""
    said = [recorder(name) for name in names]
    labels = [short if said.count(short) == 1 else name for name, short in zip(names, said, strict=True)]
    return [{"value": name, "label": label} for name, label in zip(names, labels, strict=True)]


def tenths(value: float | None) -> str:
    """Write a figure with one decimal; a dash if it could not be had."""
    return _signless(value, 1)


def signed(value: float | None) -> str:
    """Write a change with its sign and without decimals."""
    return _with_plus(whole(value))


def signed_tenths(value: float | None) -> str:
    """Write a change with its sign and one decimal."""
    return _with_plus(tenths(value))


def _with_plus(text: str) -> str:
    return text if text == NOT_KNOWN or text.startswith(MINUS) or float(text) == 0 else f"+{text}"


def percent(fraction: float | None) -> str:
    """Write a fraction as whole per cent."""
    return NOT_KNOWN if fraction is None or not math.isfinite(fraction) else f"{fraction * 100:.0f} %"


def _signless(value: float | None, decimals: int) -> str:
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    text = f"{value:.{decimals}f}"
    # A rounded -0.04 would print as "-0.0": no such figure.
    text = text.lstrip("-") if float(text) == 0 else text
    return text.replace("-", MINUS)


def half_width(se: float | None) -> float | None:
    """Half the width of the 95 % interval of a normal estimate with this standard error."""
    return None if se is None or not math.isfinite(se) else 1.96 * se


def clock(seconds: float) -> str:
    """Write a time within a session as m:ss or h:mm:ss."""
    total = round(seconds)
    hours, rest = divmod(total, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def duration(seconds: float) -> str:
    """Write how long something took, as "1 h 05 min", "42 min" or "50 s"."""
    if seconds < 60:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"


def weeks(number: float) -> str:
    """Write a span as weeks, or as years beyond two."""
    return f"{number:.0f} weeks" if number <= 104 else f"{number / 52.18:.0f} years"


def wall_day(moment: dt.datetime | None) -> float:
    """Return days since 1970-01-01 on the clock on the wall, fractions included; NaN without a date."""
    if moment is None:
        return math.nan
    return day_number(moment.date()) + _share_of_day(moment)


def day_number(day: dt.date) -> float:
    """Return the number of days from 1970-01-01 to a date."""
    return float((day - dt.date(1970, 1, 1)).days)


def date_of(wall_days: float) -> dt.date:
    """Return the date of a number of days since 1970-01-01."""
    return dt.date(1970, 1, 1) + dt.timedelta(days=int(wall_days))


def _share_of_day(moment: dt.datetime) -> float:
    return (moment.hour * 3600 + moment.minute * 60 + moment.second) / 86400


def day(moment: dt.date | None) -> str:
    """Write a date as "12 Sep 2026", "Sep 12, 2026" or "2026-09-12", as the rider wants it."""
    if moment is None:
        return "no date"
    form, month = _CHOSEN.get().dates, MONTHS[moment.month - 1]
    if form is DateForm.YEAR_FIRST:
        return f"{moment.year:04d}-{moment.month:02d}-{moment.day:02d}"
    return (
        f"{month} {moment.day}, {moment.year}"
        if form is DateForm.MONTH_FIRST
        else f"{moment.day} {month} {moment.year}"
    )


def weekday(moment: dt.date) -> str:
    """Write the weekday in full."""
    return _WEEKDAYS_IN_FULL[moment.weekday()]


def weekday_and_day(moment: dt.date) -> str:
    """Write a date with its weekday, as "Sat 12 Sep 2026"."""
    return f"{WEEKDAYS[moment.weekday()]} {day(moment)}"


def short_day(moment: dt.date) -> str:
    """Write a date without its year, as "12 Sep", "Sep 12" or "09-12"."""
    form, month = _CHOSEN.get().dates, MONTHS[moment.month - 1]
    if form is DateForm.YEAR_FIRST:
        return f"{moment.month:02d}-{moment.day:02d}"
    return f"{month} {moment.day}" if form is DateForm.MONTH_FIRST else f"{moment.day} {month}"


def day_and_time(moment: dt.datetime | None) -> str:
    """Write a start with its time of day, as "12 Sep 2026, 18:05"."""
    return "no date" if moment is None else f"{day(moment)}, {moment.hour:02d}:{moment.minute:02d}"


def ordinal(number: int) -> str:
    """Write 1, 2, 3 as "1st", "2nd", "3rd"."""
    ending = "th" if number % 100 in {11, 12, 13} else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def counted(number: int, one: str, many: str) -> str:
    """Write a count with the right form of the noun."""
    return f"{number} {one if number == 1 else many}"
