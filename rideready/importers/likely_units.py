"""Which unit a column has that names none."""

from typing import Final

import numpy as np

from rideready.importers.decimals import DecimalMark
from rideready.importers.headings import Heading
from rideready.importers.table import Table
from rideready.importers.units import Unit, unit_named, unit_of
from rideready.importers.words import PACE
from rideready.model.session import FloatArray

#: Units taken where neither heading nor values say otherwise: those of the session.
_PLAIN: Final = {
    "power_w": "W",
    "cadence_rpm": "rpm",
    "speed_m_s": "m/s",
    "distance_m": "m",
    "altitude_m": "m",
    "temperature_c": "°C",
}
#: No session is so short in metres, nor so long in kilometres.
_LEAST_M: Final = 200.0
#: Nobody keeps this up for a twentieth of a session on foot, m/s; on a bike it is 25 km/h.
_FAST_M_S: Final = 7.0


def unit_for(table: Table, name: str, heading: Heading, mark: DecimalMark, warnings: list[str]) -> Unit:
    """Return a channel's unit; where none is named, the likelier one, with a word about it.

    Parameters
    ----------
    table
        The first rows of a file, with their times.
    name, heading
        The channel and its column.
    mark
        The decimal mark.
    warnings
        Takes the word about it.
    """
    named = _named_unit(table, name, heading)
    if named is not None:
        return named
    guess = _PLAIN[name]
    if heading.may_be(PACE) and not heading.may_be(name):
        guess = "min/km"
    elif name == "speed_m_s":
        guess = _likely_speed_unit(table, heading.index, mark)
    elif name == "distance_m":
        guess = _likely_distance_unit(table.column(heading.index, mark))
    if name not in {"power_w", "cadence_rpm"}:
        option = f"--unit {name}={guess}"
        warnings.append(f"Column {heading.name!r} names no unit and was read as {guess} ({option}).")
    return unit_named(name, guess)


def _named_unit(table: Table, name: str, heading: Heading) -> Unit | None:
    """Return the unit that the rider or else the heading names."""
    return unit_of(name, table.said.units.get(name, "")) or heading.unit


def _likely_distance_unit(values: FloatArray) -> str:
    known = values[np.isfinite(values)]
    return "km" if known.size and float(known.max()) < _LEAST_M else "m"


def _likely_speed_unit(table: Table, index: int, mark: DecimalMark) -> str:
    """Compare the speeds with the way made, if it is there; else judge by their height."""
    speed = table.column(index, mark)
    for heading in table.headings():
        if heading.may_be("distance_m"):
            way = table.column(heading.index, mark)
            unit = _named_unit(table, "distance_m", heading)
            unit = unit or unit_named("distance_m", _likely_distance_unit(way))
            rows = np.isfinite(way) & np.isfinite(speed) & np.isfinite(table.t_s)
            if np.count_nonzero(rows) > 1:
                way_m, t_s = unit.convert(way[rows]), table.t_s[rows]
                made = (way_m[-1] - way_m[0]) / max(t_s[-1] - t_s[0], 1.0)
                shown = float(np.mean(speed[rows]))
                for name in ("m/s", "km/h", "mph"):
                    factor = unit_named("speed_m_s", name).factor
                    if made > 0 and 0.85 < shown * factor / made < 1.18:
                        return name
    top = float(np.nanpercentile(speed, 95)) if np.isfinite(speed).any() else 0.0
    return "km/h" if top > _FAST_M_S else "m/s"
