"""Riders and their numbers; a number is never overwritten, the newest of its kind counts."""

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select, update

from rideready.errors import BadInput, NotInStore
from rideready.model.rider import Rider, Sex
from rideready.store import schema


@dataclass(frozen=True, slots=True)
class DatedNumber:
    """One of a rider's numbers as it was entered.

    Parameters
    ----------
    field
        Field of `Rider`.
    value
        Number or word; None where the rider took it back.
    day
        The day it was entered.
    """

    field: str
    value: Any
    day: dt.date


def rider_names(connection: Connection) -> dict[int, str]:
    """Names of the riders by number, in the order they were added."""
    query = select(schema.rider.c.id, schema.rider.c.name).order_by(schema.rider.c.id)
    return {row.id: row.name for row in connection.execute(query)}


def add_rider(connection: Connection, name: str) -> int:
    """Add a rider and return the number; raises `BadInput` if the name is taken."""
    _check_free(connection, name)
    added = connection.execute(insert(schema.rider).values(name=name).returning(schema.rider.c.id))
    return int(added.scalar_one())


def rename_rider(connection: Connection, rider_id: int, name: str) -> None:
    """Give a rider another name; raises `BadInput` if it is another's."""
    if rider_names(connection).get(rider_id) != name:
        _check_free(connection, name)
        connection.execute(update(schema.rider).where(schema.rider.c.id == rider_id).values(name=name))


def set_numbers(connection: Connection, rider_id: int, values: Mapping[str, Any], day: dt.date) -> None:
    """Write new numbers beside the old ones.

    Parameters
    ----------
    connection
        Inside a writing transaction.
    rider_id
        Whose they are.
    values
        Field of `Rider`, name aside, to its new value.
    day
        The day they hold from.
    """
    rows = [
        {"rider_id": rider_id, "field": field, "value": json.dumps(value), "day": day.isoformat()}
        for field, value in values.items()
    ]
    if rows:
        connection.execute(insert(schema.rider_number), rows)


def dated_numbers(connection: Connection, rider_id: int) -> list[DatedNumber]:
    """Every number a rider ever entered, in the order of entry."""
    number = schema.rider_number.c
    query = select(schema.rider_number).where(number.rider_id == rider_id).order_by(number.id)
    return [
        DatedNumber(row.field, json.loads(row.value), dt.date.fromisoformat(row.day))
        for row in connection.execute(query)
    ]


def current_rider(connection: Connection, rider_id: int) -> Rider:
    """Return the rider as the newest numbers have it; raises `NotInStore` if there is none."""
    name = rider_names(connection).get(rider_id)
    if name is None:
        raise NotInStore(f"there is no rider {rider_id}")
    newest = {number.field: number.value for number in dated_numbers(connection, rider_id)}
    # A number that was taken back leaves the field at its default.
    known = {field: value for field, value in newest.items() if value is not None}
    if "sex" in known:
        known["sex"] = Sex(known["sex"])
    return Rider(name=name, **known)


def _check_free(connection: Connection, name: str) -> None:
    if name in rider_names(connection).values():
        raise BadInput(f"there is already a rider called {name!r}", what_to_do="Choose another name")
