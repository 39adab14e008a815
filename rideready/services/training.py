"""What a rider trains with and for: equipment, days at hand, what to spare, the opening window."""

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from rideready.errors import BadInput
from rideready.model.exercise import Equipment, Joint, Level
from rideready.model.season import OpeningWindow
from rideready.services.context import Context
from rideready.store.settings import get_setting, set_setting

#: Minutes at hand, Monday first, until the rider says otherwise.
USUAL_MINUTES = (45, 45, 45, 45, 45, 60, 60)


@dataclass(frozen=True, slots=True)
class Training:
    """How a rider trains.

    Parameters
    ----------
    equipment, avoid_joints, exclude
        What is at hand, joints to spare, exercises not wanted.
    level
        How used the rider is to training.
    minutes_by_weekday
        Minutes at hand, Monday first.
    long_day
        Weekday of the long piece, Monday 0; None for any.
    usual_min
        Weekly minutes before the first recording, moderate-equivalent; None if not said.
    earliest, likely
        Opening window; None while it is not known.
    riding_altitude_m, home_altitude_m
        Where the rider rides, and lives and trains, m; None if not said (home then counts as sea level).
    """

    equipment: tuple[Equipment, ...] = ()
    avoid_joints: tuple[Joint, ...] = ()
    exclude: tuple[str, ...] = ()
    level: Level = Level.INTERMEDIATE
    minutes_by_weekday: tuple[int, ...] = USUAL_MINUTES
    long_day: int | None = None
    usual_min: float | None = None
    earliest: dt.date | None = None
    likely: dt.date | None = None
    riding_altitude_m: float | None = None
    home_altitude_m: float | None = None

    @property
    def window(self) -> OpeningWindow:
        """The opening window.

        Raises
        ------
        BadInput
            While it is not known.
        """
        if self.earliest is None or self.likely is None:
            raise BadInput(
                "the opening window is not known yet",
                what_to_do="Give it once with: rideready plan --earliest 2026-12-05 --likely 2026-12-19",
            )
        return OpeningWindow(self.earliest, self.likely)


def get_training(ctx: Context) -> Training:
    """Return how the rider trains; the usual until something was said."""
    with ctx.store.reading() as connection:
        text = get_setting(connection, _key(ctx))
    return Training() if text is None else _from_document(json.loads(text))


def update_training(ctx: Context, **changes: Any) -> Training:
    """Set how the rider trains and return it.

    Parameters
    ----------
    ctx
        Store and rider.
    **changes
        Field of `Training` to its new value.

    Raises
    ------
    TypeError
        If there is no such field.
    """
    changed = replace(get_training(ctx), **changes)
    with ctx.store.writing() as connection:
        set_setting(connection, _key(ctx), json.dumps(_to_document(changed)))
    return changed


def _key(ctx: Context) -> str:
    return f"training of rider {ctx.rider_id}"


def _to_document(training: Training) -> dict[str, Any]:
    document = {field.name: getattr(training, field.name) for field in fields(Training)}
    return document | {
        "earliest": training.earliest and training.earliest.isoformat(),
        "likely": training.likely and training.likely.isoformat(),
    }


def _from_document(document: Mapping[str, Any]) -> Training:
    def day(name: str) -> dt.date | None:
        return None if document[name] is None else dt.date.fromisoformat(document[name])

    return Training(
        equipment=tuple(Equipment(name) for name in document["equipment"]),
        avoid_joints=tuple(Joint(name) for name in document["avoid_joints"]),
        exclude=tuple(document["exclude"]),
        level=Level(document["level"]),
        minutes_by_weekday=tuple(document["minutes_by_weekday"]),
        long_day=document["long_day"],
        usual_min=document["usual_min"],
        earliest=day("earliest"),
        likely=day("likely"),
        riding_altitude_m=document.get("riding_altitude_m"),
        home_altitude_m=document.get("home_altitude_m"),
    )
