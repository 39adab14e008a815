"""A session is listed from its summary and shown in full; what the rider tells is kept and counts."""

import time
from pathlib import Path

import numpy as np
import pytest

from rideready.errors import BadInput, NotInStore
from rideready.intensity import IntensityClass
from rideready.model.clean import Flag
from rideready.model.rider import Sex
from rideready.model.session import Kind
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.riders import add_rider, update_rider
from rideready.services.sessions import describe_session, list_sessions, session_view, usual_posture
from tests.support.csv_writer import english_csv
from tests.support.stores import a_ride, write_ride


@pytest.fixture
def ctx(place: Path | str, tmp_path: Path) -> Context:
    context = open_context(place, rider="Runa")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
    import_paths(context, [write_ride(tmp_path)])
    return context


def test_a_view_holds_the_session_and_what_was_worked_out(ctx: Context) -> None:
    view = session_view(ctx, 1)
    assert (view.row.session_id, view.row.kind) == (1, Kind.BIKE)
    assert np.array_equal(view.session.hr_bpm, a_ride().hr_bpm)
    assert view.signal.t_s.size == 840
    assert [found.recovery.order for found in view.recoveries] == [1, 2]
    assert list(view.minutes_by_class) == list(IntensityClass)
    assert tuple(view.minutes_by_class.values()) == view.row.class_minutes
    assert view.trimp == view.row.trimp
    # Karvonen 1957: 54 + 0.6 x (181 - 54) = 130.2, where Garber et al. 2011 let vigorous begin.
    begins = {which: low for which, low, _ in view.class_bounds_bpm}
    assert begins[IntensityClass.VIGOROUS] == pytest.approx(130.2)


def test_the_peak_is_a_five_second_mean_and_the_mean_is_of_trusted_seconds(ctx: Context) -> None:
    view = session_view(ctx, 1)
    means = np.convolve(view.signal.hr_bpm, np.full(5, 0.2), mode="valid")
    assert view.row.peak_hr_bpm == pytest.approx(np.nanmax(means))
    assert view.row.mean_hr_bpm == pytest.approx(np.nanmean(view.signal.hr_bpm))


def test_left_out_seconds_are_told_in_sentences(ctx: Context, tmp_path: Path) -> None:
    ride = a_ride(days=5)
    hr_bpm = ride.hr_bpm.copy()
    hr_bpm[300:420] = np.nan
    holed = type(ride)(
        ride.t_s, {**ride.channels, "hr_bpm": hr_bpm}, start_utc=ride.start_utc, zone=ride.zone
    )
    (tmp_path / "holed.csv").write_bytes(english_csv(holed))
    import_paths(ctx, [tmp_path / "holed.csv"])
    view = session_view(ctx, 2)
    assert view.row.flagged_s[Flag.ABSENT] == pytest.approx(120, abs=10)
    assert view.flagged
    assert all(sentence.endswith(".") for sentence in view.flagged)


def test_what_the_rider_tells_is_kept_and_gives_a_load(ctx: Context) -> None:
    row = describe_session(ctx, 1, kind=Kind.CIRCUIT, posture="standing", rpe=7, notes="cold")
    assert (row.kind, row.posture, row.rpe, row.notes) == (Kind.CIRCUIT, "standing", 7, "cold")
    view = session_view(ctx, 1)
    assert view.session.kind is Kind.CIRCUIT
    assert view.posture == "standing"
    # Foster et al. 2001: RPE x minutes; the ride takes 839 s from first to last sample.
    assert view.session_rpe_load == pytest.approx(7 * 839 / 60)
    assert list_sessions(ctx, kind=Kind.CIRCUIT)[0].rpe == 7


def test_what_is_not_told_stays_as_it_was(ctx: Context) -> None:
    describe_session(ctx, 1, rpe=7, notes="cold")
    row = describe_session(ctx, 1, rpe=0)
    assert (row.rpe, row.notes, row.kind) == (0, "cold", Kind.BIKE)


@pytest.mark.parametrize(
    ("told", "said"), [({"rpe": 11}, "session RPE cannot be 11"), ({"posture": "upside down"}, "upside down")]
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    ctx: Context, told: dict[str, object], said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        describe_session(ctx, 1, notes="cold", **told)  # type: ignore[arg-type]
    assert session_view(ctx, 1).row.notes == ""


def test_a_session_that_is_not_there_is_named(ctx: Context) -> None:
    with pytest.raises(NotInStore, match="there is no session 7"):
        session_view(ctx, 7)
    with pytest.raises(NotInStore, match="there is no session 7"):
        describe_session(ctx, 7, rpe=3)


def test_another_riders_session_can_neither_be_seen_nor_changed(ctx: Context) -> None:
    add_rider(ctx.store.place, "Tam")
    other = open_context(ctx.store.place, rider="Tam")
    assert list_sessions(other) == []
    with pytest.raises(NotInStore):
        session_view(other, 1)
    with pytest.raises(NotInStore):
        describe_session(other, 1, notes="mine")
    assert session_view(ctx, 1).row.notes == ""


@pytest.mark.parametrize(
    ("kind", "posture"), [(Kind.BIKE, "seated"), (Kind.RUN, "standing"), (Kind.CIRCUIT, "standing")]
)
def test_a_posture_is_assumed_by_kind_until_one_is_logged(kind: Kind, posture: str) -> None:
    assert usual_posture(kind) == posture


def test_a_list_read_before_is_read_anew_once_anything_was_written(ctx: Context) -> None:
    time.sleep(0.15)  # lists are kept only of a store that was left alone for a tenth of a second
    assert list_sessions(ctx) == list_sessions(ctx)
    other = open_context(ctx.store.place, rider="Runa")  # as another program would
    describe_session(other, 1, notes="headwind")
    other.store.close()
    assert [row.notes for row in list_sessions(ctx)] == ["headwind"]
    changed = list_sessions(ctx)
    changed.clear()
    assert len(list_sessions(ctx)) == 1
