"""Which column is which, what is asked, and what the rider's answers do."""

import shlex
from pathlib import Path

import pytest

from rideready.errors import BadInput, ChoiceNeeded, UnreadableFile
from rideready.importers.mapping import ColumnMapping
from rideready.importers.registry import read_session, shape_of
from tests.importers.tables import write

TWO_PULSES = "Time;Pulse A;Pulse B\n0:00:00;120;90\n0:00:01;121;91\n"


def test_two_columns_of_heart_rate_are_asked_for_with_the_option_to_type(tmp_path: Path) -> None:
    path = write(tmp_path, TWO_PULSES)

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert caught.value.options == ('--column "hr_bpm=Pulse A"', '--column "hr_bpm=Pulse B"')
    assert str(caught.value) == (
        f"{path}: 2 columns could be the heart rate. "
        'Say which with --column "hr_bpm=Pulse A" or --column "hr_bpm=Pulse B".'
    )


@pytest.mark.parametrize(("name", "pulse"), [("Pulse A", [120, 121]), ("Pulse B", [90, 91])])
def test_an_option_as_it_was_offered_chooses_the_column(
    name: str, pulse: list[float], tmp_path: Path
) -> None:
    path = write(tmp_path, TWO_PULSES)
    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)
    option = next(option for option in caught.value.options if name in option)

    typed = shlex.split(option)
    session = read_session(path, choices=ColumnMapping.from_options(column=typed[1:]))

    assert session.hr_bpm.tolist() == pulse


@pytest.mark.parametrize("name", ['Pulse "A"', "Pulse $HOME", "Pulse `x`", "Pulse\\A", "Pulse !1"])
def test_an_option_survives_the_shell_whatever_the_heading_holds(name: str, tmp_path: Path) -> None:
    quoted = '"' + name.replace('"', '""') + '"'
    path = write(tmp_path, f"Time;{quoted};Pulse B\n0:00:00;120;90\n0:00:01;121;91\n")

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert shlex.split(caught.value.options[0]) == ["--column", f"hr_bpm={name}"]


@pytest.mark.parametrize(
    ("encoding", "name"),
    [("utf-8-sig", "Pulse A"), ("cp1252", "Pulse \u2013 A"), ("utf-16", "Pulse \u2013 A")],
)
def test_an_option_spells_the_first_heading_as_the_file_does(
    encoding: str, name: str, tmp_path: Path
) -> None:
    path = write(tmp_path, f"{name};Pulse B;Time\n120;90;0:00:00\n121;91;0:00:01\n", encoding=encoding)

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert caught.value.options[0] == f'--column "hr_bpm={name}"'


def test_an_empty_or_copied_second_column_is_no_question(tmp_path: Path) -> None:
    path = write(tmp_path, "Time;Pulse A;Pulse B;Pulse C\n0:00:00;120;;120\n0:00:01;121;;121\n")

    assert read_session(path).hr_bpm.tolist() == [120, 121]


def test_a_heading_that_occurs_twice_can_be_named(tmp_path: Path) -> None:
    path = write(tmp_path, "Time;Pulse;Pulse\n0:00:00;120;90\n0:00:01;121;91\n")

    session = read_session(path, choices={"columns": {"hr_bpm": "Pulse (column 3)"}})

    assert session.hr_bpm.tolist() == [90, 91]


def test_an_unknown_heading_over_plausible_pulses_is_asked_for(tmp_path: Path) -> None:
    rows = "\n".join(f"{second};{120 + second}" for second in range(10))
    path = write(tmp_path, f"time_s;Channel 3\n{rows}\n")

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert caught.value.options == ('--column "hr_bpm=Channel 3"', '--column "hr_bpm=none"')
    assert not read_session(path, choices={"columns": {"hr_bpm": "none"}}).has_heart_rate


def test_an_unknown_heading_over_rising_numbers_is_asked_for_as_the_time(tmp_path: Path) -> None:
    rows = "\n".join(f"{second};{120 + second % 3}" for second in range(20))
    path = write(tmp_path, f"Channel 1;Heart rate\n{rows}\n")

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert caught.value.options == ('--column "time=Channel 1"',)
    assert read_session(path, choices={"columns": {"time": "Channel 1"}}).duration_s == 19


