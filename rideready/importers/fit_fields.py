"""What the names and codes of a FIT file mean here.

The names are those of the public FIT profile, as both libraries spell them. Where a code is younger than
a library's profile it arrives as a bare number and means nothing here.
"""

from collections.abc import Mapping
from typing import Any, Final

from rideready.model.session import Kind

#: Fields of a ``record`` that are read, in the order of the decoded columns. Position is left out on purpose.
RECORD_FIELDS: Final = (
    "timestamp",
    "heart_rate",
    "power",
    "cadence",
    "cadence256",
    "fractional_cadence",
    "speed",
    "enhanced_speed",
    "distance",
    "altitude",
    "enhanced_altitude",
    "temperature",
)

#: Developer fields declared to stand for a native field of ``record``: used where that one is absent.
#: Only those whose unit leaves no doubt. Native number to column.
STAND_INS: Final = {3: "developer_heart_rate", 7: "developer_power", 4: "developer_cadence"}

COLUMNS: Final = (*RECORD_FIELDS, *STAND_INS.values())
COLUMN_INDEX: Final = {name: index for index, name in enumerate(COLUMNS)}

#: Other messages that are read; everything else is passed over.
OTHER_MESSAGES: Final = frozenset({"file_id", "device_info", "event", "sport", "session", "activity"})

#: Messages the libraries need themselves, to make sense of developer fields.
DEVELOPER_MESSAGES: Final = frozenset({"developer_data_id", "field_description"})

#: A time below this is not a date but seconds since the recorder was switched on (FIT profile, date_time).
FIRST_DATE: Final = 0x10000000
#: Seconds from 1970-01-01 to the FIT epoch, 1989-12-31, both in UTC.
FIT_EPOCH_S: Final = 631_065_600

STOPS: Final = frozenset({"stop", "stop_all", "stop_disable", "stop_disable_all"})

_BY_SUB_SPORT: Final = {
    "strength_training": Kind.STRENGTH,
    "indoor_cycling": Kind.BIKE,
    "spin": Kind.BIKE,
    "treadmill": Kind.RUN,
    "indoor_running": Kind.RUN,
    "indoor_walking": Kind.WALK,
    "indoor_rowing": Kind.ROW,
    "indoor_skiing": Kind.SKI,
    "atv": Kind.RIDING,
    "motocross": Kind.RIDING,
}
_BY_SPORT: Final = {
    "cycling": Kind.BIKE,
    "e_biking": Kind.BIKE,
    "running": Kind.RUN,
    "walking": Kind.WALK,
    "hiking": Kind.WALK,
    "snowshoeing": Kind.WALK,
    "cross_country_skiing": Kind.SKI,
    "alpine_skiing": Kind.SKI,
    "rowing": Kind.ROW,
    "snowmobiling": Kind.RIDING,
    "motorcycling": Kind.RIDING,
    62: Kind.CIRCUIT,  # high-intensity intervals; younger than the profile of fitparse 1.2.0
    "hiit": Kind.CIRCUIT,
}

_FILE_TYPES: Final = {
    "device": "a description of a device",
    "settings": "settings",
    "sport": "sport settings",
    "workout": "a planned workout",
    "course": "a course",
    "schedules": "a schedule",
    "weight": "body weight",
    "totals": "totals",
    "goals": "goals",
    "blood_pressure": "blood pressure",
    "monitoring_a": "all-day monitoring",
    "monitoring_b": "all-day monitoring",
    "monitoring_daily": "all-day monitoring",
    "activity_summary": "a summary without samples",
    "segment": "a segment",
    "segment_list": "a list of segments",
}


def kind_of(sport: Any, sub_sport: Any) -> Kind:
    """Say what was done; the finer name counts first.

    Parameters
    ----------
    sport, sub_sport
        Names of the FIT profile, numbers where the library knows no name, or None.
    """
    if sub_sport in _BY_SUB_SPORT:
        return _BY_SUB_SPORT[sub_sport]
    return _BY_SPORT.get(sport, Kind.OTHER)


def purpose_of(file_type: Any) -> str:
    """Say what a FIT file that is no workout holds, as a noun phrase."""
    return _FILE_TYPES.get(file_type, "something else")


def device_text(fields: Mapping[str, Any]) -> str | None:
    """Name the recorder in plain words: maker and product, never a serial number.

    Parameters
    ----------
    fields
        Values of ``file_id``, or of the ``device_info`` of the recorder itself.
    """
    maker = _plain(fields.get("manufacturer"))
    named = fields.get("product_name")
    coded = next((value for name, value in fields.items() if name == "product" or _is_product(name)), None)
    product = _plain(named if named is not None else coded)
    if maker.isdigit() or product.casefold().startswith(maker.casefold()):
        maker = ""
    if not maker and product.isdigit():
        return None
    text = f"{maker} {product}".strip()
    return text[:80] or None


def _is_product(name: str) -> bool:
    """Whether this is one of the profile's readings of ``product``, which depend on the maker."""
    return name.endswith("_product")


def _plain(value: Any) -> str:
    """Turn a name of the profile, a text or a number into words; control characters are dropped."""
    if isinstance(value, str):
        return " ".join("".join(c if c.isprintable() else " " for c in value.replace("_", " ")).split())
    return str(value) if isinstance(value, int) else ""


def zone_text(timestamp: Any, local_timestamp: Any) -> str | None:
    """Work out the fixed offset of the local clock.

    Parameters
    ----------
    timestamp, local_timestamp
        The same moment in UTC and on the local clock, s; anything else gives None.

    Returns
    -------
    str or None
        ``UTC+02:00``; None if the difference is no offset in use (a whole quarter of an hour, from
        12 hours west to 14 hours east) to within a minute.

    Examples
    --------
    >>> zone_text(1_000_000_000, 1_000_007_200)
    'UTC+02:00'
    """
    if not (isinstance(timestamp, int) and isinstance(local_timestamp, int)) or timestamp < FIRST_DATE:
        return None
    difference = local_timestamp - timestamp
    quarters = round(difference / 900)
    if not -48 <= quarters <= 56 or abs(difference - quarters * 900) > 60:
        return None
    return offset_text(quarters * 900)


def offset_text(offset_s: int) -> str:
    """Write an offset from UTC as a zone.

    Examples
    --------
    >>> offset_text(-12_600)
    'UTC-03:30'
    """
    hours, minutes = divmod(abs(offset_s) // 60, 60)
    return f"UTC{'-' if offset_s < 0 else '+'}{hours:02d}:{minutes:02d}"
