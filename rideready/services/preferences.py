"""How a rider wants figures written: in which units, with dates in which order."""

import json
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from rideready.services.context import Context
from rideready.store.settings import get_setting, set_setting


class Units(StrEnum):
    """In which units distances, speeds and heights are written."""

    METRIC = "km"
    MILES = "miles"


class DateForm(StrEnum):
    """In which order the parts of a date are written."""

    BROWSER = "browser"  # as the reader's browser asks for its pages
    DAY_FIRST = "day-first"
    MONTH_FIRST = "month-first"
    YEAR_FIRST = "year-first"


@dataclass(frozen=True, slots=True)
class Preferences:
    """A rider's choices.

    Parameters
    ----------
    units
        For distances, speeds and heights; heart rates are in beats a minute whatever is chosen.
    dates
        For days on screen; files and commands keep to ISO 8601.
    """

    units: Units = Units.METRIC
    dates: DateForm = DateForm.BROWSER


def get_preferences(ctx: Context) -> Preferences:
    """Return how the rider wants figures written; the usual until something was said."""
    with ctx.store.reading() as connection:
        text = get_setting(connection, _key(ctx))
    if text is None:
        return Preferences()
    document = json.loads(text)
    return Preferences(Units(document["units"]), DateForm(document["dates"]))


def update_preferences(ctx: Context, **changes: Any) -> Preferences:
    """Set how the rider wants figures written and return it.

    Parameters
    ----------
    ctx
        Store and rider.
    **changes
        Field of `Preferences` to its new value.

    Raises
    ------
    TypeError
        If there is no such field.
    """
    changed = replace(get_preferences(ctx), **changes)
    document = {"units": str(changed.units), "dates": str(changed.dates)}
    with ctx.store.writing() as connection:
        set_setting(connection, _key(ctx), json.dumps(document))
    return changed


def _key(ctx: Context) -> str:
    return f"preferences of rider {ctx.rider_id}"
