"""The trend is asked with the right table, load and resting pulse."""

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rideready.model.trend import Verdict
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.recoveries import list_recoveries
from rideready.services.riders import update_rider
from rideready.services.sessions import describe_session, list_sessions
from rideready.services.trends import SEASON, recovery_table, season_start, trend, weekly_load
from tests.support.csv_writer import english_csv
from tests.support.stores import AN_EVENING, a_ride, write_ride

COLUMNS = [
    "session_id",
    "start_utc",
    "device",
    "kind",
    "posture",
    "mode",
    "order",
    "peak_bpm",
    "peak_reserve",
    "hrr60_bpm",
    "hrr60_se_bpm",
    "grade",
    "altitude_m",
    "temperature_c",
]


@pytest.fixture(scope="module")
def ctx(tmp_path_factory: pytest.TempPathFactory) -> Context:
    folder = tmp_path_factory.mktemp("exports")
    context = open_context(folder / "store.sqlite", rider="Runa")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex="female")
    import_paths(context, [write_ride(folder, days=days) for days in (0, 14)])
    return context


def test_the_table_has_one_row_a_recovery_with_every_column(ctx: Context) -> None:
    table = recovery_table(list_recoveries(ctx))
    assert list(table.columns) == COLUMNS
    assert table["session_id"].tolist() == [1, 1, 2, 2]
    assert str(table["start_utc"].dtype) == "datetime64[ns, UTC]"
    assert table["start_utc"][0].to_pydatetime() == AN_EVENING
    assert table["posture"].tolist() == ["seated"] * 4
    assert table["altitude_m"].tolist() == [320.0] * 4
    assert np.isnan(table["temperature_c"]).all()
    row = list_recoveries(ctx)[0].recovery
    assert (table["hrr60_bpm"][0], table["peak_reserve"][0]) == (row.hrr60_bpm, row.peak_reserve)


def test_a_table_without_rows_has_the_same_columns_and_types(ctx: Context) -> None:
    empty, full = recovery_table([]), recovery_table(list_recoveries(ctx))
    assert len(empty) == 0
    assert empty.dtypes.to_dict() == full.dtypes.to_dict()


def test_a_logged_posture_counts_before_the_usual_one(ctx: Context) -> None:
    rows = [replace(row, posture="lying") for row in list_recoveries(ctx)]
    assert recovery_table(rows)["posture"].tolist() == ["lying"] * 4


def test_recoveries_without_a_date_are_left_out(ctx: Context) -> None:
    rows = list_recoveries(ctx)
    undated = [replace(rows[0], session_start_utc=None), *rows[1:]]
    assert len(recovery_table(undated)) == 3


def test_figures_that_are_missing_are_nan(ctx: Context) -> None:
    row = list_recoveries(ctx)[0]
    without = replace(row, recovery=replace(row.recovery, hrr60_bpm=None, peak_reserve=None))
    table = recovery_table([without])
    assert np.isnan(table["hrr60_bpm"][0])
    assert np.isnan(table["peak_reserve"][0])


def test_load_is_added_up_by_week_with_weeks_of_rest_as_zero(ctx: Context) -> None:
    rows = list_sessions(ctx)
    load = weekly_load(rows)
    # 1 September 2026 is a Tuesday, so its week begins on 31 August; two weeks later comes the other ride.
    assert load == {
        dt.date(2026, 8, 31): rows[1].trimp,
        dt.date(2026, 9, 7): 0.0,
        dt.date(2026, 9, 14): rows[0].trimp,
    }


def test_a_load_that_lacks_a_session_is_no_load(ctx: Context) -> None:
    rows = list_sessions(ctx)
    assert weekly_load([replace(rows[0], trimp=None), rows[1]]) is None
    assert weekly_load([]) is None


def test_two_sessions_are_too_few_for_a_verdict(ctx: Context) -> None:
    found = trend(ctx)
    assert (found.direction, found.n_sessions) == (Verdict.TOO_FEW, 2)
    assert found.slope_bpm_per_week is None
    assert found.reasons


def test_days_and_recorder_narrow_the_trend(ctx: Context) -> None:
    assert trend(ctx, until=dt.date(2026, 9, 1)).n_sessions == 1
    assert trend(ctx, device="another recorder").n_sessions == 0


def test_an_empty_store_has_too_few(tmp_path: Path) -> None:
    assert trend(open_context(tmp_path / "store.sqlite")).direction is Verdict.TOO_FEW


def test_a_description_changes_no_figure(ctx: Context) -> None:
    before = trend(ctx)
    describe_session(ctx, 1, rpe=5)
    assert trend(ctx).points == before.points


def test_a_first_season_is_shown_whole_and_later_ones_from_half_a_year_back(tmp_path: Path) -> None:
    context = open_context(tmp_path / "seasons.sqlite", rider="Runa", today=dt.date(2027, 12, 1))
    (tmp_path / "old.csv").write_bytes(english_csv(a_ride(days=0)))
    import_paths(context, [tmp_path / "old.csv"])
    assert season_start(context) is None
    (tmp_path / "new.csv").write_bytes(english_csv(a_ride(days=400)))
    import_paths(context, [tmp_path / "new.csv"])
    newest = list_sessions(context)[0].start_local
    assert newest is not None
    assert season_start(context) == newest.date() - SEASON
    context.store.close()
