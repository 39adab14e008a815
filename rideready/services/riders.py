"""Whose numbers these are, where they come from, and what changes when they do."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

from rideready.model.rider import Rider
from rideready.services.context import Context


@dataclass(frozen=True, slots=True)
class NumberSource:
    """One of the rider's numbers and where it comes from.

    Parameters
    ----------
    name
        Field of `Rider`.
    value
        The number or word.
    day
        When it was set; None for a number worked out from others.
    source
        ``entered``, ``predicted from age`` or ``seen in session 12``.
    is_used
        Whether analysis rests on it.
    """

    name: str
    value: float | str
    day: dt.date | None
    source: str
    is_used: bool


def get_rider(ctx: Context) -> Rider:
    """Return the rider as the newest numbers have it."""
    raise NotImplementedError


def update_rider(ctx: Context, **changes: Any) -> Rider:
    """Set numbers by field name of `Rider` and work everything out again; raises `BadInput`."""
    raise NotImplementedError


def rider_sources(ctx: Context) -> list[NumberSource]:
    """List every number with its source, the one in use first, older ones after it."""
    raise NotImplementedError


def list_riders(ctx: Context) -> list[str]:
    """Names of the riders in the store."""
    raise NotImplementedError
