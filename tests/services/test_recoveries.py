"""A recovery is found by session and order, and shown with its samples, curve and band."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from rideready.errors import NotInStore
from rideready.model.recovery import Grade, Mode
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.recoveries import list_recoveries, recovery_view
from rideready.services.riders import update_rider
from tests.support.stores import a_ride, write_ride


@pytest.fixture(scope="module")
def ctx(tmp_path_factory: pytest.TempPathFactory) -> Context:
    folder = tmp_path_factory.mktemp("exports")
    context = open_context(folder / "store.sqlite", rider="Runa", today=dt.date(2026, 9, 28))
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    import_paths(context, [write_ride(folder, days=days) for days in (0, 1)])
    return context


def test_recoveries_are_listed_by_time(ctx: Context) -> None:
    found = [(row.session_id, row.recovery.order) for row in list_recoveries(ctx)]
    assert found == [(1, 1), (1, 2), (2, 1), (2, 2)]


def test_days_grades_and_modes_narrow_the_list(ctx: Context) -> None:
    assert {row.session_id for row in list_recoveries(ctx, since=dt.date(2026, 9, 2))} == {2}
    assert {row.session_id for row in list_recoveries(ctx, until=dt.date(2026, 9, 1))} == {1}
    assert len(list_recoveries(ctx, grades=[Grade.GOOD, Grade.FAIR], modes=[Mode.STILL])) == 4
    assert list_recoveries(ctx, modes=[Mode.MOVING]) == []


def test_a_list_handed_out_is_the_callers_own_and_the_filters_are_not_mixed_up(ctx: Context) -> None:
    lately = ctx.today - dt.timedelta(days=300)
    first = list_recoveries(ctx, since=lately)
    first.clear()
    assert len(list_recoveries(ctx, since=lately)) == 4
    assert list_recoveries(ctx, since=lately, modes=[Mode.MOVING]) == []
    assert len(list_recoveries(ctx, since=lately, modes=[Mode.STILL])) == 4
    assert list_recoveries(ctx, since=lately, grades=[]) == []
    assert len(list_recoveries(ctx, since=lately, until=dt.date(2026, 9, 1))) == 2
    assert [recovery_view(ctx, number, 1).row.session_id for number in (1, 2, 1)] == [1, 2, 1]


def test_a_row_knows_where_it_was(ctx: Context) -> None:
    row = list_recoveries(ctx)[0]
    assert (row.altitude_m, row.temperature_c) == (320.0, None)  # the altitude of `a_ride`
    assert row.end_local is not None
    assert (row.end_local - dt.datetime.fromisoformat("2026-09-01T19:34:00+02:00")).total_seconds() == (
        pytest.approx(0, abs=5)  # the first effort of `a_ride` ends 240 s in
    )


def test_a_view_shows_the_samples_from_thirty_seconds_before(ctx: Context) -> None:
    view = recovery_view(ctx, 1, 1)
    recovery = view.row.recovery
    assert view.raw_t_s[0] == pytest.approx(-30, abs=1)
    assert view.raw_t_s[-1] == pytest.approx(recovery.window_s, abs=1)
    first = int(np.searchsorted(a_ride().t_s, recovery.end_of_effort_s - 30))
    assert np.array_equal(view.raw_hr_bpm, a_ride().hr_bpm[first : first + view.raw_hr_bpm.size])
    assert view.clean_t_s[0] == pytest.approx(-30, abs=1)


def test_the_curve_runs_through_the_fall_with_its_band(ctx: Context) -> None:
    view = recovery_view(ctx, 1, 1)
    assert view.curve_t_s[0] == 0
    at = np.interp(view.curve_t_s, view.clean_t_s, view.clean_hr_bpm)
    misfit = view.curve_bpm - at
    assert np.sqrt(np.mean(misfit**2)) < 1.2  # noise of 0.7 bpm and rounding in `a_ride`
    assert np.all(view.curve_low_bpm <= view.curve_bpm)
    assert np.all(view.curve_bpm <= view.curve_high_bpm)
    assert 0 < np.max(view.curve_high_bpm - view.curve_low_bpm) < 10


def test_the_settle_level_is_the_riders(ctx: Context) -> None:
    # Karvonen 1957: 54 + 0.6 x (181 - 54) = 130.2.
    assert recovery_view(ctx, 1, 1).settle_bpm == pytest.approx(130.2)


def test_without_a_reserve_there_is_no_settle_level(tmp_path: Path) -> None:
    context = open_context(tmp_path / "store.sqlite")
    import_paths(context, [write_ride(tmp_path)])
    view = recovery_view(context, 1, 1)
    assert view.settle_bpm is None
    assert view.row.recovery.peak_reserve is None
    assert view.row.recovery.settle_s is None


def test_reasons_come_as_sentences(ctx: Context) -> None:
    view = recovery_view(ctx, 1, 1)
    assert view.sentences == tuple(reason.sentence for reason in view.row.recovery.reasons)


def test_a_recovery_that_is_not_there_says_how_many_there_are(ctx: Context) -> None:
    with pytest.raises(NotInStore) as problem:
        recovery_view(ctx, 1, 9)
    assert str(problem.value) == (
        "session 1 has no recovery 9; it has 2. List them with: rideready session 1."
    )
    with pytest.raises(NotInStore, match="there is no session 8"):
        recovery_view(ctx, 8, 1)
