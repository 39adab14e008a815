"""How a table may be written: delimiter, encoding, decimal mark, preamble, headings in ten languages."""

from pathlib import Path

import numpy as np
import pytest

from rideready.errors import ChoiceNeeded, UnreadableFile
from rideready.importers.registry import read_session
from rideready.model.session import CHANNELS, Kind
from tests.importers.tables import read, write

LANGUAGES = {
    "English": "Time;Heart rate (bpm);Power (W);Cadence (rpm);Speed (km/h);Distance (km);Altitude (m);Temperature (°C)",
    "German": "Zeit;Herzfrequenz;Leistung;Trittfrequenz;Geschwindigkeit (km/h);Distanz (km);Höhe (m);Temperatur (°C)",
    "French": "Temps;Fréquence cardiaque;Puissance;Cadence;Vitesse (km/h);Distance (km);Altitude (m);Température (°C)",
    "Spanish": "Tiempo;Frecuencia cardíaca;Potencia;Cadencia;Velocidad (km/h);Distancia (km);Altitud (m);Temperatura (°C)",
    "Norwegian": "Tid;Puls;Effekt;Tråkkfrekvens;Fart (km/t);Avstand (km);Høyde (moh);Temperatur (°C)",
    "Swedish": "Tid;Hjärtfrekvens;Effekt;Kadens;Hastighet (km/h);Sträcka (km);Höjd (m);Temperatur (°C)",
    "Danish": "Tid;Puls;Effekt;Kadence;Hastighed (km/t);Afstand (km);Højde (m);Temperatur (°C)",
    "Finnish": "Aika;Syke;Teho;Poljinnopeus;Nopeus (km/h);Matka (km);Korkeus (m);Lämpötila (°C)",
    "Dutch": "Tijd;Hartslag;Vermogen;Cadans;Snelheid (km/u);Afstand (km);Hoogte (m);Temperatuur (°C)",
    "Italian": "Tempo;Frequenza cardiaca;Potenza;Cadenza;Velocità (km/h);Distanza (km);Quota (m);Temperatura (°C)",
}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_headings_are_understood_in_every_language_and_encoding(
    language: str, encoding: str, tmp_path: Path
) -> None:
    text = (
        LANGUAGES[language]
        + "\n0:00:00;120;200;80;36,0;0,00;250;21,5\n0:00:01;121;210;81;18,0;0,01;251;21,4\n"
    )

    session = read(tmp_path, text, encoding=encoding)

    assert {name: values.tolist() for name, values in session.channels.items()} == {
        "hr_bpm": [120, 121],
        "power_w": [200, 210],
        "cadence_rpm": [80, 81],
        "speed_m_s": pytest.approx([10, 5]),
        "distance_m": [0, 10],
        "altitude_m": [250, 251],
        "temperature_c": [21.5, 21.4],
    }
    assert not any("names no unit" in warning for warning in session.warnings)


def test_letters_beyond_ascii_late_in_the_file_change_the_encoding(tmp_path: Path) -> None:
    rows = "\n".join(f"{second},{100 + second % 50},ok" for second in range(40_000))
    path = write(tmp_path, f"time_s,hr_bpm,note\n{rows}\n40000,100,müde\n", encoding="cp1252")

    session = read_session(path)

    assert session.t_s.size == 40_001


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", " "], ids=repr)
def test_the_delimiter_is_found(delimiter: str, tmp_path: Path) -> None:
    rows = [["time_s", "hr_bpm", "power_w"], ["0", "120", "200"], ["1", "121", "205"]]

    session = read(tmp_path, "\n".join(delimiter.join(row) for row in rows))

    assert session.channel("power_w").tolist() == [200, 205]


def test_a_line_that_declares_the_delimiter_is_obeyed(tmp_path: Path) -> None:
    session = read(tmp_path, "sep=;\ntime_s;hr_bpm\n0;120\n1;121\n")

    assert session.hr_bpm.tolist() == [120, 121]


@pytest.mark.parametrize(
    ("delimiter", "cells", "metres"),
    [
        (";", ["0,5", "1234,25"], [0.5, 1234.25]),
        (";", ["0,500", "0,750"], [0.5, 0.75]),
        (";", ["1.234,5", "1.235,5"], [1234.5, 1235.5]),
        (",", ["0.5", "1234.25"], [0.5, 1234.25]),
        (",", ['"1,234.5"', '"1,235.5"'], [1234.5, 1235.5]),
        (",", ['"0,5"', '"1234,25"'], [0.5, 1234.25]),
        ("\t", ["1 234,5", "1 235,5"], [1234.5, 1235.5]),
        (";", ["1'234.5", "1'235.5"], [1234.5, 1235.5]),
        (";", ["12,5 m", "13,5 m"], [12.5, 13.5]),
        (";", ["1.234.567", "1.234.568"], [1_234_567, 1_234_568]),
    ],
)
def test_the_decimal_mark_is_told_from_the_numbers(
    delimiter: str, cells: list[str], metres: list[float], tmp_path: Path
) -> None:
    head = delimiter.join(["time_s", "hr_bpm", "distance_m"])
    rows = [delimiter.join([str(second), "120", cell]) for second, cell in enumerate(cells)]

    session = read(tmp_path, "\n".join([head, *rows]))

    assert session.channel("distance_m").tolist() == metres


