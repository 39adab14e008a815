"""YMCA 3-minute step test norms.

Golding 2000, YMCA Fitness Testing and Assessment Manual, 4th ed., as reprinted on public pages: each
row of both tables was read on one at least (the manual itself could not be opened). Reprints give men of 36 to 45 the band "92-88" for
above average; 98 is from memory. Typed here by age column, apart from the program's rows.
"""

import pytest

from rideready.model.rider import Rider, Sex
from rideready.recovery.fieldtests import score_ymca
from rideready.recovery.norms import YMCA_LABELS, YMCA_NORMS, read_ymca, ymca_column

AGES = (20, 30, 40, 50, 60, 70)
PRINTED = {
    Sex.MALE: (
        ((50, 76), (79, 84), (88, 93), (95, 100), (102, 107), (111, 119), (124, 157)),
        ((51, 76), (79, 85), (88, 94), (96, 102), (104, 110), (114, 121), (126, 161)),
        ((49, 76), (80, 88), (92, 98), (100, 105), (108, 113), (116, 124), (130, 163)),
        ((56, 82), (87, 93), (95, 101), (103, 111), (113, 119), (121, 126), (131, 159)),
        ((60, 77), (86, 94), (97, 100), (103, 109), (111, 117), (119, 128), (131, 154)),
        ((59, 81), (87, 92), (94, 102), (104, 110), (114, 118), (121, 126), (130, 151)),
    ),
    Sex.FEMALE: (
        ((52, 81), (85, 93), (96, 102), (104, 110), (113, 120), (122, 131), (135, 169)),
        ((58, 80), (85, 92), (95, 101), (104, 110), (113, 119), (122, 129), (134, 171)),
        ((51, 84), (89, 96), (100, 104), (107, 112), (115, 120), (124, 132), (137, 169)),
        ((63, 91), (95, 101), (104, 110), (113, 118), (120, 124), (126, 132), (137, 171)),
        ((60, 92), (97, 103), (106, 111), (113, 118), (119, 127), (129, 135), (141, 174)),
        ((70, 92), (96, 101), (104, 111), (116, 121), (123, 126), (128, 133), (135, 155)),
    ),
}


@pytest.mark.parametrize("sex", list(Sex))
@pytest.mark.parametrize("at", range(6))
@pytest.mark.parametrize("row", range(7))
def test_the_table_holds_cell_by_cell(sex: Sex, at: int, row: int) -> None:
    low, high = PRINTED[sex][at][row]
    band = YMCA_NORMS[sex][at][row]
    assert (band.low, band.high, band.label) == (low, high, YMCA_LABELS[row])
    column = ymca_column(AGES[at], sex)
    assert column is not None
    assert {read_ymca(count, column).label for count in range(low, high + 1)} == {YMCA_LABELS[row]}


def test_only_the_misprinted_cell_is_marked_as_mended() -> None:
    mended = [
        (sex, at, band.label)
        for sex, columns in YMCA_NORMS.items()
        for at, column in enumerate(columns)
        for band in column
        if band.is_mended
    ]
    assert mended == [(Sex.MALE, 2, "above average")]


@pytest.mark.parametrize(
    ("sex", "age_years", "beats", "label"),
    [
        (Sex.MALE, 30, 90, "above average"),
        (Sex.MALE, 30, 86, "above average"),  # in the gap between 85 and 88
        (Sex.MALE, 40, 76, "excellent"),
        (Sex.FEMALE, 28, 110, "average"),
    ],
)
def test_worked_counts_fall_into_their_bands(sex: Sex, age_years: float, beats: float, label: str) -> None:
    assert score_ymca(beats, Rider(age_years=age_years, sex=sex)).bands[0].label == label
