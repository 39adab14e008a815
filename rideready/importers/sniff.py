"""How a table is written: encoding, delimiter, where the headings stand and where the rows begin."""

import codecs
import csv
import hashlib
import io
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from rideready.errors import UnreadableFile
from rideready.importers.decimals import is_missing, is_number
from rideready.importers.headings import read_heading
from rideready.importers.times import style_of
from rideready.importers.units import is_unit

#: How much of a file is looked at, bytes, and how many of its first rows.
HEAD_BYTES: Final = 1 << 18
_HEAD_ROWS: Final = 400
#: Likelier delimiters first: a comma may be a decimal mark, a blank may stand inside anything.
_DELIMITERS: Final = ("\t", ";", ",", "|", " ")
#: A heading row must be followed by rows of its width; this many are looked at.
_FOLLOWERS: Final = 8


@dataclass(frozen=True, slots=True)
class Layout:
    """How a table is written.

    Parameters
    ----------
    encoding, delimiter
        As Python's ``open`` and ``csv`` want them.
    names
        Headings as they stand, made distinct where two are alike; ``column 1`` and so on if there are none.
    units
        What stands below each heading in a separate row of units; empty texts if there is no such row.
    has_headings
        Whether the file has a row of headings.
    first_row
        How many rows come before the first one with samples.
    preamble
        Rows above the headings.
    """

    encoding: str
    delimiter: str
    names: tuple[str, ...]
    units: tuple[str, ...]
    has_headings: bool
    first_row: int
    preamble: tuple[tuple[str, ...], ...]

    @property
    def shape(self) -> str:
        """A key that files with the same headings, units and delimiter share."""
        text = json.dumps([self.delimiter, self.names, self.units])
        return f"table-{hashlib.sha256(text.encode()).hexdigest()[:16]}"


def sniff(path: str, head: bytes) -> Layout:
    """Find out how a table is written.

    Parameters
    ----------
    path
        The file, as the user named it; for the sentence of an error.
    head
        Its first `HEAD_BYTES` bytes.

    Raises
    ------
    UnreadableFile
        If no table can be found.
    """
    encoding = _encoding(head)
    text = codecs.getincrementaldecoder(encoding)("replace").decode(head)
    if len(head) == HEAD_BYTES and "\n" in text:
        text = text[: text.rindex("\n") + 1]  # the last line may be cut in the middle
    declared = text[:20].partition("\n")[0].strip()
    if declared.casefold().startswith("sep=") and len(declared) == 5:
        candidates: tuple[str, ...] = (declared[4],)
    else:
        candidates = _DELIMITERS
    best: tuple[int, Layout] | None = None
    for delimiter in candidates:
        rows = _rows(path, text, delimiter)
        found = _with_known_headings(rows) or _with_other_headings(rows)
        if found is not None and (best is None or found[0] > best[0]):
            best = found[0], _layout(encoding, delimiter, rows, found[1], found[2])
    if best is None:
        raise UnreadableFile(
            path,
            "no table of samples was found in this text",
            "Export the session as FIT, or as CSV with one row per sample and a heading above each column",
        )
    return best[1]


def _encoding(head: bytes) -> str:
    """Tell the encoding by its mark, else by what the bytes can be."""
    if head.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    pairs = len(head) // 2
    if pairs and head[1::2].count(0) > 0.6 * pairs:
        return "utf-16-le"
    if pairs and head[0::2].count(0) > 0.6 * pairs:
        return "utf-16-be"
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return fallback_encoding(head)
    return "utf-8"


def fallback_encoding(head: bytes) -> str:
    """Return the Western encoding these bytes fit: that of Windows, else Latin-1, which fits all."""
    try:
        head.decode("cp1252")
    except UnicodeDecodeError:
        return "latin-1"
    return "cp1252"


