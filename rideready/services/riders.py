"""Whose numbers these are, where they come from, and what changes when they do."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from sqlalchemy import Connection

from rideready.errors import BadInput
from rideready.intensity import MaximumEquation, predicted_maximum_bpm
from rideready.model.maximum import ObservedMaximum
from rideready.model.rider import Rider
from rideready.services.analysis import refresh
from rideready.services.context import Context
from rideready.store.connect import open_store
from rideready.store.place import Named
from rideready.store.riders import add_rider as add_rider_row
from rideready.store.riders import current_rider, dated_numbers, rename_rider, rider_names, set_numbers


@dataclass(frozen=True, slots=True)
class NumberSource:
    """One of the rider's numbers and where it comes from.

    Parameters
    ----------
    name
        Field of `Rider`.
    value
        The number or word; None where the rider took it back.
    day
        When it was entered or seen; None for a number worked out from others.
    source
        ``entered``, ``predicted from age (...)`` or ``seen in session 12``.
    is_used
        Whether analysis rests on it.
    """

    name: str
    value: float | str | None
    day: dt.date | None
    source: str
    is_used: bool


def get_rider(ctx: Context) -> Rider:
    """Return the rider as the newest numbers have it."""
    with ctx.store.reading() as connection:
        return current_rider(connection, ctx.rider_id)


def update_rider(
    ctx: Context, *, progress: Callable[[int, int], None] | None = None, **changes: Any
) -> Rider:
    """Set numbers and work everything out again that depends on them.

    Parameters
    ----------
    ctx
        Store and rider; the numbers are dated with its today.
    progress
        Called with the number of sessions worked out again and in all.
    **changes
        Field of `Rider` to its new value; None takes a number back.

    Returns
    -------
    Rider
        As it is now.

    Raises
    ------
    BadInput
        If a number cannot be a person's, or the name is another rider's; nothing is changed then.
    """
    set_rider(ctx, **changes)
    refresh(ctx, progress=progress)
    return get_rider(ctx)


def add_rider(store: Named | None, name: str) -> None:
    """Add a rider to a store.

    Parameters
    ----------
    store
        As in `open_context`; made if it is not there.
    name
        Another than those of the riders in it.

    Raises
    ------
    BadInput
        If the name is empty or taken.
    """
    if not name.strip():
        raise BadInput("a rider needs a name", what_to_do="Give one, such as: rideready rider --add Tam")
    opened = open_store(store)
    try:
        with opened.writing() as connection:
            add_rider_row(connection, name)
    finally:
        opened.close()


def add_rider_to(ctx: Context, name: str) -> None:
    """Add a rider to an open store; raises `BadInput` if the name is empty or taken."""
    if not name.strip():
        raise BadInput("a rider needs a name", what_to_do="Give one")
    with ctx.store.writing() as connection:
        add_rider_row(connection, name.strip())


def list_riders(ctx: Context) -> list[str]:
    """Names of the riders in the store, in the order they were added."""
    with ctx.store.reading() as connection:
        return list(rider_names(connection).values())


def riders_by_number(ctx: Context) -> dict[int, str]:
    """Names of the riders in the store by their number, in the order they were added."""
    with ctx.store.reading() as connection:
        return rider_names(connection)


def set_rider(ctx: Context, **changes: Any) -> Rider:
    """Set numbers without working anything out again; `update_rider` says what else holds.

    Whoever calls this sees to it that `rideready.services.analysis.refresh` follows.
    """
    unknown = set(changes) - {field.name for field in fields(Rider)}
    if unknown:
        raise TypeError(f"a rider has no {', '.join(sorted(unknown))}")
    with ctx.store.writing() as connection:
        _write(connection, ctx, changes)
    return get_rider(ctx)


def rider_sources(ctx: Context, observed: ObservedMaximum | None) -> list[NumberSource]:
    """List every number with its source: per field the newest entry first, then the older ones.

    For the maximum, what age predicts and what the recordings support follow; neither is put in the place
    of an entered one in silence.

    Parameters
    ----------
    ctx
        Store and rider.
    observed
        From `rideready.services.maximum_rest.maximum_and_rest`.
    """
    with ctx.store.reading() as connection:
        entered = dated_numbers(connection, ctx.rider_id)
        rider = current_rider(connection, ctx.rider_id)
    sources: list[NumberSource] = []
    for field in (field.name for field in fields(Rider)):
        newest_first = [number for number in reversed(entered) if number.field == field]
        sources += [
            NumberSource(field, number.value, number.day, "entered", is_used=index == 0)
            for index, number in enumerate(newest_first)
        ]
        if field == "max_hr_bpm":
            sources += _predicted(rider)
            if observed is not None:
                source = observed.source
                seen = f"seen in session {source.session_id}"
                sources.append(NumberSource(field, observed.bpm, source.day, seen, is_used=False))
    return sources


def _predicted(rider: Rider) -> list[NumberSource]:
    """Say what the maximum would be by age, if the age is known."""
    if rider.age_years is None:
        return []
    equation = MaximumEquation.TANAKA
    return [
        NumberSource(
            "max_hr_bpm",
            predicted_maximum_bpm(rider.age_years, equation),
            None,
            f"predicted from age ({equation}, standard error {equation.see_bpm:.0f} bpm)",
            is_used=rider.max_hr_bpm is None and not rider.takes_heart_rate_medicine,
        )
    ]


def _write(connection: Connection, ctx: Context, changes: Mapping[str, Any]) -> None:
    """Check all changes together, then write those that are changes."""
    rider = current_rider(connection, ctx.rider_id)
    # A number taken back leaves the field at its default.
    defaults: dict[str, Any] = {field.name: field.default for field in fields(Rider)}
    wanted = {field: defaults[field] if value is None else value for field, value in changes.items()}
    try:
        changed = replace(rider, **wanted)
    except ValueError as error:
        raise BadInput(str(error), what_to_do="Check the number and try again") from error
    numbers = {
        field: value
        for field, value in changes.items()
        if field != "name" and getattr(changed, field) != getattr(rider, field)
    }
    set_numbers(connection, ctx.rider_id, numbers, ctx.today)
    rename_rider(connection, ctx.rider_id, changed.name)
