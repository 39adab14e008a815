"""Numbers in text: which mark is the decimal one, and what a cell says."""

import math
import re
from collections.abc import Iterable
from typing import Final, Literal

import numpy as np

from rideready.model.session import FloatArray

DecimalMark = Literal[",", "."]

#: What stands for "no value", in small letters.
MISSING: Final = frozenset(
    {"", "-", "--", "---", "nan", "null", "none", "n/a", "na", "#n/a", "n.a.", "nil", "?", "."}
)
#: Blanks and apostrophes that group thousands: plain, no-break, narrow no-break and thin space.
_GROUPING: Final = re.compile("(?<=\\d)[ \u00a0\u202f\u2009'\u2019](?=\\d{3}(?!\\d))")
_NUMBER: Final = re.compile(r"^([-+\u2212]?(?:\d[\d.,]*|[.,]\d+)(?:[eE][-+]?\d+)?)\s*([A-Za-zµ°º%/][^\d]*)?$")
_NAN: Final = float("nan")

#: One mark that can be nothing but decimal: not three digits behind it, or a zero or nothing before it.
_SURE: Final = {
    mark: re.compile(rf"^[-+]?(?:\d*{mark}(?:\d{{1,2}}|\d{{4,}})|0*{mark}\d+|\d{{4,}}{mark}\d+)$")
    for mark in (",", r"\.")
}
_UNSURE: Final = {mark: re.compile(rf"^[-+]?[1-9]\d{{0,2}}{mark}\d{{3}}$") for mark in (",", r"\.")}
#: Both marks in one number: the last one is decimal. Several of one mark: it groups.
_MIXED: Final = re.compile(r"^[-+]?\d{1,3}(?:([.,])\d{3})+(?:([.,])\d+)?$")


def possible_marks(cells: Iterable[str]) -> frozenset[DecimalMark]:
    """Say which marks may be the decimal one in these cells.

    Parameters
    ----------
    cells
        Cells of number columns.

    Returns
    -------
    frozenset
        One mark; both if every marked number could be read either way ("1,234"); none if no cell has a mark.

    Examples
    --------
    >>> sorted(possible_marks(["12,5", "1.234"]))
    [',']
    >>> sorted(possible_marks(["1,234"]))
    [',', '.']
    """
    unsure = False
    for cell in cells:
        text = _GROUPING.sub("", cell.strip())
        if _SURE[","].match(text):
            return frozenset({","})
        if _SURE[r"\."].match(text):
            return frozenset({"."})
        mixed = _MIXED.match(text)
        if mixed and mixed[2] and mixed[2] != mixed[1]:
            return frozenset({"," if mixed[2] == "," else "."})
        if mixed and text.count(mixed[1]) > 1:
            return frozenset({"." if mixed[1] == "," else ","})
        unsure = unsure or bool(_UNSURE[","].match(text) or _UNSURE[r"\."].match(text))
    return frozenset({",", "."}) if unsure else frozenset()


def is_missing(cell: str) -> bool:
    """Whether a cell says that there is no value."""
    return cell.strip().casefold() in MISSING


def number(cell: str, mark: DecimalMark = ".") -> float:
    """Read a number; NaN if the cell is empty or no number. A unit behind the number is passed over.

    Parameters
    ----------
    cell
        As in the file.
    mark
        The decimal mark; the other one may group thousands.

    Examples
    --------
    >>> number("1.234,5 m", ",")
    1234.5
    """
    text = cell.strip()
    plain = text if mark == "." else text.replace(",", ".") if "." not in text else ""
    if "_" not in plain:
        try:
            return _finite(float(plain))
        except ValueError:
            pass
    match = _NUMBER.match(_GROUPING.sub("", text))
    if match is None:
        return _NAN
    digits = match[1].replace("\u2212", "-")
    other = "." if mark == "," else ","
    if digits.count(other) and (mark in digits or digits.count(other) > 1 or _UNSURE_AS[other].match(digits)):
        digits = digits.replace(other, "")
    try:
        return _finite(float(digits.replace(",", ".")))
    except ValueError:
        return _NAN


def numbers(cells: Iterable[str], mark: DecimalMark) -> FloatArray:
    """Read a column; a cell that was seen before is not read again, as most heart rates were.

    Parameters
    ----------
    cells, mark
        As for `number`.

    Returns
    -------
    ndarray
        Shape (n,), NaN where there is no number.
    """
    known: dict[str, float] = {}
    values = []
    for cell in cells:
        value = known.get(cell)
        if value is None:
            value = known[cell] = number(cell, mark)
        values.append(value)
    return np.array(values, dtype=float)


def _finite(value: float) -> float:
    return value if math.isfinite(value) else _NAN


_UNSURE_AS: Final = {",": _UNSURE[","], ".": _UNSURE[r"\."]}


def is_number(cell: str) -> bool:
    """Whether a cell holds a number, in either spelling."""
    return _NUMBER.match(_GROUPING.sub("", cell.strip())) is not None
