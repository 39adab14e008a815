"""Files spoilt at random, a bounded run of what ``tests.benchmarks.fuzz_importers`` does at length.

Below it, what that found, as the smallest documents that show it.
"""

import random
import time
from pathlib import Path

import numpy as np
import pytest

from rideready.errors import ChoiceNeeded, UnreadableFile
from rideready.importers.chain import split
from rideready.importers.headings import read_heading
from rideready.importers.registry import read_sessions
from tests.benchmarks.compare_decoders import by_fitparse, by_us, channels, differences
from tests.benchmarks.fuzz_importers import attempt, spoilt
from tests.importers.tables import read, write
from tests.support.documents import documents, small_fit
from tests.support.fit_bytes import START, FitBytes, fit_time
from tests.support.mutations import is_text, spoil

#: Tries of the run here: some seconds.
TRIES = 150


def test_no_spoilt_file_brings_a_reader_down(tmp_path: Path) -> None:
    files, found = documents(), []
    for number in range(TRIES):
        path = tmp_path / "ride"
        path.write_bytes(spoilt(files, seed=2026, number=number))
        found.append(attempt(path, analyses=number % 30 == 0))
    assert {outcome for outcome in found if outcome.startswith("fault")} == set()
    assert found.count("sessions") > TRIES / 4  # spoilt, not destroyed
    assert found.count("sentence") > TRIES / 10


def test_the_fast_way_reads_a_chain_with_odd_fields_as_fitparse_does() -> None:
    body = small_fit()[14:]
    assert differences(by_fitparse(body), by_us(body)) == []


def test_the_fast_way_reads_spoilt_files_as_fitparse_does_up_to_what_each_makes_of_the_fault() -> None:
    files = [document for document in documents() if not is_text(document) and len(document) < 5000]
    n_pieces = n_alike = 0
    for number in range(60):
        for piece in split(spoil(files, random.Random(f"compare/{number}"))):  # noqa: S311 - to be repeated
            plain, fast = by_fitparse(piece.body), by_us(piece.body)
            n_both = min(plain.n_records, fast.n_records)
            theirs, ours = channels(plain), channels(fast)
            for name in ours:
                np.testing.assert_array_equal(ours[name][:n_both], theirs[name][:n_both], err_msg=name)
            # fitparse takes the checksum for the end of a last record that was cut by a byte or two, and stops at
            # fields without length in messages that nobody reads.
            assert plain.n_records <= fast.n_records + 1
            n_pieces += 1
            n_alike += plain.n_records == fast.n_records
    assert n_pieces > 35
    assert n_alike > 0.8 * n_pieces


@pytest.mark.parametrize("n_missing", [1, 2])
@pytest.mark.parametrize("fields", [("timestamp", "heart_rate"), ("timestamp", "compressed_speed_distance")])
def test_the_checksum_is_no_value_of_a_record_that_was_cut(n_missing: int, fields: tuple[str, ...]) -> None:
    fit = FitBytes()  # packed fields are left to fitparse, the others are skimmed
    fit.define(0, "record", fields, sizes={"compressed_speed_distance": 3})
    for second in range(10):
        fit.add(0, fit_time(START) + second, b"\x52\x03\x0a" if "heart_rate" not in fields else 120)
    body = bytes(fit.body[:-n_missing])
    assert by_fitparse(body).n_records == 10  # its last values are the two bytes behind the body
    assert by_us(body).n_records == 9


def test_a_clock_column_without_one_time_below_a_date_gives_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match=r"no row has a readable time|no column holds a time"):
        read(tmp_path, "date;2026-09-12\n\nclock time;hr\n25:61;120\n26:61;121\n27:61;122\n28:61;120\n")


def test_headings_as_long_as_pages_are_not_taken_apart() -> None:
    page = " ".join(f"word{number}" for number in range(4000))
    before = time.process_time()
    headings = [read_heading(place, page) for place in range(50)]
    assert [heading.roles for heading in headings] == [()] * 50
    assert time.process_time() - before < 0.5  # it took seconds


def test_a_row_with_a_time_years_away_does_not_make_a_session_of_years(tmp_path: Path) -> None:
    rows = "\n".join(f"{second},{120 + second % 9}" for second in range(30))
    path = write(tmp_path, f"time_s,hr_bpm\n{rows}\n1789198200000,121\n")
    with pytest.raises(UnreadableFile) as told:
        read_sessions(path)
    assert told.value.what == "its times span 20708312 days; a session has at most 7"


def test_a_heading_of_two_lines_is_asked_about_in_one(tmp_path: Path) -> None:
    rows = "\n".join(f"{second},{120 + second % 9}" for second in range(60))
    path = write(tmp_path, f'time_s,"a\nb"\n{rows}')
    with pytest.raises(ChoiceNeeded, match='"hr_bpm=a b"'):
        read_sessions(path)


def test_a_hundred_faults_are_counted_and_not_listed(tmp_path: Path) -> None:
    broken = small_fit()[:-40] + b"\xff" * 38  # every piece ends in what is no message
    path = tmp_path / "chain.fit"
    path.write_bytes(broken * 60)
    damage = [warning for warning in read_sessions(path)[0].warnings if "damaged" in warning]
    assert len(damage) == 1
    assert "more faults" in damage[0]
    assert len(damage[0]) < 600


def test_a_number_beyond_all_numbers_is_absent_and_no_warning(tmp_path: Path) -> None:
    rows = "\n".join(f"{second},{120 + second % 9},{'1e-320' if second == 7 else 5}" for second in range(60))
    session = read(tmp_path, f"time_s,hr_bpm,pace (s/km)\n{rows}")
    assert np.isnan(session.channels["speed_m_s"][7])
    assert session.channels["speed_m_s"][8] == pytest.approx(200.0)
