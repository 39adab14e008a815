"""Headings, units, numbers and examples, each on its own."""

import doctest
import importlib

import numpy as np
import pytest

from rideready.importers.decimals import number, possible_marks
from rideready.importers.headings import read_heading
from rideready.importers.table_sessions import kind_of_words
from rideready.importers.times import Style, style_of
from rideready.importers.units import unit_of
from rideready.model.session import Kind


@pytest.mark.parametrize(
    "module",
    [
        "words",
        "units",
        "headings",
        "decimals",
        "mapping",
        "table",
        "preamble",
        "fit_fields",
        "table_sessions",
    ],
)
def test_the_examples_in_the_documentation_are_true(module: str) -> None:
    result = doctest.testmod(importlib.import_module(f"rideready.importers.{module}"))

    assert result.attempted > 0
    assert result.failed == 0


@pytest.mark.parametrize(
    ("heading", "role", "unit"),
    [
        ("hr_bpm", "hr_bpm", "bpm"),
        ("HeartRate", "hr_bpm", None),
        ("HF / 1/min", "hr_bpm", "bpm"),
        ("Hjertefrekvens (slag/min)", "hr_bpm", "bpm"),
        ("Puls (Brustgurt)", "hr_bpm", None),
        ("km/h", "speed_m_s", "km/h"),
        ("Watts", "power_w", "W"),
        ("Vitesse km/h", "speed_m_s", "km/h"),
        ("elapsed_ms", "elapsed", "ms"),
        ("Date/Time", "timestamp", None),
        ("Tempo (min/km)", "pace", "min/km"),
    ],
)
def test_a_heading_gives_channel_and_unit(heading: str, role: str, unit: str | None) -> None:
    read = read_heading(0, heading)

    assert read.roles == (role,)
    assert (read.unit.name if read.unit else None) == unit


@pytest.mark.parametrize(
    "heading",
    [
        "VO2",
        "HRV (ms)",
        "Max HR",
        "Durchschnitt Puls",
        "% HRmax",
        "Vertical speed",
        "Ve (l/min)",
        "lap",
        "",
        "Puls min",
    ],
)
def test_a_heading_of_another_figure_means_nothing(heading: str) -> None:
    assert read_heading(0, heading).roles == ()


@pytest.mark.parametrize(
    ("text", "mark", "value"),
    [
        ("12.5", ".", 12.5),
        ("12,5", ",", 12.5),
        ("1.234,5", ",", 1234.5),
        ("1,234.5", ".", 1234.5),
        ("1,234", ".", 1234),
        ("1.234", ",", 1234),
        ("12.5", ",", 12.5),
        ("\u22122,5", ",", -2.5),
        ("1\u00a0234", ".", 1234),
        ("152 bpm", ".", 152),
        ("1e3", ".", 1000),
    ],
)
def test_a_number_is_read_with_either_mark(text: str, mark: str, value: float) -> None:
    assert number(text, "," if mark == "," else ".") == value


@pytest.mark.parametrize("text", ["", "--", "abc", "12:30", "2026-09-12", "1_000", "1.2.3", "nan"])
def test_what_is_no_number_is_nan(text: str) -> None:
    assert np.isnan(number(text))


@pytest.mark.parametrize(
    ("cells", "marks"),
    [
        (["120", "121"], ""),
        (["12,5"], ","),
        (["12.5"], "."),
        (["0,003"], ","),
        (["1,234"], ",."),
        (["1.234", "12,5"], ","),
        (["1.234.567"], ","),
        (["1,234.5"], "."),
    ],
)
def test_the_marks_that_may_be_decimal(cells: list[str], marks: str) -> None:
    assert possible_marks(cells) == frozenset(marks)


@pytest.mark.parametrize(
    ("cell", "style"),
    [
        ("2026-09-12 07:30:00", Style.STAMP),
        ("12.09.2026", Style.DATE),
        ("20260912", Style.DATE),
        ("10000000", Style.NUMBER),
        ("0:12:03", Style.CLOCK),
        ("7.30.15", Style.CLOCK),
        ("12:03", Style.SHORT),
        ("7h30", Style.SHORT),
        ("12.5", Style.NUMBER),
        ("soon", None),
    ],
)
def test_a_cell_shows_how_its_time_is_written(cell: str, style: Style | None) -> None:
    assert style_of([cell]) is style


def test_pace_and_its_unit_are_one_family_with_speed() -> None:
    unit = unit_of("pace", "min/km")

    assert unit is not None
    np.testing.assert_allclose(unit.convert(np.array([5.0, 0.0])), [1000 / 300, np.nan])


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("Running", Kind.RUN),
        ("Løping", Kind.RUN),
        ("Radfahren", Kind.BIKE),
        ("cyclisme", Kind.BIKE),
        ("Krafttraining", Kind.STRENGTH),
        ("Langlauf", Kind.SKI),
        ("snowmobile", Kind.RIDING),
        ("circuit", Kind.CIRCUIT),
        ("strength", Kind.STRENGTH),
        ("walk", Kind.WALK),
        ("chess", Kind.OTHER),
        ("", Kind.OTHER),
    ],
)
def test_a_word_gives_the_kind(word: str, kind: Kind) -> None:
    assert kind_of_words(word) is kind


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_reads_back_from_its_own_name(kind: Kind) -> None:
    assert kind_of_words(kind.value) is kind
