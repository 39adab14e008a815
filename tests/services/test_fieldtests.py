"""Field tests from recordings: read, dated with the session, kept and compared."""

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rideready.errors import BadInput
from rideready.model.fieldtest import Counting, FieldTest, Measure
from rideready.model.fieldtest_history import Direction
from rideready.model.session import Session
from rideready.services.context import Context, open_context
from rideready.services.fieldtests import instruction, list_tests, score_by_hand, score_session
from rideready.services.importing import import_paths
from rideready.services.riders import update_rider
from rideready.services.sessions import list_sessions
from rideready.store.diary import LogEntry, add_log_entry
from tests.support.csv_writer import english_csv
from tests.support.field_tests import STAND_S, plain_strap, recorded, stepping, true_beats
from tests.support.stores import AN_EVENING

TODAY = dt.date(2026, 11, 2)


@pytest.fixture
def ctx(tmp_path: Path) -> Context:
    return open_context(tmp_path / "store.sqlite", rider="Runa", today=TODAY)


def import_session(ctx: Context, folder: Path, session: Session) -> int:
    """Import a session through a table; return its number."""
    path = folder / "session.csv"
    path.write_bytes(english_csv(session))
    import_paths(ctx, [path])
    (row,) = list_sessions(ctx)
    return row.session_id


def eight_bursts() -> Session:
    """Bursts as the protocol asks: 45 s from 120 up to 170 bpm, then 60 s down, with power (figures invented)."""
    t_s = np.arange(60.0 + 8 * 105 + 60)
    since_s = (t_s - 60) % 105
    is_hard = (t_s >= 60) & (t_s < 60 + 8 * 105) & (since_s < 45)
    rising = 170 - 50 * np.exp(-since_s / 12)
    top = 170 - 50 * np.exp(-45 / 12)
    falling = 115 + (top - 115) * np.exp(-(since_s - 45) / 25)
    hr_bpm = np.where(t_s < 60, 120.0, np.where(is_hard, rising, falling))
    noise = np.random.default_rng(1).normal(0, 0.5, t_s.size)
    return Session.from_arrays(
        t_s,
        np.round(hr_bpm + noise),
        start_utc=AN_EVENING,
        zone="Europe/Oslo",
        power_w=np.where(is_hard, 320.0, 0.0),
        cadence_rpm=np.where(is_hard, 95.0, 0.0),
    )


def test_a_recorded_step_test_is_counted_dated_and_kept(ctx: Context, tmp_path: Path) -> None:
    simulated = recorded(stepping(), 3, sensor=plain_strap)
    session_id = import_session(ctx, tmp_path, simulated.session)
    view = score_session(ctx, FieldTest.YMCA, session_id)
    figure = view.result.main
    assert figure is not None
    assert figure.low is not None
    assert figure.high is not None
    # The simulated heart's own beats in the minute after the stop.
    assert figure.low <= true_beats(simulated, STAND_S + 180, 60) <= figure.high
    assert view.result.counting is Counting.RECORDING
    assert (view.kept.dated.day, view.kept.session_id) == (dt.date(2026, 9, 1), session_id)
    assert [one.kept for one in list_tests(ctx)] == [view.kept]


def test_a_stop_that_is_told_is_taken(ctx: Context, tmp_path: Path) -> None:
    session_id = import_session(ctx, tmp_path, recorded(stepping(), 3, sensor=plain_strap).session)
    view = score_session(ctx, FieldTest.QUEENS_COLLEGE, session_id, stop_s=STAND_S + 180.0)
    # The start of stepping, seen in the pulse, may move it within its own error.
    assert view.result.stop_s == pytest.approx(STAND_S + 180, abs=2)
    assert "fieldtest.stop_given" in [reason.code for reason in view.result.reasons]


def test_bursts_come_from_a_recording_with_three_figures(ctx: Context, tmp_path: Path) -> None:
    view = score_session(ctx, FieldTest.BURSTS, import_session(ctx, tmp_path, eight_bursts()))
    assert [figure.measure for figure in view.result.figures] == [
        Measure.DROP_45,
        Measure.DROP_45_CHANGE,
        Measure.START_PULSE,
    ]
    # By hand: 45 s into a fall from 168.8 to 115 bpm with a time constant of 25 s.
    assert view.result.figures[0].value == pytest.approx(53.8 * (1 - np.exp(-45 / 25)), abs=2)
    assert view.is_kept


def test_a_ride_test_needs_a_maximum_and_is_not_kept_without_one(ctx: Context, tmp_path: Path) -> None:
    view = score_session(ctx, FieldTest.RIDE, import_session(ctx, tmp_path, eight_bursts()))
    assert [reason.code for reason in view.result.reasons] == ["fieldtest.no_maximum"]
    assert not view.is_kept
    assert list_tests(ctx) == []


def test_a_step_test_with_a_change_that_stands_out_says_so(ctx: Context) -> None:
    # Four tests a week apart vary by a beat; 20 fewer stand out of that.
    for week, beats in enumerate((110, 111, 110, 111, 90)):
        day = TODAY + dt.timedelta(weeks=week)
        view = score_by_hand(replace(ctx, today=day), FieldTest.YMCA, (beats,))
    usual = view.comparison.from_usual
    assert usual is not None
    assert (usual.before, usual.now, usual.direction) == (110.5, 90, Direction.DOWN)
    assert "fieldtest.overreaching" in [reason.code for reason in view.comparison.reasons]
    assert [one.comparison.n_earlier for one in list_tests(ctx)] == [0, 1, 2, 3, 4]


def test_tests_of_another_kind_are_not_compared(ctx: Context) -> None:
    score_by_hand(ctx, FieldTest.YMCA, (110,))
    view = score_by_hand(replace(ctx, today=TODAY + dt.timedelta(7)), FieldTest.QUEENS_COLLEGE, (34,))
    assert (view.comparison.n_earlier, view.comparison.from_last) == (0, None)


def test_a_medicine_leaves_the_count_and_takes_the_band(ctx: Context) -> None:
    update_rider(ctx, age_years=41.0, takes_heart_rate_medicine=True)
    view = score_by_hand(ctx, FieldTest.HARVARD, (90, 80, 70), seconds=300)
    assert view.result.bands == ()
    assert "fieldtest.medicine" in [reason.code for reason in view.result.reasons]


def test_a_test_that_cannot_be_meant_is_not_kept(ctx: Context) -> None:
    with pytest.raises(BadInput, match="4 counts were given"):
        score_by_hand(ctx, FieldTest.HARVARD, (90, 80, 70, 60), seconds=300)
    assert list_tests(ctx) == []


def test_a_sore_joint_in_the_diary_speaks_against_a_test(ctx: Context) -> None:
    with ctx.store.writing() as connection:
        add_log_entry(connection, ctx.rider_id, LogEntry(TODAY, "sore", tags=("knee",)))
    (against,) = instruction(ctx, FieldTest.YMCA).not_today
    assert against.startswith("You wrote down a sore knee on 2026-11-02")