@pytest.mark.parametrize("cells", [("1,998", "2,002"), ("998", "1.002")], ids=["comma", "point in some"])
def test_a_mark_that_may_be_either_is_asked_for(cells: tuple[str, str], tmp_path: Path) -> None:
    path = write(tmp_path, f"time_s;hr_bpm;distance_m\n0;120;{cells[0]}\n1;121;{cells[1]}\n")

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert caught.value.options == ("--decimal comma", "--decimal point")


def test_a_mark_that_may_be_either_in_a_column_nobody_reads_is_no_question(tmp_path: Path) -> None:
    session = read(tmp_path, "time_s;hr_bpm;Steps in all\n0;120;1,998\n1;121;2,002\n")

    assert session.hr_bpm.tolist() == [120, 121]


@pytest.mark.parametrize(("answer", "metres"), [("comma", [1.998, 2.002]), ("point", [1998, 2002])])
def test_the_answer_to_the_decimal_mark_is_obeyed(answer: str, metres: list[float], tmp_path: Path) -> None:
    path = write(tmp_path, "time_s;hr_bpm;distance_m\n0;120;1,998\n1;121;2,002\n")

    session = read_session(path, choices={"decimal": answer})

    assert session.channel("distance_m").tolist() == metres


def test_a_comma_that_is_delimiter_and_decimal_mark_at_once_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path, "time_s,hr_bpm,speed\n0,120,8,5\n1,121,8,6\n2,122,8,7\n")

    with pytest.raises(UnreadableFile, match="more cells than the 3 headings"):
        read_session(path)


def test_lines_above_the_headings_give_start_kind_and_device(tmp_path: Path) -> None:
    session = read(
        tmp_path,
        """
        Navn;Test 4
        Sport;Løping
        Enhet;Klokke 7
        Dato;12.09.2026
        Start;07:30:00

        Tid;Puls;Fart (km/t)
        0;120;10,0
        1;121;10,8
        """,
    )

    assert session.start_utc is not None
    assert session.start_utc.isoformat() == "2026-09-12T07:30:00+00:00"
    assert session.kind is Kind.RUN
    assert session.device == "Klokke 7"
    assert session.hr_bpm.tolist() == [120, 121]


def test_summary_figures_above_the_headings_are_no_samples(tmp_path: Path) -> None:
    session = read(
        tmp_path,
        """
        Max HR,178
        Avg HR,141
        Duration,0:47:00

        time_s,hr_bpm
        0,120
        1,121
        """,
    )

    assert session.hr_bpm.tolist() == [120, 121]


def test_a_row_of_units_below_the_headings_is_understood(tmp_path: Path) -> None:
    session = read(tmp_path, "Time;HR;Speed;Distance\nmin;bpm;mph;mi\n0,00;120;10,0;0,0\n0,50;121;20,0;1,0\n")

    assert session.t_s.tolist() == [0, 30]
    assert session.channel("speed_m_s").tolist() == pytest.approx([4.4704, 8.9408])
    assert session.channel("distance_m").tolist() == pytest.approx([0, 1609.344])


def test_blank_cells_dashes_and_words_for_nothing_are_absent(tmp_path: Path) -> None:
    rows = [
        f"{second},{cell}" for second, cell in enumerate(["120", "", "--", "NaN", "n/a", "0", "255", "121"])
    ]

    session = read(tmp_path, "\n".join(["time_s,hr_bpm", *rows]))

    np.testing.assert_array_equal(session.hr_bpm, [120, *[np.nan] * 6, 121])


def test_summary_rows_at_the_end_are_left_out_and_told(tmp_path: Path) -> None:
    session = read(tmp_path, "time_s,hr_bpm\n0,120\n1,121\n\nAverage,120.5\nMaximum,121\n")

    assert session.hr_bpm.tolist() == [120, 121]
    assert "2 rows have no readable time and were left out." in session.warnings


def test_short_rows_lack_their_last_cells(tmp_path: Path) -> None:
    session = read(tmp_path, "time_s,hr_bpm,power_w\n0,120,200\n1,121\n2,122,210\n")

    np.testing.assert_array_equal(session.channel("power_w"), [200, np.nan, 210])


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"], ids=repr)
def test_lines_may_end_in_any_of_the_three_ways(ending: str, tmp_path: Path) -> None:
    session = read(
        tmp_path, ending.join(["Trip \x85 one", "", "time_s,hr_bpm", "0,120", "1,121"]), encoding="latin-1"
    )

    assert session.hr_bpm.tolist() == [120, 121]