def test_a_table_without_headings_is_read_once_its_columns_are_named(tmp_path: Path) -> None:
    path = write(tmp_path, "\n".join(f"{second},{120 + second % 3}" for second in range(20)))

    with pytest.raises(ChoiceNeeded, match='--column "time=column 1"'):
        read_session(path)
    session = read_session(path, choices={"columns": {"time": "column 1", "hr_bpm": "column 2"}})

    assert session.t_s.size == 20


@pytest.mark.parametrize("cells", [["0.65", "0.70"], ["1200", "1210"], ["x", "y"]])
def test_a_column_called_heart_rate_that_holds_something_else_is_refused(
    cells: list[str], tmp_path: Path
) -> None:
    path = write(tmp_path, f"time_s;Heart rate\n0;{cells[0]}\n1;{cells[1]}\n")

    with pytest.raises(UnreadableFile, match="does not hold beats per minute"):
        read_session(path)


def test_no_time_at_all_is_one_clear_error(tmp_path: Path) -> None:
    path = write(tmp_path, "Heart rate;Power\n120;7\n121;3\n120;9\n119;1\n")

    with pytest.raises(UnreadableFile, match="no column holds a time"):
        read_session(path)


def test_of_two_speeds_the_plainer_one_is_taken_with_a_word(tmp_path: Path) -> None:
    path = write(tmp_path, "time_s;hr_bpm;Speed wheel (km/h);Speed (km/h)\n0;120;35;36\n1;121;35;36\n")

    session = read_session(path)

    assert session.channel("speed_m_s").tolist() == [10, 10]
    assert any("'Speed (km/h)' was taken for speed_m_s, not Speed wheel" in w for w in session.warnings)


def test_a_column_named_that_is_not_there_lists_those_that_are(tmp_path: Path) -> None:
    path = write(tmp_path, TWO_PULSES)

    with pytest.raises(UnreadableFile, match="Its columns are Time, Pulse A, Pulse B"):
        read_session(path, choices={"columns": {"hr_bpm": "Pulse C"}})


def test_choices_count_before_what_is_remembered(tmp_path: Path) -> None:
    path = write(tmp_path, TWO_PULSES)
    remembered = ColumnMapping(columns={"hr_bpm": "Pulse A"})

    assert read_session(path, mapping=remembered).hr_bpm.tolist() == [120, 121]
    assert read_session(
        path, mapping=remembered, choices={"columns": {"hr_bpm": "Pulse B"}}
    ).hr_bpm.tolist() == [90, 91]


def test_files_with_the_same_headings_share_a_shape(tmp_path: Path) -> None:
    first = write(tmp_path, TWO_PULSES, name="a.csv")
    second = write(tmp_path, "Exported;today\n\nTime;Pulse A;Pulse B\n0:00:00;99;98\n", name="b.csv")
    other = write(tmp_path, TWO_PULSES.replace("Pulse B", "Pulse C"), name="c.csv")

    assert shape_of(first) == shape_of(second)
    assert shape_of(first) != shape_of(other)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"column": ["hr_bpm"]}, "has no name and value"),
        ({"column": ["pulse=A"]}, "pulse is no channel"),
        ({"unit": ["speed_m_s=furlong"]}, "furlong is no unit of speed_m_s"),
        ({"dates": "year-first"}, "year-first is not known"),
        ({"zone": "Mars/Olympus"}, "Mars/Olympus is no time zone"),
        ({"zone": "../../etc/passwd"}, "is no time zone"),
    ],
)
def test_an_option_that_makes_no_sense_says_what_would(
    options: dict[str, list[str] | str], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        ColumnMapping.from_options(**options)  # type: ignore[arg-type]


def test_a_mapping_comes_back_from_json_as_it_was() -> None:
    mapping = ColumnMapping.from_options(
        column=["hr_bpm=Puls (Brust)", "time=Zeit"],
        unit=["speed_m_s=km/h"],
        dates="day-first",
        zone="Europe/Oslo",
    )

    assert ColumnMapping.from_json(mapping.to_json()) == mapping


@pytest.mark.parametrize("text", ["[]", "{", '{"colour": "red"}', '{"columns": "hr"}', '{"dates": 3}'])
def test_a_json_text_that_is_no_mapping_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        ColumnMapping.from_json(text)
