"""Planned sessions as an iCalendar file (RFC 5545), written by hand so that a second library can check it."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from rideready.share.zone_rules import zone_lines

#: The longest content line, octets without its line break (RFC 5545, 3.1).
MOST_OCTETS = 75


@dataclass(frozen=True, slots=True)
class CalendarEvent:
    """One entry of a calendar.

    Parameters
    ----------
    uid
        The same in every file of the same entry, whatever day it moves to.
    day
        Local day.
    start
        Local time of day; None for an entry of the whole day.
    minutes
        How long; of no account for a whole day.
    summary, description
        Title and text.
    is_cancelled
        Whether an entry that was sent before is taken back.
    """

    uid: str
    day: dt.date
    start: dt.time | None
    minutes: int
    summary: str
    description: str = ""
    is_cancelled: bool = False


@dataclass(frozen=True, slots=True)
class CalendarSettings:
    """What holds for all entries of a file.

    Parameters
    ----------
    name
        What the calendar is called.
    stamp
        When the file was made, UTC.
    sequence
        Which revision of the entries this is, from 0; a calendar takes the higher one.
    zone
        Where the times of day are meant; None for times that go with whoever reads them.
    alarm_min
        Minutes before a start at which to remind; None for no alarm.
    """

    name: str
    stamp: dt.datetime
    sequence: int = 0
    zone: ZoneInfo | None = None
    alarm_min: int | None = None


def write_calendar(events: Sequence[CalendarEvent], settings: CalendarSettings) -> bytes:
    """Write a calendar file.

    Parameters
    ----------
    events
        The entries.
    settings
        What holds for all of them.

    Returns
    -------
    bytes
        UTF-8, lines folded at 75 octets and ended with CRLF.

    References
    ----------
    RFC 5545: 3.1 folding, 3.3.11 escaping, 3.6.1 events, 3.6.5 time zones, 3.6.6 alarms, 3.8.7.4 sequence.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//rideready//plan//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"X-WR-CALNAME:{escaped(settings.name)}",
    ]
    timed = [event.day for event in events if event.start is not None]
    if settings.zone is not None and timed:
        lines += zone_lines(settings.zone, min(timed), max(timed))
    for event in events:
        lines += _event(event, settings)
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def escaped(text: str) -> str:
    """Escape a text (RFC 5545, 3.3.11); control characters, which it forbids, are left out."""
    kept = "".join(
        char for char in text.replace("\r\n", "\n").replace("\r", "\n") if char == "\n" or char.isprintable()
    )
    for plain, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        kept = kept.replace(plain, written)
    return kept


def folded(line: str) -> bytes:
    """Fold a content line at 75 octets, never inside a character, and end it (RFC 5545, 3.1)."""
    if line.isascii():  # an octet a character: nearly every line
        octets_of_line = line.encode("ascii")
        starts = range(MOST_OCTETS, len(octets_of_line), MOST_OCTETS - 1)
        rest = (octets_of_line[start : start + MOST_OCTETS - 1] for start in starts)
        return b"\r\n ".join([octets_of_line[:MOST_OCTETS], *rest]) + b"\r\n"
    pieces, room = [b""], MOST_OCTETS
    for char in line:
        octets = char.encode("utf-8", errors="replace")
        if len(octets) > room:
            pieces.append(b" ")
            room = MOST_OCTETS - 1
        pieces[-1] += octets
        room -= len(octets)
    return b"\r\n".join(pieces) + b"\r\n"


def _event(event: CalendarEvent, settings: CalendarSettings) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{escaped(event.uid)}"
    yield f"DTSTAMP:{settings.stamp.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}"
    yield f"SEQUENCE:{settings.sequence}"
    yield from _times(event, settings.zone)
    yield f"SUMMARY:{escaped(event.summary)}"
    if event.description:
        yield f"DESCRIPTION:{escaped(event.description)}"
    yield "CLASS:PRIVATE"
    yield "TRANSP:TRANSPARENT" if event.start is None or event.is_cancelled else "TRANSP:OPAQUE"
    yield f"STATUS:{'CANCELLED' if event.is_cancelled else 'CONFIRMED'}"
    if settings.alarm_min is not None and event.start is not None and not event.is_cancelled:
        yield from (
            "BEGIN:VALARM",
            "ACTION:DISPLAY",
            f"DESCRIPTION:{escaped(event.summary)}",
            f"TRIGGER:-PT{settings.alarm_min}M",
            "END:VALARM",
        )
    yield "END:VEVENT"


def _times(event: CalendarEvent, zone: ZoneInfo | None) -> Iterator[str]:
    """Write begin and end: whole days, or local times with their zone."""
    if event.start is None:
        yield f"DTSTART;VALUE=DATE:{event.day:%Y%m%d}"
        yield f"DTEND;VALUE=DATE:{event.day + dt.timedelta(days=1):%Y%m%d}"
        return
    start = dt.datetime.combine(event.day, event.start)
    end = start + dt.timedelta(minutes=event.minutes)
    if zone is not None:  # a session over the change of the clocks lasts as long as planned
        exact = start.replace(tzinfo=zone).astimezone(dt.UTC) + dt.timedelta(minutes=event.minutes)
        end = exact.astimezone(zone).replace(tzinfo=None)
    where = f";TZID={zone.key}" if zone is not None else ""
    yield f"DTSTART{where}:{start:%Y%m%dT%H%M%S}"
    yield f"DTEND{where}:{end:%Y%m%dT%H%M%S}"
