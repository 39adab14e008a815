"""A time zone written down for a calendar: its offsets and when they change (RFC 5545, 3.6.5)."""

import datetime as dt
from zoneinfo import ZoneInfo

from rideready.errors import BadInput


def zone_named(name: str) -> ZoneInfo:
    """Return a zone by its name; raises `BadInput` if there is none."""
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, KeyError) as error:  # a path, a folder, an unknown name
        raise BadInput(
            "there is no time zone of this name", "--zone", "Name one like Europe/Oslo, or none"
        ) from error


def zone_lines(zone: ZoneInfo, first: dt.date, last: dt.date) -> list[str]:
    """Describe a zone from one day to another.

    Every change of offset between them is an observance of its own with its exact moment; no yearly rule is
    written down, since laws change them.

    Parameters
    ----------
    zone
        The zone.
    first, last
        Both days included.

    Returns
    -------
    list of str
        A ``VTIMEZONE``, one content line each.
    """
    start = dt.datetime.combine(first - dt.timedelta(days=1), dt.time())
    lines = ["BEGIN:VTIMEZONE", f"TZID:{zone.key}"]
    lines += _observance(zone, start, _offset(zone, start))
    moment = start
    end = dt.datetime.combine(last + dt.timedelta(days=2), dt.time())
    while moment < end:
        later = moment + dt.timedelta(days=1)
        if _offset(zone, moment) != _offset(zone, later):
            change = _change_between(zone, moment, later)
            lines += _observance(zone, change, _offset(zone, moment))
        moment = later
    return [*lines, "END:VTIMEZONE"]


def _offset(zone: ZoneInfo, utc: dt.datetime) -> dt.timedelta:
    """Return the offset at a moment given in UTC."""
    return utc.replace(tzinfo=dt.UTC).astimezone(zone).utcoffset() or dt.timedelta()


def _change_between(zone: ZoneInfo, low: dt.datetime, high: dt.datetime) -> dt.datetime:
    """Find the first second, in UTC, with the later of two offsets."""
    before = _offset(zone, low)
    while high - low > dt.timedelta(seconds=1):
        middle = (low + (high - low) / 2).replace(microsecond=0)
        low, high = (middle, high) if _offset(zone, middle) == before else (low, middle)
    return high


def _observance(zone: ZoneInfo, utc: dt.datetime, before: dt.timedelta) -> list[str]:
    """Write one stretch of constant offset; it begins at a local time told by the offset before it."""
    local = utc.replace(tzinfo=dt.UTC).astimezone(zone)
    kind = "DAYLIGHT" if local.dst() else "STANDARD"
    return [
        f"BEGIN:{kind}",
        f"DTSTART:{utc + before:%Y%m%dT%H%M%S}",
        f"TZOFFSETFROM:{_signed(before)}",
        f"TZOFFSETTO:{_signed(local.utcoffset() or dt.timedelta())}",
        f"TZNAME:{local.tzname()}",
        f"END:{kind}",
    ]


def _signed(offset: dt.timedelta) -> str:
    seconds = round(offset.total_seconds())
    minutes, rest = divmod(abs(seconds), 60)
    text = f"{'-' if seconds < 0 else '+'}{minutes // 60:02d}{minutes % 60:02d}"
    return f"{text}{rest:02d}" if rest else text
