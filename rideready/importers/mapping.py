"""What the rider has said about the columns of a file, as typed and as remembered."""

import datetime as dt
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, Final, Self
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rideready.errors import BadInput
from rideready.importers.units import unit_names, unit_of
from rideready.importers.words import DATE, ELAPSED, TIME
from rideready.model.session import CHANNELS

#: What may be named by a column: the channels, and the time with or without its date.
ROLES: Final = (TIME, DATE, *CHANNELS)
#: Says that the file has no such column.
NO_COLUMN: Final = "none"

_CHOICES: Final = {
    "dates": ("day-first", "month-first"),
    "decimal": ("comma", "point"),
    "times": ("h:mm", "m:ss"),
}


@dataclass(frozen=True, slots=True)
class ColumnMapping:
    """Answers to what a table leaves open; whatever is not said is read from the file.

    Parameters
    ----------
    columns
        Channel, ``time`` or ``date`` to the heading of its column as it stands in the file, or to ``none``
        if the file has no such column. A file without headings has ``column 1``, ``column 2`` and so on.
    units
        Channel or ``time`` to its unit, for headings that name none.
    dates
        ``day-first`` or ``month-first``: how 03/04/2026 is meant.
    decimal
        ``comma`` or ``point``: how 1,234 is meant.
    times
        ``h:mm`` or ``m:ss``: how 12:30 is meant.
    zone
        Where the clock of the file hung, for times without a zone: IANA name or ``UTC+02:00``.

    Raises
    ------
    BadInput
        If a name or a value is none of these.

    Examples
    --------
    >>> ColumnMapping.from_options(column=["hr_bpm=Pulse A"], dates="day-first").columns["hr_bpm"]
    'Pulse A'
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    dates: str | None = None
    decimal: str | None = None
    times: str | None = None
    zone: str | None = None

    def __post_init__(self) -> None:
        for role in self.columns:
            if role not in ROLES:
                raise BadInput(f"{role} is no channel", "--column", f"Use one of {', '.join(ROLES)}")
        for role, unit in self.units.items():
            if role not in ROLES or unit_of(role, unit) is None:
                known = unit_names(ELAPSED if role == TIME else role)
                what = f"{unit} is no unit of {role}"
                raise BadInput(what, "--unit", f"Use one of {', '.join(known)}" if known else "Leave it out")
        for name, allowed in _CHOICES.items():
            value = getattr(self, name)
            if value is not None and value not in allowed:
                raise BadInput(f"{value} is not known", f"--{name}", f"Use {' or '.join(allowed)}")
        if self.zone is not None:
            time_zone(self.zone)

    @classmethod
    def from_options(
        cls,
        *,
        column: Sequence[str] = (),
        unit: Sequence[str] = (),
        dates: str | None = None,
        decimal: str | None = None,
        times: str | None = None,
        zone: str | None = None,
    ) -> Self:
        """Make a mapping of options as they are typed.

        Parameters
        ----------
        column
            ``hr_bpm=Pulse A`` and the like.
        unit
            ``speed_m_s=km/h`` and the like.
        dates, decimal, times, zone
            As above.
        """
        return cls(
            columns=_pairs(column, "--column", "hr_bpm=Pulse A"),
            units=_pairs(unit, "--unit", "speed_m_s=km/h"),
            dates=dates,
            decimal=decimal,
            times=times,
            zone=zone,
        )

    @classmethod
    def from_dict(cls, values: Mapping[str, Any]) -> Self:
        """Make a mapping of a JSON object; raises `BadInput` for keys or values it does not know."""
        names = {item.name for item in fields(cls)}
        for name, value in values.items():
            is_table = isinstance(value, Mapping) and all(
                isinstance(k, str) and isinstance(v, str) for k, v in value.items()
            )
            if name not in names:
                raise BadInput(
                    f"{name} is no part of a column mapping", "", f"Use {', '.join(sorted(names))}"
                )
            if not (is_table if name in {"columns", "units"} else value is None or isinstance(value, str)):
                raise BadInput(f"{name} has a value of the wrong sort", "column mapping")
        return cls(**values)

    @classmethod
    def from_json(cls, text: str) -> Self:
        """Make a mapping of a JSON text; raises `BadInput` if it is none."""
        try:
            values = json.loads(text)
        except ValueError as fault:
            raise BadInput("this is no JSON", "column mapping") from fault
        if not isinstance(values, dict):
            raise BadInput("this is no JSON object", "column mapping")
        return cls.from_dict(values)

    def to_dict(self) -> dict[str, Any]:
        """Return what was said as a JSON object; what was not said is left out."""
        said = {
            "columns": dict(self.columns),
            "units": dict(self.units),
            "dates": self.dates,
            "decimal": self.decimal,
            "times": self.times,
            "zone": self.zone,
        }
        return {name: value for name, value in said.items() if value}

    def to_json(self) -> str:
        """Return what was said as a JSON text, the same for the same answers."""
        return json.dumps(self.to_dict(), sort_keys=True, ensure_ascii=False)

    def overridden_by(self, other: "ColumnMapping") -> "ColumnMapping":
        """Return both together; where both say something, the other one counts."""
        return ColumnMapping(
            columns={**self.columns, **other.columns},
            units={**self.units, **other.units},
            dates=other.dates or self.dates,
            decimal=other.decimal or self.decimal,
            times=other.times or self.times,
            zone=other.zone or self.zone,
        )


def _pairs(texts: Sequence[str], option: str, example: str) -> dict[str, str]:
    pairs = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise BadInput(f"{text!r} has no name and value", option, f"Write it like {option} {example!r}")
        pairs[name.strip()] = value.strip()
    return pairs


def time_zone(name: str) -> dt.tzinfo:
    """Return a zone by its IANA name or as ``UTC+02:00``; raises `BadInput` if there is none.

    Examples
    --------
    >>> time_zone("UTC-03:30").utcoffset(None).total_seconds()
    -12600.0
    """
    fixed = re.fullmatch(r"UTC([+-])(\d\d):(\d\d)", name)
    if fixed and int(fixed[2]) < 15:
        offset = dt.timedelta(hours=int(fixed[2]), minutes=int(fixed[3]))
        return dt.timezone(-offset if fixed[1] == "-" else offset)
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        raise BadInput(f"{name} is no time zone", "--zone", "Use a name like Europe/Oslo") from fault