def test_quoted_cells_may_hold_delimiters(tmp_path: Path) -> None:
    session = read(tmp_path, 'time_s,note,hr_bpm\n0,"hard, steep",120\n1,"say ""go""",121\n')

    assert session.hr_bpm.tolist() == [120, 121]


@pytest.mark.parametrize(
    ("heading", "cell", "m_s"),
    [
        ("Speed (km/h)", "36", 10),
        ("speed_kmh", "36", 10),
        ("Speed, m/s", "10", 10),
        ("speed_m_s", "10", 10),
        ("Speed [mph]", "10", 4.4704),
        ("Pace (min/km)", "5:00", 1000 / 300),
        ("Pace (min/km)", "5.5", 1000 / 330),
        ("Tempo (min/km)", "4:10", 4),
        ("Pace (min/mi)", "8:00", 1609.344 / 480),
    ],
)
def test_units_of_speed_become_metres_per_second(heading: str, cell: str, m_s: float, tmp_path: Path) -> None:
    session = read(tmp_path, f"time_s;hr_bpm;{heading}\n0;120;{cell}\n1;121;{cell}\n")

    assert session.channel("speed_m_s").tolist() == pytest.approx([m_s, m_s])


@pytest.mark.parametrize(
    ("heading", "cell", "channel", "value"),
    [
        ("Altitude (ft)", "1000", "altitude_m", 304.8),
        ("Temp (°F)", "50", "temperature_c", 10.0),
        ("Distance [mi]", "2", "distance_m", 3218.688),
        ("Power (kW)", "0.25", "power_w", 250.0),
        ("Cadence (steps/min)", "170", "cadence_rpm", 85.0),
        ("Cadence [spm]", "170", "cadence_rpm", 85.0),
    ],
)
def test_other_units_become_those_of_the_session(
    heading: str, cell: str, channel: str, value: float, tmp_path: Path
) -> None:
    session = read(tmp_path, f"time_s;hr_bpm;{heading}\n0;120;{cell}\n1;121;{cell}\n")

    assert session.channel(channel).tolist() == pytest.approx([value, value])


def test_a_unit_nobody_names_is_taken_with_a_word_about_it_and_can_be_said(tmp_path: Path) -> None:
    path = write(tmp_path, "time_s,hr_bpm,speed\n0,120,10\n1,121,12\n")

    guessed = read_session(path)
    said = read_session(path, choices={"units": {"speed_m_s": "m/s"}})

    assert "Column 'speed' names no unit and was read as km/h (--unit speed_m_s=km/h)." in guessed.warnings
    assert said.channel("speed_m_s").tolist() == [10, 12]


@pytest.mark.parametrize(("speed", "unit"), [(10, "m/s"), (36, "km/h"), (22.4, "mph")])
def test_the_way_made_tells_the_unit_of_speed(speed: float, unit: str, tmp_path: Path) -> None:
    rows = "\n".join(f"{second},120,{speed},{10 * second}" for second in range(60))

    session = read(tmp_path, f"time_s,hr_bpm,speed,distance_m\n{rows}\n")

    assert session.channel("speed_m_s")[0] == pytest.approx(10, rel=0.01)
    assert any(f"read as {unit} " in warning for warning in session.warnings)


def test_averages_zones_and_percentages_are_not_heart_rate(tmp_path: Path) -> None:
    head = "time_s,Avg HR,HR zone,HR (%),VO2/HR,Heart rate (bpm),Max HR"

    session = read(tmp_path, f"{head}\n0,118,3,65,12,120,178\n1,118,3,66,12,121,178\n")

    assert session.hr_bpm.tolist() == [120, 121]


def test_a_table_without_heart_rate_is_a_session_and_says_so(tmp_path: Path) -> None:
    session = read(tmp_path, "time_s,power_w\n0,200\n1,210\n")

    assert not session.has_heart_rate
    assert any("No heart rate" in warning for warning in session.warnings)


def test_a_table_with_the_names_of_the_channels_reads_back_to_the_last_digit(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    t_s = np.cumsum(rng.integers(1, 4, 200)).astype(float)
    columns = {name: np.round(rng.uniform(60, 180, 200), 3) for name in CHANNELS}
    table = np.column_stack([np.full(200, 7), t_s, *columns.values()]).tolist()
    rows = [",".join(map(repr, row)) for row in table]

    session = read(tmp_path, "\n".join([",".join(["session", "t_s", *CHANNELS]), *rows]))

    np.testing.assert_array_equal(session.t_s, t_s - t_s[0])
    for name, values in columns.items():
        np.testing.assert_array_equal(session.channel(name), values)
    assert session.warnings == ("The file gives no date; the day is unknown.",)
