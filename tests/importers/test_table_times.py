"""How the time of a sample may be written in a table."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from rideready.errors import ChoiceNeeded, UnreadableFile
from rideready.importers.registry import read_session, read_sessions
from tests.importers.tables import read, write

UTC = dt.UTC


def _table(cells: list[str], heading: str = "Time") -> str:
    rows = [f"{cell};{120 + row}" for row, cell in enumerate(cells)]
    return "\n".join([f"{heading};Heart rate", *rows])


@pytest.mark.parametrize(
    ("cells", "start", "zone"),
    [
        (["2026-09-12T07:30:00Z", "2026-09-12T07:30:02Z"], dt.datetime(2026, 9, 12, 7, 30, tzinfo=UTC), None),
        (["2026-09-12T07:30:00+02:00", "2026-09-12T07:30:02+02:00"], dt.datetime(2026, 9, 12, 5, 30, tzinfo=UTC), "UTC+02:00"),
        (["2026-09-12 07:30:00.000 -0330", "2026-09-12 07:30:02.000 -0330"], dt.datetime(2026, 9, 12, 11, 0, tzinfo=UTC), "UTC-03:30"),
        (["20260912T073000Z", "20260912T073002Z"], dt.datetime(2026, 9, 12, 7, 30, tzinfo=UTC), None),
        (["1789198200", "1789198202"], dt.datetime(2026, 9, 12, 7, 30, tzinfo=UTC), None),
        (["1789198200000", "1789198202000"], dt.datetime(2026, 9, 12, 7, 30, tzinfo=UTC), None),
    ],
)  # fmt: skip
def test_times_with_a_zone_give_the_start_in_utc_without_a_word(
    cells: list[str], start: dt.datetime, zone: str | None, tmp_path: Path
) -> None:
    session = read(tmp_path, _table(cells))

    assert session.start_utc == start
    assert session.zone == zone
    assert session.t_s.tolist() == [0, 2]
    assert session.warnings == ()


@pytest.mark.parametrize(
    "cells",
    [
        ["2026-09-12T07:30:00", "2026-09-12T07:30:02"],
        ["2026-09-12 07:30:00", "2026-09-12 07:30:02"],
        ["2026/09/12 07:30:00", "2026/09/12 07:30:02"],
        ["12.09.2026 07:30:00", "12.09.2026 07:30:02"],
        ["12.9.2026 7.30.00", "12.9.2026 7.30.02"],
        ["12.09.26 07:30:00", "12.09.26 07:30:02"],
        ["22/09/2026 07:30:00", "22/09/2026 07:30:02"],
        ["09/22/2026 7:30:00 AM", "09/22/2026 7:30:02 AM"],
        ["12 Sep 2026 07:30:00", "12 Sep 2026 07:30:02"],
        ["Sep 12, 2026 07:30:00", "Sep 12, 2026 07:30:02"],
        ["12. september 2026 kl. 07:30:00", "12. september 2026 kl. 07:30:02"],
    ],
)
def test_times_without_a_zone_are_taken_as_utc_with_a_word(cells: list[str], tmp_path: Path) -> None:
    session = read(tmp_path, _table(cells))

    assert session.start_utc is not None
    assert session.start_utc.date() in {dt.date(2026, 9, 12), dt.date(2026, 9, 22)}
    assert session.start_utc.time() == dt.time(7, 30)
    assert session.zone is None
    assert session.t_s.tolist() == [0, 2]
    assert any("taken as UTC" in warning for warning in session.warnings)


def test_a_heading_that_says_utc_is_believed(tmp_path: Path) -> None:
    session = read(tmp_path, _table(["2026-09-12 07:30:00", "2026-09-12 07:30:02"], "Time (UTC)"))

    assert session.start_utc == dt.datetime(2026, 9, 12, 7, 30, tzinfo=UTC)
    assert session.warnings == ()


@pytest.mark.parametrize("zone", ["Europe/Oslo", "UTC+02:00"])
def test_a_zone_the_rider_names_is_used_with_its_summer_time(zone: str, tmp_path: Path) -> None:
    path = write(tmp_path, _table(["2026-09-12 07:30:00", "2026-09-12 07:30:02"]))

    session = read_session(path, choices={"zone": zone})

    assert session.start_utc == dt.datetime(2026, 9, 12, 5, 30, tzinfo=UTC)
    assert session.zone == zone
    assert session.warnings == ()


@pytest.mark.parametrize(
    ("heading", "cells", "t_s"),
    [
        ("Time", ["0:00:00", "0:00:02", "1:00:00"], [0, 2, 3600]),
        ("Time", ["00:00:00.0", "00:00:00.5", "00:00:01.25"], [0, 0.5, 1.25]),
        ("Time", ["0:00:00,0", "0:00:00,5", "0:00:01,5"], [0, 0.5, 1.5]),
        ("Elapsed", ["0:00", "0:02", "75:30"], [0, 2, 4530]),
        ("Elapsed", ["0:00.0", "0:02.5", "1:00.0"], [0, 2.5, 60]),
        ("Time", ["0:58", "0:59", "1:00", "25:10"], [0, 1, 2, 1452]),
        ("Duration (h:mm:ss)", ["30:00:00", "30:00:05"], [0, 5]),
        ("time_s", ["0", "2.5", "4"], [0, 2.5, 4]),
        ("Time [min]", ["0", "0,5", "1"], [0, 30, 60]),
        ("elapsed_ms", ["0", "500", "1500"], [0, 0.5, 1.5]),
        ("Seconds", ["10", "12", "13"], [0, 2, 3]),
        ("Time of day", ["7:30:00 AM", "7:30:05 AM"], [0, 5]),
        ("Time of day", ["11:59:59 AM", "12:00:01 PM"], [0, 2]),
        ("Uhrzeit", ["23:59:58", "23:59:59", "00:00:01"], [0, 1, 3]),
        ("Kellonaika", ["7.30.15", "7.30.16", "7.30.20", "7.31.00", "7.32.00"], [0, 1, 5, 45, 105]),
        ("Clock", ["07:30", "07:31", "07:33"], [0, 60, 180]),
    ],
)
def test_times_without_a_date_give_elapsed_seconds(
    heading: str, cells: list[str], t_s: list[float], tmp_path: Path
) -> None:
    session = read(tmp_path, _table(cells, heading))

    assert session.t_s.tolist() == pytest.approx(t_s)
    assert session.start_utc is None
    assert "The file gives no date; the day is unknown." in session.warnings


def test_date_and_time_of_day_in_two_columns_are_put_together_across_midnight(tmp_path: Path) -> None:
    session = read(
        tmp_path,
        """
        Datum;Uhrzeit;Puls
        12.09.2026;23:59:58;120
        12.09.2026;23:59:59;121
        13.09.2026;00:00:01;122
        """,
    )

    assert session.start_utc == dt.datetime(2026, 9, 12, 23, 59, 58, tzinfo=UTC)
    assert session.t_s.tolist() == [0, 1, 3]


def test_a_date_that_does_not_follow_midnight_is_put_right(tmp_path: Path) -> None:
    session = read(tmp_path, "Date,Time,HR\n2026-09-12,23:59:59,120\n2026-09-12,00:00:01,121\n")

    assert session.t_s.tolist() == [0, 2]


def test_a_day_without_a_time_of_day_starts_at_midnight_with_a_word(tmp_path: Path) -> None:
    session = read(tmp_path, "Date,Elapsed (s),HR\n2026-09-12,0,120\n2026-09-12,1,121\n")

    assert session.start_utc == dt.datetime(2026, 9, 12, tzinfo=UTC)
    assert any("midnight" in warning for warning in session.warnings)


@pytest.mark.parametrize(
    ("above", "first", "start"),
    [
        ("Datum;12.09.2026", "07:30:00", dt.time(7, 30)),
        ("Start;12.09.2026 07:29:58", "07:30:00", dt.time(7, 30)),
        ("Start;12.09.2026 07:29:58", "00:00:05", dt.time(7, 30, 3)),
        ("Start: 2026-09-12 07:29:58;", "00:00:05", dt.time(7, 30, 3)),
    ],
)
def test_a_day_above_the_headings_dates_times_of_day_and_elapsed_times(
    above: str, first: str, start: dt.time, tmp_path: Path
) -> None:
    session = read(tmp_path, f"{above}\n\nUhrzeit;Puls;Watt\n{first};120;200\n23:00:00;121;210\n")

    assert session.start_utc == dt.datetime.combine(dt.date(2026, 9, 12), start, UTC)


def test_a_clock_of_whole_minutes_is_refined_by_elapsed_seconds(tmp_path: Path) -> None:
    rows = "\n".join(f"2026-09-12 07:{30 + n // 60}:00Z,{n},{120 + n % 5}" for n in range(180))

    session = read(tmp_path, f"Timestamp,Seconds,HR\n{rows}\n")

    np.testing.assert_array_equal(session.t_s, np.arange(180))
    assert session.start_utc == dt.datetime(2026, 9, 12, 7, 30, tzinfo=UTC)


@pytest.mark.parametrize("separator", ["/", "-"])
def test_a_date_that_may_be_two_days_is_asked_for(separator: str, tmp_path: Path) -> None:
    date = separator.join(["03", "04", "2026"])
    path = write(tmp_path, f"Date,Time,HR\n{date},07:30:00,120\n{date},07:30:01,121\n")

    with pytest.raises(ChoiceNeeded, match="3 April 2026 or 4 March 2026") as caught:
        read_session(path)

    assert caught.value.options == ("--dates day-first", "--dates month-first")


@pytest.mark.parametrize(("answer", "month", "day"), [("day-first", 4, 3), ("month-first", 3, 4)])
def test_the_answer_to_the_date_is_obeyed(answer: str, month: int, day: int, tmp_path: Path) -> None:
    path = write(tmp_path, "Date,Time,HR\n03/04/2026,07:30:00,120\n03/04/2026,07:30:01,121\n")

    session = read_session(path, choices={"dates": answer})

    assert session.start_utc == dt.datetime(2026, month, day, 7, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("first", "second", "start"),
    [
        ("03/04/2026", "04/04/2026", dt.date(2026, 4, 3)),
        ("03/31/2026", "04/01/2026", dt.date(2026, 3, 31)),
        ("04/04/2026", "04/04/2026", dt.date(2026, 4, 4)),
        ("03.04.2026", "03.04.2026", dt.date(2026, 4, 3)),
    ],
    ids=["next day", "no 31st month", "same either way", "dots put the day first"],
)
def test_a_date_with_one_sensible_reading_is_not_asked_for(
    first: str, second: str, start: dt.date, tmp_path: Path
) -> None:
    clock = ("23:59:59", "00:00:01") if first != second else ("07:30:00", "07:30:02")
    session = read(tmp_path, f"Date,Time,HR\n{first},{clock[0]},120\n{second},{clock[1]},121\n")

    assert session.start_utc is not None
    assert session.start_utc.date() == start
    assert session.duration_s == 2


def test_hours_and_minutes_or_minutes_and_seconds_is_asked_for(tmp_path: Path) -> None:
    path = write(tmp_path, _table(["7:30", "7:31", "7:32"]))

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert caught.value.options == ("--times h:mm", "--times m:ss")
    assert read_session(path, choices={"times": "h:mm"}).duration_s == 120
    assert read_session(path, choices={"times": "m:ss"}).duration_s == 2


def test_a_number_that_counts_an_unknown_unit_is_asked_for(tmp_path: Path) -> None:
    path = write(tmp_path, _table(["0", "0.0167", "0.0333"]))

    with pytest.raises(ChoiceNeeded) as caught:
        read_session(path)

    assert "--unit time=min" in caught.value.options
    assert read_session(path, choices={"units": {"time": "min"}}).duration_s == pytest.approx(2, abs=0.01)


def test_seconds_nobody_named_are_taken_with_a_word(tmp_path: Path) -> None:
    session = read(tmp_path, _table(["0", "5", "10"]))

    assert session.t_s.tolist() == [0, 5, 10]
    assert "Column 'Time' names no unit and was read as s (--unit time=s)." in session.warnings


def test_rows_out_of_order_and_twice_are_put_in_order_and_told(tmp_path: Path) -> None:
    session = read(tmp_path, "time_s,hr_bpm\n0,120\n2,122\n1,121\n1,121\n3,123\n")

    assert session.t_s.tolist() == [0, 1, 2, 3]
    assert session.hr_bpm.tolist() == [120, 121, 122, 123]
    assert any("backward once" in warning for warning in session.warnings)
    assert any("1 sample repeats" in warning for warning in session.warnings)


def test_two_halves_in_the_wrong_order_are_one_session(tmp_path: Path) -> None:
    rows = [f"{second},{100 + second}" for second in [*range(30, 60), *range(30)]]

    session = read(tmp_path, "\n".join(["time_s,hr_bpm", *rows]))

    assert session.hr_bpm.tolist() == list(range(100, 160))


def test_time_that_starts_again_is_refused_without_a_column_that_tells_sessions_apart(tmp_path: Path) -> None:
    rows = "\n".join(f"{second},{100 + second}" for second in range(60))
    path = write(tmp_path, f"time_s,hr_bpm\n{rows}\n{rows}\n")

    with pytest.raises(UnreadableFile, match="time starts again in row 61"):
        read_session(path)


def test_time_that_starts_again_with_a_new_label_is_a_new_session(tmp_path: Path) -> None:
    rows = [f"{label},{second},{100 + second}" for label in "ab" for second in range(60)]

    sessions = read_sessions(write(tmp_path, "\n".join(["session,time_s,hr_bpm", *rows])))

    assert [session.t_s.size for session in sessions] == [60, 60]


def test_hours_without_a_row_between_dates_part_sessions(tmp_path: Path) -> None:
    rows = [f"2026-09-{day}T07:30:0{second}Z,12{second}" for day in (12, 14) for second in range(5)]

    sessions = read_sessions(write(tmp_path, "\n".join(["time,hr", *rows])))

    assert [s.start_utc.day for s in sessions if s.start_utc] == [12, 14]
