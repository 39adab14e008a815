"""What services hand over becomes small tables, and nothing is lost or made up on the way."""

import datetime as dt

import numpy as np
import pytest

from dashboards import crowd, tables
from dashboards.urls import RecoveryKey
from rideready.model.clean import Flag
from rideready.model.recovery import Grade
from rideready.model.trend import Trend, TrendPoint, Verdict
from rideready.services.recoveries import RecoveryRow
from tests.dashboards.rows import (
    a_recovery_row,
    a_recovery_view,
    a_session_row,
    a_session_view,
    a_signal,
    on_day,
)
from tests.support.stores import AN_EVENING, a_recovery


def _a_trend(*points: TrendPoint) -> Trend:
    return Trend(
        Verdict.TOO_FEW, None, None, None, None, None, None, None, 1, len(points), 0.0, points, reasons=()
    )


def test_a_dot_stands_at_the_end_of_its_effort_on_the_clock_on_the_wall() -> None:
    table = tables.dots([a_recovery_row(a_recovery(end_of_effort_s=1800.0))])
    # 17:30 UTC is 19:30 in Oslo in summer; half an hour into the session it is 20:00.
    day = (dt.date(2026, 9, 1) - dt.date(1970, 1, 1)).days + 20 / 24
    assert table.loc[0, "day"] == pytest.approx(day, abs=1e-9)
    assert table.loc[0, "key"] == "12.1"


def test_a_recovery_without_a_drop_or_without_a_date_is_no_dot() -> None:
    rows = [a_recovery_row(a_recovery(hrr60_bpm=None)), a_recovery_row(session_start_utc=None)]
    assert tables.dots(rows).empty


def test_what_is_said_on_pointing_at_a_dot_has_value_uncertainty_unit_and_date() -> None:
    said = str(tables.dots([a_recovery_row()]).loc[0, "said"])
    assert "1 Sep 2026, 19:35" in said
    # Half the 95 % interval of a standard error of 1.6 bpm.
    assert "31 ± 3 bpm" in said


@pytest.mark.parametrize(
    ("grades", "opened"),
    [
        ([Grade.GOOD, Grade.GOOD, Grade.FAIR], RecoveryKey(1, 1)),
        ([Grade.ROUGH, Grade.NONE, Grade.NONE], RecoveryKey(0, 1)),
        ([Grade.NONE, Grade.NONE], RecoveryKey(1, 1)),
        ([], None),
    ],
)
def test_the_newest_of_the_best_grade_is_opened_unasked(
    grades: list[Grade], opened: RecoveryKey | None
) -> None:
    rows = [on_day(day, recovery=a_recovery(grade=grade)) for day, grade in enumerate(grades)]
    assert tables.default_opened(rows) == opened


def test_an_undated_recovery_is_not_taken_for_the_newest() -> None:
    rows = [on_day(1), a_recovery_row(session_id=99, session_start_utc=None)]
    assert tables.default_opened(rows) == RecoveryKey(1, 1)


@pytest.mark.parametrize(
    ("opened", "around"),
    [(0, (None, 1)), (1, (0, 2)), (2, (1, None)), (7, (2, None))],
)
def test_neighbours_are_those_in_the_list(opened: int, around: tuple[int | None, int | None]) -> None:
    found = tables.neighbours([on_day(day) for day in range(3)], RecoveryKey(opened, 1))
    assert tuple(key and key.session_id for key in found) == around


def test_only_the_asked_recorder_is_kept() -> None:
    rows = [on_day(1, device="Strap"), on_day(2, device="Wrist"), on_day(3, device=None)]
    assert [row.session_id for row in tables.of_device(rows, "Wrist")] == [2]
    assert tables.of_device(rows, None) == rows
    assert tables.devices([a_session_row(device=name) for name in ("Wrist", None, "Strap", "Wrist")]) == [
        "Strap",
        "Wrist",
    ]


def test_a_session_of_the_trend_stands_at_its_own_date_whatever_the_first_was() -> None:
    later = AN_EVENING + dt.timedelta(days=9)
    sessions = [a_session_row(session_id=5, start_utc=later), a_session_row(session_id=4)]
    point = TrendPoint(9.0, 5, 31.0, 1.5, 3, 30.0, 28.0, 32.0)
    table = tables.trend_points(_a_trend(point), sessions)
    assert len(table) == 1
    assert table.loc[0, "day"] == pytest.approx((later.date() - dt.date(1970, 1, 1)).days + 19.5 / 24)
    assert table.loc[0, "half_width_bpm"] == pytest.approx(1.96 * 1.5)
    assert (table.loc[0, "fitted_low_bpm"], table.loc[0, "fitted_high_bpm"]) == (28.0, 32.0)


def test_a_trend_without_a_fit_has_points_without_a_course() -> None:
    table = tables.trend_points(_a_trend(TrendPoint(0.0, 12, 31.0, 1.5, 3)), [a_session_row()])
    assert table["fitted_bpm"].isna().tolist() == [True]


