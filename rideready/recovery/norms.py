"""Published norm tables of the step tests, as typed data, one block a source.

Tables conflict and have holes. Both tables of the Harvard test are kept; the program goes by the test's
own author. A count in a gap between two bands of the YMCA table goes to the band whose upper end it does
not exceed, the less flattering of its two neighbours, and says so; the same rule puts a count below the
table into its best band and one above it into its worst.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rideready.model.fieldtest import BandReading
from rideready.model.reason import Reason, because
from rideready.model.rider import Sex


@dataclass(frozen=True, slots=True)
class IndexTable:
    """Bands of an index.

    Parameters
    ----------
    source
        Author and year.
    floors
        Label and lowest index of each band, best first; the last has no floor.
    open_floors
        Floors that an index must exceed; the others belong to their band.
    """

    source: str
    floors: tuple[tuple[str, float], ...]
    open_floors: frozenset[float] = frozenset()

    def label(self, index: float) -> str:
        """Return the band of an index."""
        return next(
            label
            for label, floor in self.floors
            if index > floor or (index == floor and floor not in self.open_floors)
        )


_NO_FLOOR = float("-inf")

# Brouha 1943, Res Q 14:31-36, as printed by teaching pages (the same bounds stand in tables for boys of
# sixteen). Read as half open: 79.6 is high average.
BROUHA_1943 = IndexTable(
    "Brouha 1943",
    (
        ("excellent", 90.0),
        ("good", 80.0),
        ("high average", 65.0),
        ("low average", 55.0),
        ("poor", _NO_FLOOR),
    ),
)

# Fox, Billings, Bartels, Bason, Mathews 1973, Int Z Angew Physiol 31:231-236, doi 10.1007/BF00697601,
# 135 male college students; read in the abstract, which prints "64 to 67, low-average" after "less than
# 54, poor": a misprint for 54 to 67, since nothing would lie between 54 and 64.
FOX_1973 = IndexTable(
    "Fox et al. 1973",
    (
        ("excellent", 96.0),
        ("good", 83.0),
        ("average", 68.0),
        ("low average", 54.0),
        ("poor", _NO_FLOOR),
    ),
    open_floors=frozenset({96.0}),
)

#: The table the program goes by comes first.
HARVARD_TABLES = (BROUHA_1943, FOX_1973)


@dataclass(frozen=True, slots=True)
class CountBand:
    """One cell of a table of counts, both ends included, beats."""

    label: str
    low: int
    high: int
    #: Whether an end is not the printed one.
    is_mended: bool = False


YMCA_SOURCE = "Golding 2000"
YMCA_LABELS = (
    "excellent",
    "good",
    "above average",
    "average",
    "below average",
    "poor",
    "very poor",
)
#: First completed year of each column; the last is printed 65+, the one before it 56-65.
YMCA_FIRST_AGES = (18, 26, 36, 46, 56, 66)

# Golding 2000, YMCA Fitness Testing and Assessment Manual, 4th ed.: beats in the minute after, as
# reprinted on public pages; each row of both tables was read on one at least.
_MEN = """
50-76    51-76    49-76    56-82    60-77    59-81
79-84    79-85    80-88    87-93    86-94    87-92
88-93    88-94    92-98*   95-101   97-100   94-102
95-100   96-102   100-105  103-111  103-109  104-110
102-107  104-110  108-113  113-119  111-117  114-118
111-119  114-121  116-124  121-126  119-128  121-126
124-157  126-161  130-163  131-159  131-154  130-151
"""
# * Reprints have 92-88 here, which cannot be; 98 is from memory and fits the steps around it.
_WOMEN = """
52-81    58-80    51-84    63-91    60-92    70-92
85-93    85-92    89-96    95-101   97-103   96-101
96-102   95-101   100-104  104-110  106-111  104-111
104-110  104-110  107-112  113-118  113-118  116-121
113-120  113-119  115-120  120-124  119-127  123-126
122-131  122-129  124-132  126-132  129-135  128-133
135-169  134-171  137-169  137-171  141-174  135-155
"""


def _columns(table: str) -> tuple[tuple[CountBand, ...], ...]:
    """Turn a printed table into one tuple of bands for each age."""
    rows = [
        [_cell(label, text) for text in line.split()]
        for label, line in zip(YMCA_LABELS, table.strip().splitlines(), strict=True)
    ]
    return tuple(zip(*rows, strict=True))


def _cell(label: str, text: str) -> CountBand:
    low, high = text.rstrip("*").split("-")
    return CountBand(label, int(low), int(high), is_mended=text.endswith("*"))


#: Bands by sex and by age column, best band first.
YMCA_NORMS = {Sex.MALE: _columns(_MEN), Sex.FEMALE: _columns(_WOMEN)}


def read_harvard(
    index: float, *, low: float | None = None, high: float | None = None
) -> tuple[BandReading, ...]:
    """Read an index in both published tables, the chosen one first.

    Parameters
    ----------
    index
        Fitness index.
    low, high
        Ends of its 95 % interval; None where its error is not known.

    Returns
    -------
    tuple of BandReading
        Brouha 1943, by which the program goes, and Fox et al. 1973.

    References
    ----------
    Brouha 1943, Res Q 14:31-36. Fox, Billings, Bartels, Bason, Mathews 1973, Int Z Angew Physiol 31:231-236.

    Examples
    --------
    >>> [reading.label for reading in read_harvard(75.0)]
    ['high average', 'average']
    """
    readings = []
    for table in HARVARD_TABLES:
        labels = [label for label, _ in table.floors]
        best, worst = table.label(index if high is None else high), table.label(index if low is None else low)
        could_be = tuple(labels[labels.index(best) : labels.index(worst) + 1])
        readings.append(
            BandReading(table.source, table.label(index), could_be, is_chosen=table is HARVARD_TABLES[0])
        )
    return tuple(readings)


def ymca_column(age_years: float, sex: Sex) -> tuple[CountBand, ...] | None:
    """Return the bands of one age and sex, best first; None below the table's youngest age.

    Parameters
    ----------
    age_years
        Age; completed years count.
    sex
        Which of the two tables.

    References
    ----------
    Golding 2000, YMCA Fitness Testing and Assessment Manual, 4th ed.
    """
    years = int(age_years)
    columns = [i for i, first in enumerate(YMCA_FIRST_AGES) if years >= first]
    return YMCA_NORMS[sex][columns[-1]] if columns else None


def read_ymca(
    beats: float, column: Sequence[CountBand], *, low: float | None = None, high: float | None = None
) -> BandReading:
    """Read a minute's count in one column of the table.

    Parameters
    ----------
    beats
        Count; a fraction is rounded to whole beats, as the table has them.
    column
        From `ymca_column`.
    low, high
        Ends of its 95 % interval, beats; None where its error is not known.

    Returns
    -------
    BandReading
        With a note where the count lies in a gap, beyond the table, or in a mended cell.

    References
    ----------
    Golding 2000, YMCA Fitness Testing and Assessment Manual, 4th ed.

    Examples
    --------
    >>> read_ymca(86, ymca_column(30, Sex.MALE)).label
    'above average'
    """
    count = _whole(beats)
    band = _band_of(count, column)
    best = _band_of(_whole(low), column) if low is not None else band
    worst = _band_of(_whole(high), column) if high is not None else band
    could_be = tuple(b.label for b in column[column.index(best) : column.index(worst) + 1])
    reading = BandReading(YMCA_SOURCE, band.label, could_be)
    return replace(reading, notes=_notes(count, band, column))


def _whole(beats: float) -> int:
    """Round half a beat up, against the rider."""
    return int(beats + 0.5)


def _band_of(count: int, column: Sequence[CountBand]) -> CountBand:
    """Return the best band whose upper end the count does not exceed, else the worst."""
    return next((band for band in column if count <= band.high), column[-1])


def _notes(count: int, band: CountBand, column: Sequence[CountBand]) -> tuple[Reason, ...]:
    notes = []
    at = column.index(band)
    if count > band.high:
        notes.append(because("fieldtest.above_table", count=count, last=band.high, label=band.label))
    elif count < band.low and at == 0:
        notes.append(because("fieldtest.below_table", count=count, first=band.low, label=band.label))
    elif count < band.low:
        better = column[at - 1]
        notes.append(
            because(
                "fieldtest.between_bands",
                count=count,
                better=better.label,
                better_high=better.high,
                label=band.label,
                low=band.low,
            )
        )
    if band.is_mended or (at > 0 and column[at - 1].is_mended and count < band.low):
        notes.append(because("fieldtest.misprint"))
    return tuple(notes)
