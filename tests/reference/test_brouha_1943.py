"""Harvard step test: index and its two published band tables.

Brouha 1943, Res Q 14:31-36: index = 100 t / (2 (P1 + P2 + P3)), short form 100 t / (5.5 P1), bands from 90, 80,
65 and 55. The paper itself could not be opened: formula and bands are as several teaching pages print them.
62.5 and 85.714 are their worked examples; 75, 81.081 and 34.091 are arithmetic. Second table: Fox, Billings,
Bartels, Bason, Mathews 1973, Int Z Angew Physiol 31:231-236, doi 10.1007/BF00697601, read in the abstract
(over 96, from 83, from 68, below 54; its "64 to 67, low-average" is a misprint for 54). All exact to the
digits shown.
"""

import pytest

from rideready.recovery.norms import read_harvard
from rideready.recovery.step_formulas import harvard_index, harvard_short_index


@pytest.mark.parametrize(
    ("seconds", "counts", "expected", "brouha", "fox"),
    [
        (300, (90, 80, 70), 62.5, "low average", "low average"),
        (300, (70, 55, 50), 85.714, "good", "good"),
        (300, (75, 65, 60), 75.0, "high average", "average"),  # a sum of 200
        (300, (75, 60, 50), 81.081, "good", "average"),
    ],
)
def test_the_index_and_its_bands_are_the_published_ones(
    seconds: float, counts: tuple[float, float, float], expected: float, brouha: str, fox: str
) -> None:
    found = harvard_index(seconds, counts)
    assert found == pytest.approx(expected, abs=5e-4)
    assert [reading.label for reading in read_harvard(found)] == [brouha, fox]


def test_the_short_form_uses_the_first_count_alone() -> None:
    assert harvard_short_index(150, 80) == pytest.approx(34.091, abs=5e-4)


@pytest.mark.parametrize(
    ("floor", "label"),
    [(90, "excellent"), (80, "good"), (65, "high average"), (55, "low average"), (0, "poor")],
)
def test_each_of_brouhas_bands_begins_where_it_is_printed(floor: float, label: str) -> None:
    assert read_harvard(floor)[0].label == label


@pytest.mark.parametrize(
    ("index", "label"),
    [
        (97, "excellent"),
        (96, "good"),
        (83, "good"),
        (82, "average"),
        (68, "average"),
        (67, "low average"),
        (54, "low average"),
        (53, "poor"),
    ],
)
def test_whole_indices_fall_into_the_bands_of_fox_1973(index: float, label: str) -> None:
    assert read_harvard(index)[1].label == label
