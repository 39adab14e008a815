"""The first rows of a table, by column, and the options that name its columns."""

import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from rideready.errors import UnreadableFile
from rideready.importers.decimals import DecimalMark, is_missing, numbers
from rideready.importers.headings import Heading, read_heading
from rideready.importers.mapping import NO_COLUMN, ColumnMapping
from rideready.importers.sniff import Layout
from rideready.model.session import FloatArray

#: Cells of a column that are looked at to tell what it holds.
_LOOK: Final = 2000


@dataclass(frozen=True, slots=True)
class Table:
    """The first rows of a file and all that is known about it.

    Parameters
    ----------
    path
        The file, as the user named it.
    layout
        How it is written.
    rows
        Its first rows.
    said
        What the rider has said.
    t_s
        Shape of the rows: their times, s, NaN where unreadable.
    """

    path: str
    layout: Layout
    rows: Sequence[Sequence[str]]
    said: ColumnMapping
    t_s: FloatArray

    def column(self, index: int, mark: DecimalMark) -> FloatArray:
        """Return a column as numbers, one for each row, NaN where there is none."""
        return numbers((row[index] if index < len(row) else "" for row in self.rows), mark)

    def cells(self, index: int) -> list[str]:
        """Return the cells of a column that hold something, up to a number that tells enough."""
        found = []
        for row in self.rows:
            if index < len(row) and not is_missing(row[index]):
                found.append(row[index])
                if len(found) == _LOOK:
                    break
        return found

    def named(self, role: str) -> int | None:
        """Return the place of the column the rider named for a role; None if nothing was said."""
        name = self.said.columns.get(role)
        if name is None or name == NO_COLUMN:
            return None
        if name in self.layout.names:
            return self.layout.names.index(name)
        columns = ", ".join(self.layout.names)
        raise UnreadableFile(self.path, f"the file has no column {name!r}", f"Its columns are {columns}")

    def has_none(self, role: str) -> bool:
        """Whether the rider said that the file has no such column."""
        return self.said.columns.get(role) == NO_COLUMN

    def headings(self) -> tuple[Heading, ...]:
        """Return what the headings say."""
        pairs = zip(self.layout.names, self.layout.units, strict=True)
        return tuple(read_heading(index, name, unit) for index, (name, unit) in enumerate(pairs))


def column_option(role: str, name: str) -> str:
    """Write the option that names a column, ready to be pasted into a shell.

    Examples
    --------
    >>> column_option("hr_bpm", "Pulse A")
    '--column "hr_bpm=Pulse A"'
    """
    said = f"{role}={name}"
    return f"--column {shlex.quote(said)}" if set(said) & set('"$`\\!') else f'--column "{said}"'
