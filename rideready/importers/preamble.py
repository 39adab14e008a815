"""What stands above the headings of a table: when, what and with which recorder."""

import math
from collections.abc import Iterator, Sequence

from rideready.importers.time_axis import DAY_S, date_order
from rideready.importers.times import Style, read_times, style_of
from rideready.importers.words import MEANINGS, plain

Rows = Sequence[Sequence[str]]


def start_above(path: str, preamble: Rows, said: str | None) -> tuple[float, float, float] | None:
    """Find the day, and the time of day if it is there.

    Parameters
    ----------
    path
        The file, as the user named it.
    preamble
        Rows above the headings.
    said
        What the rider has said about the order of day and month.

    Returns
    -------
    tuple of float or None
        Day, s since 1970-01-01 as the clock shows it; time of day, s, NaN if none; zone as an offset from UTC,
        s, NaN if none. None if no day stands there.
    """
    cells = [
        part for row in preamble for cell in row for part in (cell, cell.partition(":")[2].strip()) if part
    ]
    styles = [(style_of([cell]), cell) for cell in cells]
    found = {style: cell for style, cell in reversed(styles) if style is not None}
    day_cell = found.get(Style.STAMP) or found.get(Style.DATE)
    if day_cell is None:
        return None
    style = Style.STAMP if Style.STAMP in found else Style.DATE
    day = read_times([day_cell], style)
    day_s = float(day.days(date_order(path, day.dates, said))[0]) * DAY_S
    if style is Style.DATE:
        style = Style.CLOCK if Style.CLOCK in found else Style.SHORT
    clock_cell = found.get(style)
    if clock_cell is None or not math.isfinite(day_s):
        return (day_s, math.nan, math.nan) if math.isfinite(day_s) else None
    clock = read_times([clock_cell], style)
    return day_s, float(clock.second[0]), float(clock.offset_s[0])


def text_above(preamble: Rows, role: str) -> str | None:
    """Find what stands beside a word that means this, in the next cell or behind a colon.

    Parameters
    ----------
    preamble
        Rows above the headings.
    role
        A meaning of `words.MEANINGS`.

    Examples
    --------
    >>> text_above([["Sportart", "Laufen"]], "kind")
    'Laufen'
    """
    return next((value for key, value in _pairs(preamble) if role in MEANINGS.get(plain(key), ())), None)


def _pairs(preamble: Rows) -> Iterator[tuple[str, str]]:
    for row in preamble:
        cells = [cell for cell in row if cell]
        if len(cells) > 1:
            yield cells[0], cells[1]
        for cell in cells:
            key, colon, value = cell.partition(":")
            if colon and value.strip():
                yield key, value.strip()
