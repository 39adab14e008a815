"""Norm tables: every cell, every gap, both ends, and figures that are not whole."""

from itertools import pairwise

import pytest

from rideready.model.rider import Sex
from rideready.recovery.norms import (
    YMCA_LABELS,
    YMCA_NORMS,
    CountBand,
    read_harvard,
    read_ymca,
    ymca_column,
)


def column(age_years: float, sex: Sex) -> tuple[CountBand, ...]:
    found = ymca_column(age_years, sex)
    assert found is not None
    return found


@pytest.mark.parametrize("sex", list(Sex))
@pytest.mark.parametrize("at", range(6))
def test_each_column_rises_without_overlap_from_excellent_to_very_poor(sex: Sex, at: int) -> None:
    bands = YMCA_NORMS[sex][at]
    assert [band.label for band in bands] == list(YMCA_LABELS)
    ends = [end for band in bands for end in (band.low, band.high)]
    assert all(earlier < later for earlier, later in pairwise(ends))


@pytest.mark.parametrize("sex", list(Sex))
@pytest.mark.parametrize("age_years", [20, 30, 40, 50, 60, 70])
def test_a_count_in_a_gap_takes_the_less_flattering_neighbour_and_says_so(sex: Sex, age_years: int) -> None:
    bands = column(age_years, sex)
    for better, worse in pairwise(bands):
        for count in range(better.high + 1, worse.low):
            reading = read_ymca(count, bands)
            assert reading.label == worse.label
            assert "fieldtest.between_bands" in [note.code for note in reading.notes]
        for count in (better.high, worse.low):
            assert "fieldtest.between_bands" not in [note.code for note in read_ymca(count, bands).notes]


def test_the_sentence_of_a_gap_names_both_its_edges() -> None:
    (note,) = read_ymca(86, column(30, Sex.MALE)).notes
    assert "gap" in note.sentence
    assert "good ends at 85" in note.sentence
    assert "above average begins at 88" in note.sentence


@pytest.mark.parametrize(
    ("count", "label", "code"),
    [(45, "excellent", "fieldtest.below_table"), (170, "very poor", "fieldtest.above_table")],
)
def test_a_count_beyond_the_table_takes_its_last_band_and_says_so(count: int, label: str, code: str) -> None:
    reading = read_ymca(count, column(30, Sex.MALE))
    assert reading.label == label
    assert [note.code for note in reading.notes] == [code]


def test_the_ends_of_the_table_themselves_need_no_word() -> None:
    assert read_ymca(51, column(30, Sex.MALE)).notes == ()
    assert read_ymca(161, column(30, Sex.MALE)).notes == ()


def test_the_misprinted_cell_is_named_wherever_a_reading_rests_on_it() -> None:
    noted = [
        count
        for count in range(76, 110)
        if "fieldtest.misprint" in [note.code for note in read_ymca(count, column(40, Sex.MALE)).notes]
    ]
    # From after good (88) to before average (100): the cell itself, and the gaps around it.
    assert noted == list(range(89, 100))


@pytest.mark.parametrize(
    ("age_years", "at"),
    [
        (18, 0),
        (25.9, 0),
        (26, 1),
        (35, 1),
        (36, 2),
        (46, 3),
        (55, 3),
        (56, 4),
        (65, 4),
        (65.9, 4),
        (66, 5),
        (90, 5),
    ],
)
def test_completed_years_choose_the_column(age_years: float, at: int) -> None:
    assert column(age_years, Sex.FEMALE) == YMCA_NORMS[Sex.FEMALE][at]


def test_the_table_has_no_column_for_a_child() -> None:
    assert ymca_column(17.9, Sex.MALE) is None


def test_an_uncertain_count_lists_every_band_it_could_be_in() -> None:
    reading = read_ymca(94.6, column(30, Sex.MALE), low=87.6, high=101.6)
    assert reading.label == "average"
    assert reading.could_be == ("above average", "average")
    assert read_ymca(94.6, column(30, Sex.MALE)).could_be == ("average",)


@pytest.mark.parametrize(
    ("index", "brouha", "fox"),
    [
        (96.1, "excellent", "excellent"),
        (96, "excellent", "good"),
        (90, "excellent", "good"),
        (89.9, "good", "good"),
        (83, "good", "good"),
        (82.9, "good", "average"),
        (80, "good", "average"),
        (79.9, "high average", "average"),
        (68, "high average", "average"),
        (67.9, "high average", "low average"),
        (65, "high average", "low average"),
        (64.9, "low average", "low average"),
        (55, "low average", "low average"),
        (54.9, "poor", "low average"),
        (54, "poor", "low average"),
        (53.9, "poor", "poor"),
        (5, "poor", "poor"),
    ],
)
def test_an_index_is_read_in_both_tables_of_which_the_first_is_gone_by(
    index: float, brouha: str, fox: str
) -> None:
    by_brouha, by_fox = read_harvard(index)
    assert (by_brouha.label, by_brouha.source, by_brouha.is_chosen) == (brouha, "Brouha 1943", True)
    assert (by_fox.label, by_fox.source, by_fox.is_chosen) == (fox, "Fox et al. 1973", False)


def test_an_uncertain_index_lists_every_band_best_first() -> None:
    by_brouha, _ = read_harvard(75.0, low=62.0, high=85.0)
    assert by_brouha.could_be == ("good", "high average", "low average")