def _rows(path: str, text: str, delimiter: str) -> list[list[str]]:
    """Split the first rows; rows count as the reader of the whole file will count them."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True)
    rows = []
    try:
        for row in reader:
            rows.append([cell.strip() for cell in row])
            if len(rows) == _HEAD_ROWS:
                break
    except csv.Error as fault:
        raise UnreadableFile(
            path, f"the table breaks off in line {reader.line_num} ({fault})", "Export it again"
        ) from fault
    return rows


#: How much speaks for a delimiter, the row of headings (-1: none), and the first row of samples.
_Found = tuple[int, int, int]


def _with_known_headings(rows: Sequence[Sequence[str]]) -> _Found | None:
    """Find the row with the most headings that mean something, among them a time, above rows of its width."""
    best: _Found | None = None
    for index, row in enumerate(rows):
        if sum(map(bool, row)) < 2 or any(map(is_number, row)) or _is_data(row):
            continue
        headings = [read_heading(place, cell) for place, cell in enumerate(row) if cell]
        if sum(bool(heading.roles) for heading in headings) < 2:
            continue
        known = sum(bool(heading.roles) + heading.is_exact for heading in headings)
        first = index + 1 + _count_unit_rows(rows, index)
        followers = [other for other in _following(rows, first) if _fits(row, other)]
        score = 100 * (known + (2 * sum(map(_is_data, followers)) > len(followers))) + len(followers)
        if followers and (best is None or score > best[0]):
            best = score, index, first
    return best


def _with_other_headings(rows: Sequence[Sequence[str]]) -> _Found | None:
    """Find the first of the rows of numbers, and a row of words right above it."""
    widths = Counter(len(row) for row in rows if len(row) > 1 and _is_data(row))
    if not widths:
        return None
    width, count = widths.most_common(1)[0]
    for index, row in enumerate(rows):
        if len(row) != width or not _is_data(row):
            continue
        followers = _following(rows, index + 1)
        if 2 * sum(len(other) == width and _is_data(other) for other in followers) < len(followers):
            continue
        above = index - 1
        while above >= 0 and not any(rows[above]):
            above -= 1
        if above > 0 and all(map(is_unit, rows[above])) and len(rows[above - 1]) == width:
            above -= 1
        has_headings = above >= 0 and len(rows[above]) == width and sum(map(bool, rows[above])) > 1
        return min(count, 99), above if has_headings else -1, index
    return None


def _is_data(row: Sequence[str]) -> bool:
    """Whether most of what stands in a row are numbers or times."""
    cells = [cell for cell in row if not is_missing(cell)]
    return 2 * sum(is_number(cell) or style_of([cell]) is not None for cell in cells) > len(cells) > 0


def _count_unit_rows(rows: Sequence[Sequence[str]], index: int) -> int:
    below = rows[index + 1] if index + 1 < len(rows) else []
    return int(any(below) and len(below) <= len(rows[index]) and all(map(is_unit, below)))


def _following(rows: Sequence[Sequence[str]], first: int) -> list[Sequence[str]]:
    return [row for row in rows[first:] if any(row)][:_FOLLOWERS]


def _fits(heading: Sequence[str], row: Sequence[str]) -> bool:
    """Whether a row may stand below these headings: as wide, give or take a last empty cell."""
    return abs(len(row) - len(heading)) <= 1 and len(row) > 1


def _layout(encoding: str, delimiter: str, rows: Sequence[Sequence[str]], index: int, first: int) -> Layout:
    width = max(len(row) for row in rows[first : first + _FOLLOWERS + 1])
    if index < 0:
        names: Sequence[str] = [f"column {place + 1}" for place in range(width)]
        return Layout(encoding, delimiter, tuple(names), ("",) * width, False, first, ())
    # A quoted heading may go over two lines; a name is typed in one.
    names = list(_distinct([" ".join(name.split()) for name in rows[index]]))
    has_units = first > index + 1 and all(map(is_unit, rows[index + 1])) and any(rows[index + 1])
    units = list(rows[index + 1]) if has_units else []
    units += [""] * (len(names) - len(units))
    preamble = tuple(tuple(row) for row in rows[:index] if any(row))
    return Layout(encoding, delimiter, tuple(names), tuple(units), True, first, preamble)


def _distinct(names: Sequence[str]) -> Iterator[str]:
    """Give every column a name of its own."""
    counts = Counter(names)
    for place, name in enumerate(names):
        if not name:
            yield f"column {place + 1}"
        else:
            yield name if counts[name] == 1 else f"{name} (column {place + 1})"


def stream(path: str, layout: Layout, *, chunk_rows: int) -> Iterator[list[list[str]]]:
    """Read the rows of samples, some at a time, so that a large file never lies in memory as text.

    Parameters
    ----------
    path
        The file.
    layout
        How it is written.
    chunk_rows
        How many rows to give at a time.

    Raises
    ------
    UnreadableFile
        If the table breaks off in the middle.
    """
    with Path(path).open(encoding=layout.encoding, newline="") as file:
        reader = csv.reader(file, delimiter=layout.delimiter, skipinitialspace=True)
        chunk: list[list[str]] = []
        try:
            for place, row in enumerate(reader):
                if place >= layout.first_row and row:
                    chunk.append(row)
                    if len(chunk) == chunk_rows:
                        yield chunk
                        chunk = []
        except csv.Error as fault:
            raise UnreadableFile(
                path, f"the table breaks off in line {reader.line_num} ({fault})", "Export it again"
            ) from fault
    if chunk:
        yield chunk