def test_samples_of_seconds_that_were_left_out_are_told_apart() -> None:
    t_s = np.array([0.0, 1.0, 2.0])
    view = a_recovery_view(
        raw_t_s=t_s,
        raw_hr_bpm=np.array([160.0, 90.0, np.nan]),
        clean_t_s=t_s,
        clean_hr_bpm=np.array([160.0, np.nan, 158.0]),
    )
    table = tables.samples(view)
    assert table["hr_bpm"].tolist() == [160.0, 90.0]
    assert table["is_trusted"].tolist() == [True, False]


def test_neighbouring_seconds_with_one_reason_are_one_stretch() -> None:
    flags = [Flag.OK, Flag.STUCK, Flag.STUCK, Flag.GAP, Flag.OK, Flag.SPIKE]
    table = tables.left_out(a_session_view(signal=a_signal(flags)))
    assert table[["start_s", "end_s"]].to_numpy().tolist() == [[1, 2], [3, 3], [5, 5]]
    assert table["said"].tolist()[0] == "left out 0:01 to 0:02: stuck on one value"


def test_a_signal_without_a_fault_has_no_stretch_left_out() -> None:
    assert tables.left_out(a_session_view(signal=a_signal([Flag.OK] * 5))).empty
    assert tables.left_out(a_session_view(signal=a_signal([]))).empty


@pytest.mark.parametrize("flag", list(Flag)[1:])
def test_every_reason_to_leave_a_second_out_has_words(flag: Flag) -> None:
    table = tables.left_out(a_session_view(signal=a_signal([flag])))
    assert len(table) == 1


def test_bands_follow_the_classes_lightest_first() -> None:
    table = tables.bands(a_session_view())
    assert table["step"].tolist() == [0, 1, 2, 3, 4]
    assert table["low_bpm"].tolist() == [0, 92, 106, 132, 173]
    # A pulse over the maximum is near-maximal too.
    assert table["high_bpm"].tolist() == [92, 106, 132, 173, np.inf]
    assert tables.bands(a_session_view(class_bounds_bpm=[])).empty


def test_a_trace_is_condensed_to_stretches_that_count_what_was_left_out() -> None:
    signal = a_signal([Flag.OK] * 90 + [Flag.STUCK] * 60)
    signal.hr_bpm[10] = 180.0
    minutes, table = tables.stretches(a_session_view(signal=signal))
    assert minutes == 1
    assert table["start_s"].tolist() == [0, 60, 120]
    assert table["highest"].tolist()[:2] == [180.0, 120.0]
    assert table["mean"][0] == pytest.approx(121.0)
    assert np.isnan(table["mean"][2])
    assert table["left_out_s"].tolist() == [0, 30, 30]


@pytest.mark.parametrize(("hours", "minutes"), [(0.5, 1), (1.5, 2), (5, 5), (10, 10)])
def test_a_long_trace_gets_longer_stretches_and_never_a_long_table(hours: float, minutes: int) -> None:
    signal = a_signal([Flag.OK] * int(hours * 3600))
    found, table = tables.stretches(a_session_view(signal=signal))
    assert found == minutes
    assert len(table) <= tables.MAX_TRACE_ROWS


def many_rows(n: int) -> list[RecoveryRow]:
    """Recoveries of ten years; every tenth is good, the others rough, one lies far above all."""
    rng = np.random.default_rng(1)
    start = AN_EVENING - dt.timedelta(days=3650)
    return [
        a_recovery_row(
            a_recovery(
                hrr60_bpm=90.0 if number == 700 else float(rng.normal(30, 5)),
                grade=Grade.GOOD if number % 10 == 0 else Grade.ROUGH,
            ),
            session_id=number,
            session_start_utc=start + dt.timedelta(days=3650 * number / n),
        )
        for number in range(n)
    ]


def test_ten_years_are_thinned_to_what_a_screen_shows_best_grades_first() -> None:
    rows = many_rows(5000)
    opened = RecoveryKey(4321, 1)
    drawn = crowd.drawn(rows, opened=opened)
    assert 200 < len(drawn) <= crowd.MOST_DOTS
    kept = {row.session_id for row in drawn}
    assert {700, 4321} <= kept  # the one that stands alone, and the opened one
    assert [row.session_id for row in drawn] == sorted(kept)
    n_good = sum(row.recovery.grade == Grade.GOOD for row in drawn)
    assert n_good / len(drawn) > 0.3  # three times their share of all
    assert min(kept) < 60


def test_a_season_is_drawn_whole() -> None:
    rows = many_rows(crowd.MOST_DOTS)
    assert crowd.drawn(rows, opened=None) == rows
    assert crowd.evenly(list(range(7)), 7) == list(range(7))


def test_sessions_are_thinned_evenly_and_keep_both_ends() -> None:
    assert crowd.evenly(list(range(101)), 5) == [0, 25, 50, 75, 100]
