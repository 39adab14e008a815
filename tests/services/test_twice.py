"""What was written down and then imported as a recording counts once, unless the rider wants both."""

import datetime as dt
from pathlib import Path

import pytest

from rideready.errors import NotInStore
from rideready.model.session import Kind
from rideready.model.week import MuscleGroup, SessionKind
from rideready.services.context import Context, open_context
from rideready.services.diary import diary, write_entry
from rideready.services.done import done_sessions
from rideready.services.editing import clear_rpe
from rideready.services.importing import import_paths
from rideready.services.riders import update_rider
from rideready.services.sessions import describe_session, get_session_row, session_view
from rideready.services.twice import count_both, count_once, twice_on
from rideready.services.week_load import week_loads
from tests.support.stores import write_ride

#: The local day of the ride, and how long it is, min.
DAY, RIDE_MIN = dt.date(2026, 9, 1), 839 / 60


@pytest.fixture
def ctx(tmp_path: Path) -> Context:
    context = open_context(tmp_path / "store.sqlite", rider="Runa", today=DAY)
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    return context


def _log_then_import(ctx: Context, folder: Path, kind: str = "cardio", notes: str = "") -> None:
    write_entry(ctx, kind, minutes=15, rpe=6, notes=notes)
    assert [session.minutes for session in done_sessions(ctx)] == [15]
    import_paths(ctx, [write_ride(folder)])


def test_minutes_and_load_count_once_and_the_rating_carries_over(ctx: Context, tmp_path: Path) -> None:
    _log_then_import(ctx, tmp_path, notes="cold garage")
    (done,) = done_sessions(ctx)
    assert done.minutes == pytest.approx(RIDE_MIN)
    assert week_loads(ctx, weeks=1)[0].load == pytest.approx(6 * RIDE_MIN)
    row = session_view(ctx, 1).row
    assert (row.rpe, row.notes) == (6, "cold garage")


def test_a_rating_of_the_recording_goes_before_that_of_the_line(ctx: Context, tmp_path: Path) -> None:
    _log_then_import(ctx, tmp_path)
    describe_session(ctx, 1, rpe=8)
    assert week_loads(ctx, weeks=1)[0].load == pytest.approx(8 * RIDE_MIN)
    assert session_view(ctx, 1).row.rpe == 8


def test_a_logged_burst_practice_stays_one_when_its_recording_comes(ctx: Context, tmp_path: Path) -> None:
    _log_then_import(ctx, tmp_path, "bursts")
    (done,) = done_sessions(ctx)
    assert (done.kind, done.is_hard) == (SessionKind.BURSTS, True)


def test_a_strength_session_keeps_what_it_was_for(ctx: Context, tmp_path: Path) -> None:
    import_paths(ctx, [write_ride(tmp_path)])
    describe_session(ctx, 1, kind=Kind.STRENGTH)
    write_entry(ctx, "strength", minutes=15, rpe=6, tags=["legs"])
    (done,) = done_sessions(ctx)
    assert (done.kind, done.groups) == (SessionKind.STRENGTH, frozenset({MuscleGroup.LOWER}))


def test_the_rider_can_count_both_and_take_that_back(ctx: Context, tmp_path: Path) -> None:
    _log_then_import(ctx, tmp_path)
    (found,) = twice_on(ctx, DAY)
    assert (found.session_id, found.is_apart) == (1, False)
    assert found.why.sentence == (
        "You had also written this session down (steady piece, 15 min, RPE 6); the recording counts in its place."
    )
    count_both(ctx, found.line.number)
    assert len(done_sessions(ctx)) == 2
    (apart,) = twice_on(ctx, DAY)
    assert apart.is_apart
    assert "both count" in apart.why.sentence
    assert session_view(ctx, 1).row.rpe is None
    count_once(ctx, found.line.number)
    assert len(done_sessions(ctx)) == 1
    assert diary(ctx)[0].tags == ()


def test_a_line_that_was_taken_back_meanwhile_is_said_to_be_gone(ctx: Context) -> None:
    with pytest.raises(NotInStore, match="not there any more"):
        count_both(ctx, 99)


def test_a_rating_can_be_cleared_in_recording_and_line(ctx: Context, tmp_path: Path) -> None:
    _log_then_import(ctx, tmp_path)
    describe_session(ctx, 1, rpe=7, notes="stays")
    assert clear_rpe(ctx, 1).rpe is None
    assert (get_session_row(ctx, 1).rpe, get_session_row(ctx, 1).notes) == (None, "stays")
    view = session_view(ctx, 1)
    assert (view.row.rpe, view.session_rpe_load, diary(ctx)[0].rpe) == (None, None, None)
