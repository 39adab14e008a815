"""Units in headings, and how their values become those of a session.

References
----------
Factors to SI are exact by definition (BIPM, The International System of Units, 9th ed. 2019, and the
international yard and pound agreement of 1959): 1 mi = 1609.344 m, 1 ft = 0.3048 m, 1 kn = 1852 m/h.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from rideready.importers.words import CLOCK, ELAPSED, PACE, STAMP, TIME, plain
from rideready.model.session import FloatArray


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of one channel.

    Parameters
    ----------
    name
        As it is written here and in options.
    factor, offset
        Value of the session = (value + offset) * factor; for a pace, factor / value.
    is_pace
        Whether the value is time per way.
    """

    name: str
    factor: float = 1.0
    offset: float = 0.0
    is_pace: bool = False

    def convert(self, values: FloatArray) -> FloatArray:
        """Bring values to the unit of the session; a pace of 0 becomes NaN."""
        with np.errstate(over="ignore"):  # what is beyond any number becomes infinite, and absent later
            if self.is_pace:
                return self.factor / np.where(values > 0, values, np.nan)
            return (values + self.offset) * self.factor


_MILE_M: Final = 1609.344

#: Channel to unit to the ways it is written.
_WRITTEN: Final[dict[str, dict[Unit, str]]] = {
    "hr_bpm": {
        Unit(
            "bpm"
        ): "bpm, 1/min, /min, min-1, min^-1, beats/min, beats per minute, b/min, schläge/min, s/min, bat/min, "
        "btt/min, battements/min, ppm, lpm, pul/min, slag/min, slag per minutt, lyöntiä/min, l/min, slagen/min, "
        "battiti/min, p/m"
    },
    "power_w": {Unit("W"): "w, watt, watts", Unit("kW", 1000.0): "kw, kilowatt"},
    "cadence_rpm": {
        Unit(
            "rpm"
        ): "rpm, 1/min, /min, min-1, u/min, umdr/min, upm, tr/min, t/min, r/min, rev/min, strides/min, o/min, "
        "omw/min, giri/min, varv/min, kierr/min, omdr/min, rev per minute",
        # Counted as FIT counts: strides of one leg.
        Unit(
            "steps/min", 0.5
        ): "spm, steps/min, steps per minute, schritte/min, pas/min, ppm, pasos/min, skritt/min, "
        "steg/min, skridt/min, askelta/min, stappen/min, passi/min",
    },
    "speed_m_s": {
        Unit("m/s"): "m/s, mps, ms-1, m s-1, m/sec, m_s, meters per second, metres per second, m.s-1, m*s-1",
        Unit("km/h", 1 / 3.6): "km/h, kmh, kph, km/t, kmt, km/u, kmph, km_h, km/std, km h-1, km/hr",
        Unit("mph", _MILE_M / 3600): "mph, mi/h, miles/h, mi/hr",
        Unit("kn", 1852 / 3600): "kn, kt, kts, knots",
        Unit("ft/s", 0.3048): "ft/s, fps",
        Unit("min/km", 1000 / 60, is_pace=True): "min/km, /km, mins/km, min per km, mm:ss/km, min_km",
        Unit("s/km", 1000.0, is_pace=True): "s/km, sec/km",
        Unit("min/mi", _MILE_M / 60, is_pace=True): "min/mi, min/mile, /mi, min per mile, min_mi",
    },
    "distance_m": {
        Unit("m"): "m, meter, meters, metre, metres, mètres, metros, metriä, metri",
        Unit("km", 1000.0): "km, kilometer, kilometers, kilometre, kilometres, kms",
        Unit("mi", _MILE_M): "mi, mile, miles",
        Unit("ft", 0.3048): "ft, feet",
        Unit("yd", 0.9144): "yd, yards",
    },
    "altitude_m": {
        Unit(
            "m"
        ): "m, meter, meters, metre, metres, mètres, metros, metriä, metri, moh, möh, m asl, masl, m ü. m., mnn",
        Unit("km", 1000.0): "km",
        Unit("ft", 0.3048): "ft, feet",
    },
    "temperature_c": {
        Unit("°C"): "°c, c, degc, deg c, celsius, ºc, grad",
        Unit("°F", 5 / 9, offset=-32.0): "°f, f, degf, deg f, fahrenheit, ºf",
        Unit("K", 1.0, offset=-273.15): "k, kelvin",
    },
    ELAPSED: {
        Unit(
            "s"
        ): "s, sec, secs, second, seconds, sek, sekunden, secondes, segundos, seg, sekunder, sekuntia, seconden, "
        "secondi",
        Unit("ms", 1e-3): "ms, msec, millis, milliseconds, millisekunden",
        Unit("min", 60.0): "min, mins, minutes, minuten, minutos, minutter, minuter, minuuttia, minuti",
        Unit("h", 3600.0): "h, hour, hours, stunden, std, heures, horas, timer, timmar, tuntia, uren, ore",
    },
}


def _squeezed(text: str) -> str:
    """Write a unit the way it is compared: small, without spaces."""
    return "".join(text.casefold().split()).strip(".").replace("⁻¹", "-1").replace("·", "*")


_KNOWN: Final[dict[str, dict[str, Unit]]] = {
    role: {_squeezed(way): unit for unit, ways in units.items() for way in [*ways.split(","), unit.name]}
    for role, units in _WRITTEN.items()
}
#: A unit that stands alone as a heading, and the channel it gives away.
_TELLING: Final = {
    "hr_bpm": "bpm, beats/min",
    "power_w": "w, watt, watts",
    "cadence_rpm": "rpm, spm, steps/min",
    "speed_m_s": "km/h, kmh, m/s, mph, min/km",
    "temperature_c": "°c, °f",
    ELAPSED: "s, sec, min",
}
ALONE: Final = {_squeezed(way): role for role, ways in _TELLING.items() for way in ways.split(",")}


def unit_of(role: str, text: str) -> Unit | None:
    """Read a unit.

    Parameters
    ----------
    role
        The channel or kind of time it belongs to.
    text
        As written, without brackets.

    Examples
    --------
    >>> unit_of("speed_m_s", "km/t").name
    'km/h'
    """
    family = ELAPSED if role in {TIME, CLOCK, STAMP} else "speed_m_s" if role == PACE else role
    return _KNOWN.get(family, {}).get(_squeezed(text))


def unit_named(role: str, name: str) -> Unit:
    """Return the unit of this name; raises ``KeyError`` if the channel has none."""
    return _KNOWN[role][_squeezed(name)]


def is_unit(text: str) -> bool:
    """Whether a text is a unit of any channel, a remark on a time, or empty."""
    squeezed = _squeezed(text.strip("[](){}"))
    known = any(squeezed in family for family in _KNOWN.values())
    return known or squeezed in {
        "",
        "-",
        "hh:mm:ss",
        "h:mm:ss",
        "mm:ss",
        "utc",
        "local",
        "yyyy-mm-dd",
        "%",
        "°",
    }


def unit_names(role: str) -> tuple[str, ...]:
    """Return the units that may be given for a channel."""
    return tuple(unit.name for unit in _WRITTEN.get(role, {}))


def said_alone(text: str) -> str | None:
    """Return the channel that a unit standing alone as a heading gives away."""
    return ALONE.get(_squeezed(text)) or ALONE.get(_squeezed(plain(text)))
